import type { Outputs } from "@/trpc/outputs";

export type TrialImaging = Outputs["imaging"]["ofTrial"];
export type ImagingRecord = NonNullable<TrialImaging["record"]>;
export type NotApplicable = ImagingRecord["notApplicable"];
export type ReportingItem = TrialImaging["items"][number];
export type ReportingItemKey = ReportingItem["key"];
export type Place = ReportingItem["lacks"][number]["place"];

/** Where something that is missing is entered. */
export const placeNames: Readonly<Record<Place, string>> = {
  protocol: "in the protocol",
  trial: "in the imaging record",
  room: "in the room",
  volunteer: "with the volunteer",
};
