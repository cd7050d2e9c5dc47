import { z } from "zod";

/** Which trials the methods text speaks of: those that count in comparisons, or all in which something was recorded. */
export const trialChoices = ["accepted", "recorded"] as const;
export type TrialChoice = (typeof trialChoices)[number];

export const methodsInput = z.object({
  studyId: z.string(),
  /** Without it: accepted trials, or all recorded ones while none is accepted. */
  trials: z.enum(trialChoices).optional(),
});
