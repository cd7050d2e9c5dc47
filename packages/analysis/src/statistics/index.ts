export { type Description, describe, quantiles } from "./describe";
export { type MeanCourse, meanCourse } from "./mean-course";
export type { Alternative, Interval } from "./result";
export { type SeededGenerator, seededGenerator } from "./seeded-generator";
export {
  cohensD,
  cohensDz,
  hedgesG,
  type StandardisedDifference,
  type TwoSamples,
} from "./standardised-difference";
export { type TTestInput, type TTestResult, tTest } from "./t-test";
