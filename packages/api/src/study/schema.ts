import { z } from "zod";

export const studyTitle = z
  .string()
  .trim()
  .min(3, "A title has at least 3 characters.")
  .max(160, "A title has at most 160 characters.");
export const studySummary = z.string().trim().max(4000, "A summary has at most 4000 characters.");

export const createStudyInput = z.object({ title: studyTitle, summary: studySummary.prefault("") });

export const requireSecondFactorInput = z.object({ studyId: z.string(), required: z.boolean() });

export const updateStudyInput = z.object({
  studyId: z.string(),
  revision: z.number().int(),
  title: studyTitle,
  summary: studySummary,
  smallestGroup: z
    .number()
    .int()
    .min(2, "A group has at least 2 volunteers.")
    .max(50, "A group has at most 50 volunteers."),
});
