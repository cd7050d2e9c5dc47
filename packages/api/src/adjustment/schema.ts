import type { AdjustmentSettings } from "@acral/analysis/quality";
import { z } from "zod";
import { idSchema } from "../identifiers";

const number = (what: string) => z.number({ error: `${what} is a number.` });
const moment = (what: string) =>
  number(what)
    .min(-1e8, `${what} lies too far from the trial's zero.`)
    .max(1e8, `${what} lies too far from the trial's zero.`);
const temperature = (what: string) =>
  number(what).min(-100, `${what} is at least −100 °C.`).max(200, `${what} is at most 200 °C.`);
const difference = (what: string) =>
  number(what).min(-50, `${what} is at least −50 °C.`).max(50, `${what} is at most 50 °C.`);

/** A region with its statistic, "forearm-left-anterior (mean)", or the name of a channel. */
const seriesName = z.string().min(1).max(120);

const cameraSettings = (which: string) =>
  z.object({
    emissivity: number(`The emissivity ${which}`)
      .min(0.1, "An emissivity is at least 0.1.")
      .max(1, "An emissivity is at most 1."),
    reflectedC: temperature(`The reflected temperature ${which}`),
  });

/**
 * What an adjustment does. Temperatures in °C, durations in s. Moments are on the clock that the schema is used for: the
 * file's own clock where adjustments are stored, the trial's clock at the API.
 */
export const adjustmentSettings = z.discriminatedUnion("kind", [
  z.object({
    kind: z.literal("reference drift"),
    reference: seriesName,
    trueC: temperature("The true temperature of the reference surface"),
    smoothingS: number("The smoothing")
      .min(0, "A smoothing is not negative.")
      .max(3600, "A smoothing is at most one hour."),
  }),
  z.object({
    kind: z.literal("common step"),
    atS: moment("The moment of the step"),
    heightC: difference("The height of the step"),
  }),
  z.object({
    kind: z.literal("warming-up drift"),
    startS: moment("The start of the drift"),
    amplitudeC: difference("The size of the drift"),
    tauS: number("The time constant")
      .positive("A time constant is above zero.")
      .max(1e6, "A time constant is at most 1,000,000 s; leave it out for an even drift.")
      .nullable(),
  }),
  z
    .object({
      kind: z.literal("mask"),
      fromS: moment("The start of the mask"),
      toS: moment("The end of the mask"),
      series: z
        .array(seriesName)
        .min(1, "Choose at least one series, or all of them.")
        .max(5000)
        .readonly()
        .nullable(),
    })
    .refine(({ fromS, toS }) => fromS <= toS, {
      error: "The mask ends before it begins.",
      path: ["toS"],
    }),
  z.object({
    kind: z.literal("time shift"),
    byS: number("The shift")
      .min(-7 * 24 * 3600, "A shift lies within a week.")
      .max(7 * 24 * 3600, "A shift lies within a week."),
  }),
  z.object({
    kind: z.literal("emissivity"),
    from: cameraSettings("that the camera was set to"),
    to: cameraSettings("that it should have been set to"),
  }),
]) satisfies z.ZodType<AdjustmentSettings>;

const studyId = z.string();
const sourceFileId = idSchema;
const adjustmentId = idSchema;
const trialRevision = z.number().int();
export const findingKey = z.string().min(1).max(200);

export const adjustInput = z.object({
  studyId,
  sourceFileId,
  /** Of the trial as it was shown: moments in the settings are on the clock that the trial had then. */
  trialRevision,
  settings: adjustmentSettings,
  reason: z
    .string()
    .trim()
    .min(3, "Say why, in at least 3 characters.")
    .max(500, "A reason has at most 500 characters."),
  findingKey: findingKey.nullable().prefault(null),
});

/** `replacesId`: the adjustment whose place the new settings would take. */
export const previewAdjustmentInput = z.object({
  studyId,
  sourceFileId,
  settings: adjustmentSettings,
  replacesId: adjustmentId.nullable().prefault(null),
});

export const adjustmentStepInput = z.object({ studyId, adjustmentId, revision: z.number().int() });

export const reorderInput = z.object({
  studyId,
  sourceFileId,
  trialRevision,
  /** All adjustments of the file, the undone ones too, in their new order. */
  order: z.array(adjustmentId).max(1000),
});
