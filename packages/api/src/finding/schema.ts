import { isRegionId, statistics } from "@acral/analysis/skin";
import { FindingVerdict } from "@acral/db";
import { z } from "zod";
import { findingKey } from "../adjustment/schema";
import { idSchema } from "../identifiers";

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

const sourceFileId = idSchema;

export const clearDecisionInput = z.object({ studyId: z.string(), sourceFileId, findingKey });

export const decideInput = clearDecisionInput
  .extend({
    decision: z.enum(FindingVerdict),
    note: z.string().trim().max(500, "A note has at most 500 characters.").prefault(""),
  })
  .refine(({ decision, note }) => decision !== "dismissed" || note.length >= 3, {
    error: "Say why this finding is no fault, in at least 3 characters.",
    path: ["note"],
  });
