export { type Adjustment, adjustPValues } from "./adjust-p-values";
export {
  type CorrelationInput,
  type CorrelationResult,
  kendallCorrelation,
  pearsonCorrelation,
  spearmanCorrelation,
} from "./correlation";
export { type Description, describe, quantiles } from "./describe";
export { type FriedmanResult, friedmanTest } from "./friedman-test";
export { type MeanCourse, meanCourse } from "./mean-course";
export type { RankBiserial } from "./rank-biserial";
export type { Alternative, Interval } from "./result";
export { type SeededGenerator, seededGenerator } from "./seeded-generator";
export { type ShareResult, shareInterval } from "./share-interval";
export { type SingleCaseResult, singleCaseTest } from "./single-case";
export {
  cohensD,
  cohensDz,
  hedgesG,
  type StandardisedDifference,
  type TwoSamples,
} from "./standardised-difference";
export { type TTestInput, type TTestResult, tTest } from "./t-test";
export { type WilcoxonRankSumInput, type WilcoxonRankSumResult, wilcoxonRankSum } from "./wilcoxon-rank-sum";
export {
  type WilcoxonSignedRankInput,
  type WilcoxonSignedRankResult,
  wilcoxonSignedRank,
} from "./wilcoxon-signed-rank";
