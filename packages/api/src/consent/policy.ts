import type { Permission } from "../consent-form/schema";
import { takePart } from "../consent-form/schema";
import type { WithdrawalEffect } from "../withdrawal/schema";

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
  /** What happens to what is stored already: it may still be used, or no longer. */
  readonly effect: WithdrawalEffect;
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

export interface NotAllowed {
  readonly allowed: false;
  readonly why: WhyNot;
  readonly since: Date | null;
  readonly reason: string;
}

export type PermissionDecision =
  | { readonly allowed: true; readonly recordId: string; readonly since: Date }
  | NotAllowed;

/** Whether what is stored may be used; `storedBy` is the moment from which on nothing was to be added, null where there is none. */
export type StoredUseDecision =
  | {
      readonly allowed: true;
      readonly recordId: string;
      readonly since: Date;
      readonly storedBy: Date | null;
    }
  | NotAllowed;

/**
 * Whether a volunteer permits something new at a moment: a trial, a file, a release. The latest record signed at or before that
 * moment decides, also when its form was retired since; a withdrawal of this permission, or of all, that takes effect after the
 * signing and at or before that moment takes it back, whatever its effect on what is stored. Entries of one and the same moment
 * count in the order in which they were recorded. To take part, every permission that the signed form marks as required has to
 * be in force.
 */
export function permissionInForce(
  records: readonly SignedRecord[],
  withdrawals: readonly WithdrawalRecord[],
  permission: string,
  at: Date,
): PermissionDecision {
  const decision = decide(records, withdrawals, permission, at);
  if (!decision.allowed) return decision;
  const { recordId, since } = decision;
  return { allowed: true, recordId, since };
}

/**
 * Whether what is stored of a volunteer may be used under a permission at a moment: shown, computed with, compared. As above,
 * but a withdrawal that stops only leaves the use of what was stored by then.
 */
export function storedUseInForce(
  records: readonly SignedRecord[],
  withdrawals: readonly WithdrawalRecord[],
  permission: string,
  at: Date,
): StoredUseDecision {
  const excluding = withdrawals.filter(({ effect }) => effect === "exclude");
  const decision = decide(records, excluding, permission, at);
  if (!decision.allowed) return decision;
  const record = latestSigned(records, at);
  const required = record?.permissions.filter((item) => item.required).map(({ key }) => key) ?? [];
  const stops = (permission === takePart ? [permission, ...required] : [permission]).flatMap((key) => {
    const own = record === null ? null : decisionOf(record, withdrawals, key, at);
    return own === null || own.allowed || own.since === null ? [] : [own.since.getTime()];
  });
  return { ...decision, storedBy: stops.length === 0 ? null : new Date(Math.min(...stops)) };
}

/** What one volunteer permits at one moment. */
export interface ConsentAt {
  /** The permissions of the form that was signed last; empty while nothing is signed. */
  readonly asked: readonly Permission[];
  /** Whether something new may be done: planning, taking a file in, releasing. */
  has(permission: string): boolean;
  decide(permission: string): PermissionDecision;
  /** Whether what is stored may be used: shown, computed with, compared. */
  stored(permission: string): StoredUseDecision;
}

export function consentAt(
  records: readonly SignedRecord[],
  withdrawals: readonly WithdrawalRecord[],
  at: Date,
): ConsentAt {
  const decideAt = (permission: string) => permissionInForce(records, withdrawals, permission, at);
  return {
    asked: latestSigned(records, at)?.permissions ?? [],
    has: (permission) => decideAt(permission).allowed,
    decide: decideAt,
    stored: (permission) => storedUseInForce(records, withdrawals, permission, at),
  };
}

/** Why what was stored at a moment may not be used, in words; null when it may. */
export function whyNotUsed(decision: StoredUseDecision, storedAt: Date): string | null {
  if (!decision.allowed) return decision.reason;
  const { storedBy } = decision;
  if (storedBy === null || storedAt <= storedBy) return null;
  return `From ${storedBy.toISOString().slice(0, 10)} on nothing was to be added, and this was added later.`;
}

function decide(
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
  const lacking = record.permissions
    .filter(({ key, required }) => required && key !== takePart)
    .flatMap(({ key, label }) => {
      const other = decisionOf(record, withdrawals, key, at);
      return other.allowed ? [] : [{ ...other, label }];
    })
    // The one that was missing first.
    .sort((a, b) => (a.since?.getTime() ?? 0) - (b.since?.getTime() ?? 0))[0];
  if (lacking === undefined) return own;
  return {
    allowed: false,
    why: lacking.why === "withdrawn" ? "required withdrawn" : "required refused",
    since: lacking.since,
    reason: `A permission that taking part requires is not given: “${lacking.label}”. ${lacking.reason}`,
  };
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
