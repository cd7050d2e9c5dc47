import { z } from "zod";
import { idSchema } from "../identifiers";
import { sex } from "../volunteer/schema";

/** Given once, kept over all versions. */
const key = z
  .string()
  .regex(
    /^[a-z][a-z0-9-]{0,39}$/,
    "A key is lower-case letters, digits and hyphens, and begins with a letter.",
  );
const sentence = (what: string) =>
  z.string().trim().min(1, `${what} needs words.`).max(400, `${what} has at most 400 characters.`);

export const screeningRule = z.object({
  key,
  /** Inclusion: has to hold for everybody who takes part. Exclusion: must not. */
  kind: z.enum(["inclusion", "exclusion"]),
  text: sentence("A rule"),
});

export const screeningQuestion = z.object({
  key,
  /** Asked so that "yes" is what has to be looked at. */
  text: sentence("A question"),
  /** Whether "yes" and "not sure" need a licensed professional's clearance, or are a caution only. */
  needsClearance: z.boolean(),
});

const years = z.number().int("An age is in whole years.").min(0).max(120, "An age is at most 120 years.");
const massIndex = z
  .number()
  .min(5, "A body mass index is at least 5 kg/m².")
  .max(100, "A body mass index is at most 100 kg/m².");

const screeningLimits = z
  .object({
    ageFromYears: years.nullable(),
    ageToYears: years.nullable(),
    massIndexFrom: massIndex.nullable(),
    massIndexTo: massIndex.nullable(),
    /** Empty: everybody. */
    sexes: z.array(sex).max(4),
  })
  .refine(({ ageFromYears: from, ageToYears: to }) => from === null || to === null || from <= to, {
    error: "The lowest age is above the highest.",
    path: ["ageToYears"],
  })
  .refine(({ massIndexFrom: from, massIndexTo: to }) => from === null || to === null || from <= to, {
    error: "The lowest body mass index is above the highest.",
    path: ["massIndexTo"],
  });
export type ScreeningLimits = z.output<typeof screeningLimits>;

export const screeningContent = z
  .object({
    schema: z.literal(1),
    limits: screeningLimits,
    rules: z.array(screeningRule).max(40, "There are at most 40 rules."),
    questions: z.array(screeningQuestion).max(40, "There are at most 40 questions."),
  })
  .superRefine(({ rules, questions }, context) => {
    const keys = [...rules, ...questions].map((item) => item.key);
    keys.forEach((own, index) => {
      if (keys.indexOf(own) === index) return;
      const inRules = index < rules.length;
      context.addIssue({
        code: "custom",
        message: `The key ${own} is used twice.`,
        path: inRules ? ["rules", index, "key"] : ["questions", index - rules.length, "key"],
      });
    });
  });
export type ScreeningContent = z.output<typeof screeningContent>;

const revision = z.number().int();
export const setAtRevisionInput = z.object({ studyId: z.string(), setId: idSchema, revision });
export const saveSetInput = setAtRevisionInput.extend({ content: screeningContent });
