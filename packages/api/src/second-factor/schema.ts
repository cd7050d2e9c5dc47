import { z } from "zod";

export const secondFactorCodeInput = z.object({
  code: z
    .string()
    .trim()
    .min(1, "Enter the code.")
    .max(60, "A code of an authenticator has six digits, a recovery code 24 letters and digits."),
});
