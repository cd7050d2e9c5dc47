import { FindingVerdict } from "@acral/db";
import { z } from "zod";
import { findingKey } from "../adjustment/schema";
import { idSchema } from "../identifiers";

const sourceFileId = idSchema;

export const clearDecisionInput = z.object({ studyId: z.string(), sourceFileId, findingKey });

export const decideInput = clearDecisionInput
  .extend({
    decision: z.enum(FindingVerdict),
    note: z.string().trim().max(500, "A note has at most 500 characters.").prefault(""),
  })
  .refine(({ decision, note }) => decision !== "dismissed" || note.length >= 3, {
    error: "Say why this finding is no fault, in at least 3 characters.",
    path: ["note"],
  });
