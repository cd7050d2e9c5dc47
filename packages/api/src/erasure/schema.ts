import { z } from "zod";
import { idSchema } from "../identifiers";

export const erasureInput = z.object({ studyId: z.string(), volunteerId: idSchema });

export const eraseInput = erasureInput.extend({
  /** Typed once more: the right person at the right moment. */
  code: z.string().trim().min(1, "Type the volunteer code to confirm."),
  reason: z
    .string()
    .trim()
    .min(3, "Say why; the audit trail keeps the reason.")
    .max(500, "A reason has at most 500 characters."),
});

/** What stands in the JSON columns of an erasure. */
export const names = z.array(z.string());
