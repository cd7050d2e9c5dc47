import { OperatorWish } from "@acral/db";
import { z } from "zod";
import { idSchema } from "../identifiers";
import { linkToken } from "../volunteer-link/schema";

const words = (what: string) => z.string().trim().max(300, `${what} has at most 300 characters.`);

export const preferences = z.object({
  operator: z.enum(OperatorWish, { error: "Choose one, or “no preference”." }),
  companionPresent: z.boolean(),
  noFace: z.boolean(),
  clothing: words("What is said of clothing"),
  other: words("What else is said"),
});
export type Preferences = z.output<typeof preferences>;

export const preferenceInput = z.object({ studyId: z.string(), volunteerId: idSchema });
/** 0 before anything was stated. */
const revision = z.number().int();
export const savePreferenceInput = preferenceInput.extend({ revision, ...preferences.shape });
export const statePreferencesInput = z.object({ token: linkToken, revision, ...preferences.shape });
