import type { DisclosureReport } from "@acral/release";
import type { ConsentAt } from "../consent/policy";
import { takePart } from "../consent-form/schema";
import type { KeptReport } from "./schema";

/** The permission that a volunteer's data may go out under. */
export const sharingPermission = "share-anonymised-numbers";

/**
 * Why a volunteer's data are in no release made now; null when they may be. What was recorded must still be permitted to be
 * used, and sharing must be in force: every release is a new act of sharing, so that whoever stopped that is in no later one.
 */
export function whyNotReleased(consent: ConsentAt | undefined): string | null {
  const use = consent?.stored(takePart);
  if (consent === undefined || use === undefined) return "No consent is recorded.";
  if (!use.allowed) return use.reason;
  const sharing = consent.decide(sharingPermission);
  return sharing.allowed ? null : sharing.reason;
}

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
