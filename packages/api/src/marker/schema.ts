import { z } from "zod";
import { idSchema } from "../identifiers";
import type { MarkerValue } from "./policy";

/** Longest distance of a marker from the trial's zero: one week. */
const farthestS = 7 * 24 * 3600;

export const markerSchema = z.object({
  name: z
    .string()
    .trim()
    .min(1, "A marker needs a name.")
    .max(80, "A marker's name has at most 80 characters."),
  phaseKey: z.string().max(80).nullable(),
  atS: z
    .number({ error: "Give the moment in seconds on the trial's clock." })
    .min(-farthestS, "A marker lies within a week of the trial's zero.")
    .max(farthestS, "A marker lies within a week of the trial's zero."),
}) satisfies z.ZodType<MarkerValue>;

export const saveMarkersInput = z.object({
  studyId: z.string(),
  trialId: idSchema,
  revision: z.number().int(),
  markers: z.array(markerSchema).max(200, "A trial has at most 200 markers."),
});
