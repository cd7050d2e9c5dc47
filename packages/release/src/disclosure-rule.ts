import { z } from "zod";

/** What a release must fulfil. It is shown, kept with the release and written into its disclosure report. */
export const disclosureRuleSchema = z.object({
  /** Every released combination of sex, age, height and mass is shared by at least k volunteers. */
  k: z.int().min(2).max(100).prefault(3),
  /** At most this share of the volunteers may be left out so that the others keep finer bands. */
  largestShareLeftOut: z.number().min(0).max(0.5).prefault(0.1),
  /**
   * What leaving out one volunteer costs, where 1 is what blanking all body columns of one volunteer costs. Above 1,
   * because the trials are lost as well.
   */
  costOfLeavingOut: z.number().min(1).max(100).prefault(3),
  /** How much each column's precision is worth, relative to the others. */
  weights: z
    .object({
      sex: z.number().positive().max(100).prefault(1),
      age: z.number().positive().max(100).prefault(1),
      height: z.number().positive().max(100).prefault(1),
      mass: z.number().positive().max(100).prefault(1),
    })
    .prefault({}),
});

export type DisclosureRule = z.output<typeof disclosureRuleSchema>;

export const defaultDisclosureRule: DisclosureRule = disclosureRuleSchema.parse({});
