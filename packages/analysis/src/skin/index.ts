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
