import { z } from "zod";

/** What people ask before they take part, in the order in which it is told. */
export const invitationQuestions = [
  "about",
  "seen",
  "worn",
  "measured",
  "duration",
  "room",
  "kept",
  "shown",
  "risks",
  "sayNo",
  "contact",
] as const;
export type InvitationQuestion = (typeof invitationQuestions)[number];

const answer = z
  .string()
  .max(6_000, "One answer has at most 6,000 characters.")
  .transform((text) => text.replaceAll("\r\n", "\n"));

export const invitationTexts = z.object({
  about: answer,
  seen: answer,
  worn: answer,
  measured: answer,
  duration: answer,
  room: answer,
  kept: answer,
  shown: answer,
  risks: answer,
  sayNo: answer,
  contact: answer,
} satisfies Record<InvitationQuestion, typeof answer>);
export type InvitationTexts = z.output<typeof invitationTexts>;

export const saveInvitationInput = z.object({
  studyId: z.string(),
  /** 0 before anything was written. */
  revision: z.number().int(),
  texts: invitationTexts,
});
