import { z } from "zod";
import { idSchema } from "../identifiers";
import { calendarDate } from "../moment";

export const answer = z.enum(["yes", "no", "unsure"], { error: "Answer yes, no or not sure." });
export type Answer = z.output<typeof answer>;
export const answers = z.record(z.string().max(40), answer);
export type Answers = z.output<typeof answers>;

const ofVolunteer = z.object({ studyId: z.string(), volunteerId: idSchema });
/** With a trial, the standing for that trial's day. */
export const screeningOfVolunteerInput = ofVolunteer.extend({ trialId: idSchema.optional() });
export const showAnswersInput = ofVolunteer;
export const recordScreeningInput = ofVolunteer.extend({
  /** The version that was asked. */
  setId: idSchema,
  answeredOn: calendarDate,
  answers,
});

export const professional = z.object({
  name: z.string().trim().min(2, "Enter who decided.").max(200, "A name has at most 200 characters."),
  profession: z
    .string()
    .trim()
    .min(2, "Enter the profession and licence, for instance “physician”.")
    .max(200, "A profession has at most 200 characters."),
  limits: z.string().trim().max(1000, "Limits have at most 1,000 characters."),
});

export const recordClearanceInput = ofVolunteer.extend({
  /** The answers that were decided on. */
  recordId: idSchema,
  given: z.boolean({ error: "Say whether the clearance was given or refused." }),
  decidedOn: calendarDate,
  /** The last day on which it counts. */
  validUntil: calendarDate.nullable(),
  ...professional.shape,
});
