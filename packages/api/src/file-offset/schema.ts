import { z } from "zod";
import { idSchema } from "../identifiers";

const studyId = z.string();
const sourceFileId = idSchema;
const revision = z.number().int();

const seconds = (what: string) =>
  z
    .number({ error: `Give ${what} in seconds.` })
    .min(-7 * 24 * 3600, "An offset lies within a week.")
    .max(7 * 24 * 3600, "An offset lies within a week.");

/** A series of one file: a region with its statistic, or a channel. */
export const seriesOfFile = z.object({
  series: z.string().min(1).max(120),
  statistic: z.string().max(40).nullable(),
});
export type SeriesOfFile = z.output<typeof seriesOfFile>;

/** How a person says where a file lies on the trial's clock. The server works the offset out from it. */
export const offsetChoice = z.discriminatedUnion("kind", [
  z.object({
    kind: z.literal("stated"),
    offsetS: seconds("the offset"),
    reason: z
      .string()
      .trim()
      .min(3, "Say how you know it, in at least 3 characters.")
      .max(500, "A reason has at most 500 characters."),
  }),
  /** Both files say when they began. */
  z.object({ kind: z.literal("absolute time"), otherFileId: idSchema }),
  /** The same event is seen in both: at `hereS` of this file, at `thereS` of the other file, or of the trial's clock. */
  z.object({
    kind: z.literal("same event"),
    event: z
      .string()
      .trim()
      .min(1, "Say what both of them saw.")
      .max(120, "An event has at most 120 characters."),
    hereS: seconds("the time of the event in this file"),
    thereS: seconds("the time of the event in the other file"),
    otherFileId: idSchema.nullable(),
  }),
  /** What both see moves together: the shift at which two series agree best. */
  z.object({
    kind: z.literal("estimate"),
    own: seriesOfFile,
    otherFileId: idSchema,
    other: seriesOfFile,
    /** As it was shown to the person who accepts it; another result is not taken unseen. */
    offsetS: seconds("the estimate"),
  }),
]);
export type OffsetChoice = z.output<typeof offsetChoice>;

export const setOffsetInput = z.object({ studyId, sourceFileId, revision, method: offsetChoice });

export const estimateInput = z.object({
  studyId,
  sourceFileId,
  own: seriesOfFile,
  otherFileId: idSchema,
  other: seriesOfFile,
});

export const takeBackOffsetInput = z.object({ studyId, sourceFileId, revision });

/** How an offset was found, as it is kept with it. Names and starts are those of that moment. */
export const keptMethod = z.discriminatedUnion("kind", [
  z.object({ kind: z.literal("stated"), reason: z.string() }),
  z.object({
    kind: z.literal("absolute time"),
    otherName: z.string(),
    ownStart: z.string(),
    otherStart: z.string(),
  }),
  z.object({
    kind: z.literal("same event"),
    event: z.string(),
    hereS: z.number(),
    thereS: z.number(),
    otherName: z.string().nullable(),
  }),
  z.object({
    kind: z.literal("estimate"),
    ownLabel: z.string(),
    otherLabel: z.string(),
    otherName: z.string(),
    correlation: z.number(),
    /** The best agreement elsewhere, over the best. */
    ambiguity: z.number(),
  }),
  /** A file that took the place of another one lies where that one lay. */
  z.object({ kind: z.literal("taken over"), fromName: z.string(), movedS: z.number() }),
]);
export type KeptMethod = z.output<typeof keptMethod>;
