import { z } from "zod";
import { decisions } from "../consent-record/schema";
import { idSchema } from "../identifiers";
import { strokesSchema } from "../signed-paper/schema";
import { linkToken } from "../volunteer-link/schema";
import { ownWithdrawal } from "../withdrawal/schema";

export const tokenInput = z.object({ token: linkToken });

export const signInput = tokenInput.extend({
  /** The version that was read. */
  formId: idSchema,
  decisions,
  name: z
    .string()
    .trim()
    .min(2, "Type your name as you sign it.")
    .max(200, "A name has at most 200 characters."),
  /** Null: the typed name is the signature. */
  strokes: strokesSchema.nullable(),
  confirmed: z.literal(true, { error: "Confirm that these are your decisions." }),
});

export const withdrawOwnInput = tokenInput.extend(ownWithdrawal);

export const eraseOwnInput = tokenInput.extend({
  /** Typed once more: erasing cannot be undone. */
  code: z.string().trim().min(1, "Type your code to confirm."),
});

export const copyInput = tokenInput.extend({ recordId: idSchema });
