import { z } from "zod";
import { idSchema } from "../identifiers";

const studyId = z.string();
const sourceFileId = idSchema;
const revision = z.number().int();

/**
 * What is taken out of names: control characters, and signs that turn the direction of writing round, by which one kind of
 * file can be made to look like another.
 */
const controlCharacters = /[\p{Cc}\p{Bidi_Control}]/gu;

/** The name as the computer that sent it has it, without folders and control characters. */
export const fileName = z
  .string()
  .transform((text) => (text.split(/[/\\]/).at(-1) ?? "").replace(controlCharacters, "").trim())
  .pipe(z.string().min(1, "The file needs a name.").max(255, "A file's name has at most 255 characters."));

export const sha256Hex = z
  .string()
  .regex(/^[0-9a-f]{64}$/i, "A SHA-256 is 64 hexadecimal digits.")
  .toLowerCase();

/** What a browser says of a file before its bytes. */
export const uploadHeaderSchema = z.object({
  trialId: idSchema,
  name: fileName,
  declaredBytes: z.number().int().min(0),
  declaredSha256: sha256Hex.nullable(),
});

export const sourceFileInput = z.object({ studyId, sourceFileId });

export const removeInput = z.object({
  studyId,
  sourceFileId,
  revision,
  reason: z
    .string()
    .trim()
    .min(3, "Say why, in at least 3 characters.")
    .max(500, "A reason has at most 500 characters."),
});

/** The reader's report as it is stored with the file. */
export const storedReport = z.looseObject({
  /** What the numbers of places count: lines of a text, rows of a sheet. */
  places: z.enum(["line", "row"]).default("line"),
  rowsRead: z.number(),
  rowsUsed: z.number(),
  rowsNotUsed: z.array(z.object({ reason: z.string(), count: z.number(), lines: z.array(z.number()) })),
  warnings: z.array(
    z.object({ kind: z.string(), message: z.string(), count: z.number(), lines: z.array(z.number()) }),
  ),
  missingValues: z.array(
    z.object({
      column: z.number(),
      name: z.string(),
      missing: z.number(),
      sentinels: z.number(),
      unreadable: z.number(),
      unreadableCells: z.array(z.object({ line: z.number(), text: z.string() })),
    }),
  ),
});
export type StoredReport = z.output<typeof storedReport>;
