export type {
  AdjustmentKind,
  AdjustmentSettings,
  ChannelName,
  SurfaceSettings,
} from "./adjustment";
export { adjustmentKinds, requireAdjustment, seriesKey, shiftedTimeBase } from "./adjustment";
export type { Adjustable, Adjusted, AdjustmentEffect, ChannelTrace } from "./apply-adjustments";
export { applyAdjustments } from "./apply-adjustments";
export { cameraTraces, contactTraces } from "./camera-traces";
export type { QualityInput, QualitySettings } from "./check-traces";
export { checkTraces } from "./check-traces";
export type { CommonDrift, CommonDriftSettings, DriftCorrection } from "./common-drift";
export {
  commonDrift,
  commonDriftDefaults,
  commonDriftFinding,
  correctCommonDrift,
} from "./common-drift";
export type { CommonStep, CommonStepSettings, StepCorrection } from "./common-step";
export { commonStepDefaults, commonStepFindings, commonSteps, correctCommonSteps } from "./common-step";
export type {
  ComparableMeasure,
  ConclusionChange,
  ConclusionLimits,
  Conclusions,
} from "./conclusions-survive";
export { conclusionLimits, conclusionsSurvive } from "./conclusions-survive";
export type { ConstantRunSettings } from "./constant-runs";
export { constantRunDefaults, constantRuns } from "./constant-runs";
export type { DriftShape } from "./drift-estimate";
export { driftOffset } from "./drift-estimate";
export type { Confidence, Finding, FindingKind, QualityTrace, TraceName } from "./finding";
export type { HampelOptions, HampelResult } from "./hampel";
export { hampel } from "./hampel";
export { implausibleValues } from "./implausible-values";
export { missingValues } from "./missing-values";
export type {
  ReferenceOffset,
  ReferenceSurface,
  TwoReferences,
} from "./reference-drift";
export {
  correctByTwoReferences,
  referenceFinding,
  referenceOffset,
} from "./reference-drift";
export type { SpikeSettings } from "./spikes";
export { spikeDefaults, spikes } from "./spikes";
export type { TimeBaseSettings } from "./time-base-defects";
export { timeBaseDefaults, timeBaseDefects } from "./time-base-defects";
