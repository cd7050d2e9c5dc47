import { Sex } from "@acral/db";
import { z } from "zod";
import { idSchema } from "../identifiers";
import { calendarDate } from "../moment";
import { plausibleNumber } from "../plausible-number";

export const volunteerCode = z
  .string()
  .trim()
  .regex(
    /^[A-Za-z0-9][A-Za-z0-9._-]{0,19}$/,
    "A volunteer code has 1 to 20 letters, digits, dots, hyphens or underscores, and says nothing about who it is.",
  );

export const sex = z.enum(Sex, { error: "Choose the sex, or “not stated”." });
export const birthYear = z
  .number({ error: "A birth year is a number such as 1990." })
  .int("A birth year is a whole number such as 1990.")
  // Nobody alive was born earlier. Said together with what else is wrong in a form; the age is checked by the clock later.
  .min(1880, "A birth year of somebody alive is a number such as 1990. Check the digits.");

export const skinfoldSites = [
  "abdomen",
  "biceps",
  "chest",
  "midaxillary",
  "subscapular",
  "suprailiac",
  "thigh",
  "triceps",
] as const;
const skinfoldMm = plausibleNumber("skinfoldMm", "A skinfold");
export const skinfoldsMm = z.partialRecord(z.enum(skinfoldSites), skinfoldMm);

const centimetres = { unit: "cm", perUnit: 100 };
export const bodyMeasures = z.object({
  measuredOn: calendarDate,
  heightCm: plausibleNumber("heightM", "The height", centimetres),
  massKg: plausibleNumber("massKg", "The mass"),
  skinfoldsMm: skinfoldsMm.nullable().prefault(null),
});
export type BodyMeasuresInput = z.output<typeof bodyMeasures>;

export const registerVolunteerInput = z.object({
  studyId: z.string(),
  /** Absent: the next free code is given. */
  code: volunteerCode.optional(),
  sex,
  birthYear: birthYear.nullable(),
  bodyMeasures: bodyMeasures.optional(),
});

export const volunteerInput = z.object({ studyId: z.string(), volunteerId: idSchema });
export const updateVolunteerInput = volunteerInput.extend({
  revision: z.number().int(),
  code: volunteerCode,
  sex,
  birthYear: birthYear.nullable(),
});
export const addBodyMeasuresInput = volunteerInput.extend({ bodyMeasures });
export const removeBodyMeasuresInput = volunteerInput.extend({
  bodyMeasuresId: idSchema,
  reason: z
    .string()
    .trim()
    .min(3, "Say why these body measures are removed.")
    .max(500, "A reason has at most 500 characters."),
});

/** Whether a volunteer takes part, as the list filters it. */
export const participation = z.enum(["permitted", "nothing signed", "refused", "withdrawn"]);
export type Participation = z.output<typeof participation>;

export const volunteerListInput = z.object({
  studyId: z.string(),
  search: z.string().trim().max(80).prefault(""),
  sex: sex.optional(),
  participation: participation.optional(),
  sort: z.enum(["code", "birthYear", "registeredAt"]).prefault("code"),
  direction: z.enum(["ascending", "descending"]).prefault("ascending"),
  page: z.number().int().min(1).prefault(1),
  pageSize: z.number().int().min(1).max(200).prefault(50),
});
