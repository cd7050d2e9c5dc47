export type { MissingSitePolicy, PositionUse, WeightingUse } from "./fill-weighting";
export type {
  MeanSkinTemperature,
  MeanSkinTemperatureOptions,
  MeanSkinTemperatureSeries,
  RegionReading,
  RegionSeries,
} from "./mean-skin-temperature";
export { meanSkinTemperature, meanSkinTemperatureSeries, weightingById } from "./mean-skin-temperature";
export type { Aspect, Region, Side, Site, Statistic } from "./region";
export { statistics } from "./region";
export {
  isRegionId,
  oppositeRegion,
  regionAt,
  regionById,
  regions,
  sites,
  UnknownRegionError,
} from "./region-catalogue";
export type { Segment } from "./segment";
export { segments } from "./segment";
export type { PositionChoice, Weighting, WeightingId, WeightingPosition } from "./weighting";
export { positionsServedBy, weightings } from "./weighting";
