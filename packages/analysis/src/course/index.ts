export type { AlignedTrace, Grid } from "./align-trace";
export { alignTrace, alignTraces, binCentres, gridAround } from "./align-trace";
export type {
  AlignedMeanSkinTemperature,
  AlignedTrial,
  AlignedTrialTrace,
  AlignTrialSettings,
} from "./align-trial";
export { alignedMeanSkinTemperature, alignTrial, alignTrialDefaults, temperatureTraces } from "./align-trial";
export type { AreaUnderChange } from "./area";
export { areaOver, areaUnderChange } from "./area";
export type {
  BreakInterval,
  BrokenLineFit,
  BrokenLineOptimum,
  BrokenLineOptions,
  ConfidenceLevel,
  StraightLine,
} from "./broken-line";
export { fitBrokenLine } from "./broken-line";
export type { OffsetEstimate, OffsetSeries, OffsetSettings } from "./estimate-offset";
export { estimateOffset, offsetDefaults } from "./estimate-offset";
export type { LevelAt, Plateau, PlateauOptions } from "./levels";
export { highestPoint, levelOver, lowestPoint, plateauAtEnd, rateOver } from "./levels";
export type { MeasureEntry, MeasureName } from "./measure-catalogue";
export { measureCatalogue, measureEntry } from "./measure-catalogue";
export {
  fingertipFlow,
  forearmFingertipGradient,
  gradientOfFlow,
  gradientThresholdsC,
  leftRightDifference,
} from "./pairs";
export { recoveryHalfTime } from "./recovery";
export type { DrawnTrace } from "./reduce-for-drawing";
export { reduceForDrawing } from "./reduce-for-drawing";
export type {
  FallThenRewarming,
  FallThenRewarmingThresholds,
  RewarmingOnset,
  RewarmingOptions,
  RuleStep,
} from "./rewarming";
export { fallThenRewarming, fallThenRewarmingDefaults, rewarmingOnset } from "./rewarming";
export type { TimeBase } from "./time-base";
export {
  durationS,
  requireOrderedTimeBase,
  sampleCount,
  sampleTimes,
  timeAt,
  typicalStepS,
} from "./time-base";
export type { PhaseInterval, PhaseKind, TrialTrace, TrialWindows } from "./trial";
export { trialWindows } from "./trial";
export type { TrialMeasureSettings } from "./trial-measure-settings";
export { trialMeasureDefaults } from "./trial-measure-settings";
export type { TrialMeasure, TrialMeasureInput, TrialMeasures } from "./trial-measures";
export { trialMeasures } from "./trial-measures";
export type { BinnedCourse } from "./widen-bins";
export { usualBinSpacing, widenBins } from "./widen-bins";
export type { BinRange, Window } from "./windows";
export { binCentre, binsWithin, meanWithin, movingMean, within } from "./windows";
