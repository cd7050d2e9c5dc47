import type { Permission } from "../consent-form/schema";
import { takePart } from "../consent-form/schema";

/** What one volunteer signed, as far as it decides about permissions. */
export interface SignedRecord {
  readonly recordId: string;
  readonly signedAt: Date;
  readonly recordedAt: Date;
  /** By permission key; a key that the form did not ask for is absent. */
  readonly decisions: Readonly<Record<string, boolean>>;
  /** The permissions of the form that was signed. */
  readonly permissions: readonly Permission[];
}

export interface WithdrawalRecord {
  /** Null takes back all. */
  readonly permission: string | null;
  readonly effectiveAt: Date;
  readonly recordedAt: Date;
}

export type WhyNot =
  | "nothing signed"
  | "not asked"
  | "refused"
  | "withdrawn"
  | "required refused"
  | "required withdrawn";

export type PermissionDecision =
  | { readonly allowed: true; readonly recordId: string; readonly since: Date }
  | { readonly allowed: false; readonly why: WhyNot; readonly since: Date | null; readonly reason: string };

/**
 * Whether a volunteer permits something at a moment. The latest record signed at or before that moment decides, also
 * when its form was retired since; a withdrawal of this permission, or of all, that takes effect after the signing and
 * at or before that moment takes it back. Entries of one and the same moment count in the order in which they were
 * recorded. To take part, every permission that the signed form marks as required has to be in force.
 */
export function permissionInForce(
  records: readonly SignedRecord[],
  withdrawals: readonly WithdrawalRecord[],
  permission: string,
  at: Date,
): PermissionDecision {
  const record = latestSigned(records, at);
  if (record === null) {
    return {
      allowed: false,
      why: "nothing signed",
      since: null,
      reason: records.length === 0 ? "No consent is recorded." : "No consent had been signed at that moment.",
    };
  }
  const own = decisionOf(record, withdrawals, permission, at);
  if (!own.allowed || permission !== takePart) return own;
  for (const required of record.permissions) {
    if (!required.required || required.key === takePart) continue;
    const other = decisionOf(record, withdrawals, required.key, at);
    if (!other.allowed) {
      return {
        allowed: false,
        why: other.why === "withdrawn" ? "required withdrawn" : "required refused",
        since: other.since,
        reason: `A permission that taking part requires is not given: “${required.label}”. ${other.reason}`,
      };
    }
  }
  return own;
}

function latestSigned(records: readonly SignedRecord[], at: Date): SignedRecord | null {
  let latest: SignedRecord | null = null;
  for (const record of records) {
    if (record.signedAt > at) continue;
    if (
      latest === null ||
      comesAfter(record.signedAt, record.recordedAt, latest.signedAt, latest.recordedAt)
    ) {
      latest = record;
    }
  }
  return latest;
}

/** By the moment at which it takes effect, then by the moment at which it was recorded. */
function comesAfter(effect: Date, recorded: Date, otherEffect: Date, otherRecorded: Date): boolean {
  const difference = effect.getTime() - otherEffect.getTime();
  return difference > 0 || (difference === 0 && recorded.getTime() >= otherRecorded.getTime());
}

function decisionOf(
  record: SignedRecord,
  withdrawals: readonly WithdrawalRecord[],
  permission: string,
  at: Date,
): PermissionDecision {
  const granted = Object.hasOwn(record.decisions, permission) ? record.decisions[permission] : undefined;
  const signed = record.signedAt.toISOString().slice(0, 10);
  if (granted === undefined) {
    return {
      allowed: false,
      why: "not asked",
      since: record.signedAt,
      reason: `The consent form signed on ${signed} does not ask for it.`,
    };
  }
  if (!granted) {
    return { allowed: false, why: "refused", since: record.signedAt, reason: `Refused on ${signed}.` };
  }
  const effective = withdrawals
    .filter((withdrawal) => withdrawal.permission === null || withdrawal.permission === permission)
    .filter((withdrawal) => withdrawal.effectiveAt <= at)
    .filter((withdrawal) =>
      comesAfter(withdrawal.effectiveAt, withdrawal.recordedAt, record.signedAt, record.recordedAt),
    )
    .map((withdrawal) => withdrawal.effectiveAt.getTime());
  if (effective.length > 0) {
    const since = new Date(Math.min(...effective));
    return {
      allowed: false,
      why: "withdrawn",
      since,
      reason: `Withdrawn on ${since.toISOString().slice(0, 10)}.`,
    };
  }
  return { allowed: true, recordId: record.recordId, since: record.signedAt };
}
