import { columnMapSchema, delimiters } from "@acral/ingest";
import { z } from "zod";
import { idSchema } from "../identifiers";

const studyId = z.string();
const sourceFileId = idSchema;

/** The column map with words for what detection may leave open. */
const columnMap = columnMapSchema.extend({
  time: columnMapSchema.shape.time.extend({
    columns: columnMapSchema.shape.time.shape.columns.min(
      1,
      "No column holds the time of the rows. Choose the time column, or export the file with its times.",
    ),
  }),
});

export const proposalInput = z.object({
  studyId,
  sourceFileId,
  /** What a person says separates the cells, when detection guessed wrongly. */
  delimiter: z.enum(delimiters).optional(),
  /** Which sheet of a workbook a person chose, when another one was proposed. */
  sheet: z.string().min(1).max(300).optional(),
});

export const previewInput = z.object({
  studyId,
  sourceFileId,
  columnMap,
  rows: z.number().int().min(1).max(200).prefault(30),
});

const mapName = z
  .string()
  .trim()
  .min(1, "Give the column map a name.")
  .max(120, "A name has at most 120 characters.");

export const readInput = z.object({
  studyId,
  sourceFileId,
  revision: z.number().int(),
  columnMap,
  /** What the layout's map is to be called; left as it is when not given. */
  name: mapName.optional(),
  /** Whether the map is kept for the layout; a file that is an exception is read without it. */
  keep: z.boolean().prefault(true),
});

export const columnMapInput = z.object({ studyId, columnMapId: idSchema });

export const renameInput = z.object({
  studyId,
  columnMapId: idSchema,
  revision: z.number().int(),
  name: mapName,
});

export const removeMapInput = z.object({
  studyId,
  columnMapId: idSchema,
  revision: z.number().int(),
});

/** One file read again by the map that is kept for its layout. */
export const readAgainInput = z.object({ studyId, sourceFileId, revision: z.number().int() });
