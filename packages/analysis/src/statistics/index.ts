export { type Adjustment, adjustPValues } from "./adjust-p-values";
export { type BootstrapInput, type BootstrapResult, bootstrapInterval } from "./bootstrap";
export {
  type CorrelationInput,
  type CorrelationResult,
  kendallCorrelation,
  pearsonCorrelation,
  spearmanCorrelation,
} from "./correlation";
export { type Description, describe, quantiles } from "./describe";
export { type FriedmanResult, friedmanTest } from "./friedman-test";
export {
  type IccEstimate,
  type IccForm,
  type IccResult,
  intraclassCorrelation,
} from "./intraclass-correlation";
export {
  type AgreementInput,
  type LimitsOfAgreement,
  limitsOfAgreement,
  limitsOfAgreementRepeated,
} from "./limits-of-agreement";
export { type MeanCourse, meanCourse } from "./mean-course";
export { type MeasurementErrorResult, measurementError } from "./measurement-error";
export { type LikelihoodRatioTest, likelihoodRatioTest } from "./mixed-model/likelihood-ratio-test";
export {
  type FixedEffect,
  type MixedModelInput,
  type MixedModelResult,
  mixedModel,
  type PredictedMean,
} from "./mixed-model/mixed-model";
export {
  type AdjustedMean,
  analysisOfCovariance,
  type CovarianceAnalysis,
} from "./model/analysis-of-covariance";
export type { DesignInput, Term, Variable } from "./model/design";
export {
  type Coefficient,
  compareLinearModels,
  type FTest,
  type LinearModel,
  type LinearModelInput,
  linearModel,
} from "./model/linear-model";
export { type OneWayAnalysis, oneWayAnalysis } from "./one-way-analysis";
export {
  type ClusterPermutationInput,
  type ClusterPermutationResult,
  type Courses,
  clusterPermutationTest,
  type FoundCluster,
} from "./permutation/cluster-permutation-test";
export {
  type SignFlipInput,
  type SignFlipMeasure,
  type SignFlipResult,
  signFlipTest,
} from "./permutation/sign-flip-test";
export type { RankBiserial } from "./rank-biserial";
export {
  type RepeatedMeasuresEffect,
  type RepeatedMeasuresInput,
  type RepeatedMeasuresResult,
  repeatedMeasuresAnalysis,
  type WithinFactor,
} from "./repeated-measures/repeated-measures-analysis";
export type { Mauchly, Sphericity } from "./repeated-measures/sphericity";
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
export {
  type PowerInput,
  type PowerResult,
  type SampleSizeResult,
  tTestPower,
  tTestSampleSize,
} from "./t-test-power";
export type { TwoWayMeanSquares } from "./two-way-mean-squares";
export { type WilcoxonRankSumInput, type WilcoxonRankSumResult, wilcoxonRankSum } from "./wilcoxon-rank-sum";
export {
  type WilcoxonSignedRankInput,
  type WilcoxonSignedRankResult,
  wilcoxonSignedRank,
} from "./wilcoxon-signed-rank";
