import { z } from "zod";
import { idSchema } from "../identifiers";
import { calendarDate } from "../moment";

const field = (what: string, most: number) =>
  z.string().trim().max(most, `${what} has at most ${most} characters.`);

export const identityName = field("A name", 200);
export const identityContact = field("A contact", 500);
/** Empty, or a day. */
export const identityDateOfBirth = z.union([z.literal(""), calendarDate], {
  error: "Enter the date of birth as year-month-day, for instance 1990-05-17, or leave it empty.",
});

/** A field that is absent stays as it is; an empty one is cleared. */
export const saveIdentityInput = z.object({
  studyId: z.string(),
  volunteerId: idSchema,
  /** 0 when no identity is entered yet. */
  revision: z.number().int().min(0),
  name: identityName.optional(),
  contact: identityContact.optional(),
  dateOfBirth: identityDateOfBirth.optional(),
});

export const revealIdentityInput = z.object({
  studyId: z.string(),
  volunteerId: idSchema,
  reason: z
    .string()
    .trim()
    .min(3, "Say why you need to see it; the audit trail keeps the reason.")
    .max(500, "A reason has at most 500 characters."),
});

export const findIdentityInput = z.object({
  studyId: z.string(),
  /** A whole name or contact, in any letter case and spacing. */
  text: z
    .string()
    .trim()
    .min(3, "Enter the whole name or contact that you look for.")
    .max(500, "A name or contact has at most 500 characters."),
});
