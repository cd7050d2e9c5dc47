import { measureCatalogue } from "@acral/analysis/course";
import { isRegionId } from "@acral/analysis/skin";
import { z } from "zod";
import { idSchema } from "../identifiers";

const measureNames = measureCatalogue.map((entry) => entry.name) as [string, ...string[]];

/** A region of the catalogue; null is the whole body, that is mean skin temperature. */
const regionOrWholeBody = z
  .string()
  .refine(isRegionId, "This region is not in the region catalogue.")
  .nullable();

export const comparisonSettings = z
  .object({
    schema: z.literal(1),
    outcome: z.object({
      measure: z.enum(measureNames, "Choose a measure of the catalogue."),
      regionId: regionOrWholeBody,
    }),
    /** The reference and the other: the difference is the second minus the first. */
    conditions: z.tuple([z.string().min(1, "Choose a condition."), z.string().min(1, "Choose a condition.")]),
    /** One occasion, or the mean over all that were done. */
    occasion: z.union([z.literal("mean over occasions"), z.number().int().min(1).max(10)]),
    /** Whether the courses are drawn as temperature or as change from each trial's baseline. */
    course: z.enum(["temperature", "change from baseline"]),
    level: z
      .number()
      .min(0.5, "The confidence level lies between 0.5 and 0.999.")
      .max(0.999, "The confidence level lies between 0.5 and 0.999."),
  })
  .refine(({ conditions }) => conditions[0] !== conditions[1], {
    error: "Choose two different conditions.",
    path: ["conditions", 1],
  });

export type ComparisonSettings = z.output<typeof comparisonSettings>;

const numberOrMissing = z.number().nullable();
const intervalSchema = z.object({ lower: z.number(), upper: z.number(), level: z.number() });

const conditionCourse = z.object({
  key: z.string(),
  name: z.string(),
  mean: z.array(numberOrMissing),
  lower: z.array(numberOrMissing),
  upper: z.array(numberOrMissing),
  /** Volunteers with a value, per bin. */
  n: z.array(z.number().int()),
  volunteers: z.number().int(),
  trials: z.number().int(),
});

export const comparisonAnswer = z.object({
  schema: z.literal(1),
  unit: z.string(),
  course: z.object({
    series: z.string(),
    unit: z.string(),
    /** Bin width in s: the study's, or a multiple where files were sampled too rarely to fill every bin. */
    binS: z.number(),
    /** Middle of each bin, in s from the start of exercise. */
    timesS: z.array(z.number()),
    conditions: z.tuple([conditionCourse, conditionCourse]),
    phases: z.array(z.object({ name: z.string(), kind: z.string(), startS: z.number(), endS: z.number() })),
  }),
  pairs: z.array(
    z.object({
      volunteerId: z.string(),
      code: z.string(),
      first: z.number(),
      second: z.number(),
      difference: z.number(),
      /** How many trials each value is a mean of. */
      trials: z.tuple([z.number().int(), z.number().int()]),
    }),
  ),
  missing: z.array(
    z.object({
      code: z.string(),
      volunteerId: z.string(),
      trialId: z.string().nullable(),
      conditionKey: z.string(),
      conditionName: z.string(),
      occasion: z.number().int(),
      reason: z.string(),
    }),
  ),
  /** Null when it cannot be given; `testUnavailable` then says why. */
  test: z
    .object({
      method: z.string(),
      estimate: z.number(),
      interval: intervalSchema,
      statistic: z.number(),
      degreesOfFreedom: z.number(),
      p: z.number(),
      n: z.number().int(),
      means: z.tuple([z.number(), z.number()]),
    })
    .nullable(),
  testUnavailable: z.string().nullable(),
  effect: z.object({ method: z.string(), estimate: z.number(), interval: intervalSchema }).nullable(),
  expectedTrials: z.number().int(),
  usedTrials: z.number().int(),
  analysisVersion: z.string(),
});

export type ComparisonAnswer = z.output<typeof comparisonAnswer>;

export const comparisonName = z
  .string()
  .trim()
  .min(1, "Give the comparison a name.")
  .max(160, "A name has at most 160 characters.");

export const previewInput = z.object({ studyId: z.string(), settings: comparisonSettings });
export const getComparisonInput = z.object({ studyId: z.string(), comparisonId: idSchema });
export const saveComparisonInput = z.object({
  studyId: z.string(),
  comparisonId: idSchema.nullable(),
  revision: z.number().int(),
  name: comparisonName,
  settings: comparisonSettings,
});
