import { z } from "zod";
import { passwordLength } from "../auth";
import { idSchema } from "../identifiers";

export const endSessionInput = z.object({ sessionId: idSchema });

export const provePasswordInput = z.object({
  password: z
    .string()
    .min(1, "Enter your password.")
    .max(passwordLength.most, `A password has at most ${passwordLength.most} characters.`),
});
