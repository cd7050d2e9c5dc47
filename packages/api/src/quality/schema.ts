import { z } from "zod";
import { findingKinds } from "../finding/schema";
import { idSchema } from "../identifiers";

const studyId = z.string();

export const qualityOfTrialInput = z.object({ studyId, trialId: idSchema });

export const qualitySorts = ["date", "volunteer", "condition", "open", "step", "drift", "missing"] as const;

/** `standing`: only trials with a finding that is still open, adjusted, or decided. */
export const qualityOfStudyInput = z.object({
  studyId,
  kinds: z.array(z.enum(findingKinds)).max(findingKinds.length).prefault([]),
  standing: z.enum(["any", "open", "adjusted", "dismissed", "accepted"]).prefault("any"),
  conditionKey: z.string().max(80).optional(),
  volunteer: z.string().trim().max(40).optional(),
  /** Days of recording, both included. */
  from: z.iso.date().optional(),
  to: z.iso.date().optional(),
  page: z.number().int().min(1).prefault(1),
  pageSize: z.number().int().min(1).max(200).prefault(50),
  sort: z.enum(qualitySorts).prefault("date"),
  direction: z.enum(["ascending", "descending"]).prefault("descending"),
});
export type QualityOfStudyInput = z.output<typeof qualityOfStudyInput>;
