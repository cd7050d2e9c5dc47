import { z } from "zod";
import { idSchema } from "../identifiers";

const reason = z
  .string()
  .trim()
  .min(3, "Say why, in at least 3 characters.")
  .max(500, "A reason has at most 500 characters.");

/** Which file an upload takes the place of, and why. */
export const replacesSchema = z.object({
  sourceFileId: idSchema,
  revision: z.number().int(),
  reason,
});
export type Replaces = z.output<typeof replacesSchema>;

export const putBackInput = z.object({ studyId: z.string(), sourceFileId: idSchema, reason });
