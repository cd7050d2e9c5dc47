/** What published guidance asks to be reported of skin thermography; `policy.ts` says what each of them means. */
export const reportingItemKeys = [
  "participants",
  "instructions",
  "outside-factors",
  "room",
  "surroundings",
  "camera",
  "acclimatisation",
  "warm-up",
  "distance",
  "angle",
  "emissivity",
  "time-of-day",
  "posture",
  "skin-preparation",
  "regions",
  "reflected-temperature",
  "reference-source",
] as const;
export type ReportingItemKey = (typeof reportingItemKeys)[number];
