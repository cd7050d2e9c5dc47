import { z } from "zod";
import { passwordLength } from "../auth";

export const personName = z
  .string()
  .trim()
  .min(1, "Enter your name.")
  .max(120, "A name has at most 120 characters here.");

export const emailAddress = z
  .email("Enter an e-mail address such as name@example.org.")
  .max(254, "An e-mail address has at most 254 characters.")
  .transform((value) => value.toLowerCase());

export const newPassword = z
  .string()
  .min(
    passwordLength.least,
    `A password has at least ${passwordLength.least} characters; a few words in a row are easy to remember.`,
  )
  .max(passwordLength.most, `A password has at most ${passwordLength.most} characters.`);

export const createFirstAccountInput = z.object({
  code: z.string().trim().min(1, "Enter the code that the terminal printed."),
  name: personName,
  email: emailAddress,
  password: newPassword,
});

export const invitationToken = z.string().min(20).max(100);

export const acceptInvitationInput = z.object({
  token: invitationToken,
  name: personName,
  password: newPassword,
});
