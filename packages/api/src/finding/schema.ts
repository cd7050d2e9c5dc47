import { isRegionId, statistics } from "@acral/analysis/skin";
import { z } from "zod";

/** The traces that a finding is about, as they are stored with it. */
export const findingSeries = z.array(
  z.object({
    regionId: z.string().refine(isRegionId),
    statistic: z.enum(statistics as [(typeof statistics)[number], ...(typeof statistics)[number][]]),
  }),
);
export type FindingSeries = z.output<typeof findingSeries>;

export const findingKinds = [
  "times missing",
  "times reversed",
  "times repeated",
  "sampling uneven",
  "gap in time",
  "values missing",
  "spike",
  "stuck",
  "saturated",
  "implausible values",
  "unit in doubt",
  "common step",
  "common drift",
  "reference drift",
] as const;

export const confidences = ["sure", "likely", "possible"] as const;
