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
});

export const previewInput = z.object({
  studyId,
  sourceFileId,
  columnMap,
  rows: z.number().int().min(1).max(200).prefault(30),
});

export const readInput = z.object({ studyId, sourceFileId, revision: z.number().int(), columnMap });
