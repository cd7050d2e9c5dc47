import { isRegionId, regionById } from "@acral/analysis/skin";

interface Outcome {
  readonly measure: string;
  readonly regionId: string | null;
}

export function regionLabel(regionId: string | null): string {
  if (regionId === null) return "Mean skin temperature";
  return isRegionId(regionId) ? regionById(regionId).label : regionId;
}

/** "Left forearm, anterior: change". */
export function outcomeLabel({ measure, regionId }: Outcome): string {
  return `${regionLabel(regionId)}: ${measure}`;
}
