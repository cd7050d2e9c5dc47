import type { DisclosureReport } from "@acral/release";
import type { KeptReport } from "./schema";

/** The permission that a volunteer's data may go out under, and the one that everything rests on. */
export const sharingPermission = "share-anonymised-numbers";
export const releasePermissions = ["take-part", sharingPermission] as const;

/** The part of the report that goes into the register. */
export function keptOf(report: DisclosureReport, auditHead: string | null): KeptReport {
  return {
    volunteers: { ...report.volunteers },
    trials: { ...report.trials },
    smallestGroup: report.after?.smallestGroup ?? null,
    greatestRisk: report.after?.greatestRisk ?? null,
    columns: report.columns.map(({ column, words, loss }) => ({ column, words, loss })),
    warnings: [...report.warnings],
    remainingRisks: [...report.remainingRisks],
    auditHead,
  };
}

/** Whole years, from the years alone: a volunteer's day of birth stays where identity is. */
export function ageInYears(birthYear: number | null, registeredAt: Date): number | null {
  return birthYear === null ? null : registeredAt.getUTCFullYear() - birthYear;
}
