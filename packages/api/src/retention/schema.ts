import { z } from "zod";
import { idSchema } from "../identifiers";
import { calendarDate } from "../moment";
import { retainedParts } from "./policy";

const months = z
  .number()
  .int("Enter whole months.")
  .min(0, "Enter 0 months or more.")
  .max(600, "Enter at most 600 months (50 years).")
  .nullable();
const ofParts = z.object({ identity: months, recordings: months, "consent records": months });

export const savePlanInput = z.object({
  studyId: z.string(),
  /** 0 when nothing is stated yet. */
  revision: z.number().int().min(0),
  endedOn: calendarDate.nullable(),
  afterEnd: ofParts,
  afterWithdrawal: ofParts,
});

export const removeDueInput = z.object({
  studyId: z.string(),
  volunteerId: idSchema,
  part: z.enum(retainedParts),
  reason: z
    .string()
    .trim()
    .min(3, "Say why; the audit trail keeps the reason.")
    .max(500, "A reason has at most 500 characters."),
});
