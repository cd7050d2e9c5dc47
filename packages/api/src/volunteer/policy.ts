import { massIndex, plausibilityLimits, surfaceArea, surfaceToMassRatio } from "@acral/analysis/body";
import type { PermissionDecision } from "../consent/policy";
import type { Participation } from "./schema";

/** The next code after those that exist: "V" and a number, counting on from the highest. */
export function nextVolunteerCode(codes: readonly string[]): string {
  const highest = codes.reduce((most, code) => {
    const digits = /^V(\d{1,9})$/i.exec(code)?.[1];
    return digits === undefined ? most : Math.max(most, Number(digits));
  }, 0);
  return `V${String(highest + 1).padStart(3, "0")}`;
}

/** Why a birth year is refused, or null. The age is the one reached within the year `now` falls in. */
export function birthYearRefusal(birthYear: number, now: Date): string | null {
  const { min, max } = plausibilityLimits.ageYears;
  const age = now.getUTCFullYear() - birthYear;
  return age >= min && age <= max
    ? null
    : `A birth year of ${birthYear} would make an age of ${age}. Ages from ${min} to ${max} years are taken, which is ${now.getUTCFullYear() - max} to ${now.getUTCFullYear() - min}.`;
}

/** What is unusual and worth a second look, in words; it stops nobody. */
export function volunteerRemarks(birthYear: number | null, now: Date): string[] {
  if (birthYear === null) return [];
  const age = now.getUTCFullYear() - birthYear;
  if (age <= 18) {
    return [
      "This volunteer may be a minor: whoever has custody consents as well, and the ethics body's decision says how.",
    ];
  }
  return age > 80 ? ["An age above 80 years is unusual in an exercise study. Check the birth year."] : [];
}

/** Everything that follows from height and mass, by the formulas of the analysis. */
export function derivedBody(body: { readonly heightCm: number; readonly massKg: number }) {
  const heightM = body.heightCm / 100;
  return {
    surfaceAreaM2: surfaceArea(heightM, body.massKg),
    massIndexKgM2: massIndex(heightM, body.massKg),
    surfaceToMassM2Kg: surfaceToMassRatio(heightM, body.massKg),
  };
}

/** How the permission to take part stands, in one word for lists. */
export function participationOf(decision: PermissionDecision | undefined): Participation {
  if (decision === undefined) return "nothing signed";
  if (decision.allowed) return "permitted";
  switch (decision.why) {
    case "nothing signed":
      return "nothing signed";
    case "not asked":
    case "refused":
    case "required refused":
      return "refused";
    case "withdrawn":
    case "required withdrawn":
      return "withdrawn";
  }
}
