export type { AlignedTrace, Grid } from "./align-trace";
export { alignTrace, alignTraces, binCentres, gridAround } from "./align-trace";
export type { TimeBase } from "./time-base";
export {
  durationS,
  requireOrderedTimeBase,
  sampleCount,
  sampleTimes,
  timeAt,
  typicalStepS,
} from "./time-base";
