import type { PrismaClient } from "@acral/db";
import type { StudyAccess } from "../access/service";
import { AppError, notFound } from "../app-error";
import { defaultPermissions } from "../consent-form/policy";
import { permissionsOfForm } from "../consent-form/service";
import { decisions } from "../consent-record/schema";
import type { ReadScope, Transaction } from "../scope";
import { papersOf } from "../signed-paper/service";
import { gatesOf } from "../volunteer-standing/policy";
import {
  type ConsentAt,
  consentAt,
  type PermissionDecision,
  permissionInForce,
  type SignedRecord,
  storedUseInForce,
  type WithdrawalRecord,
} from "./policy";

interface Events {
  readonly records: SignedRecord[];
  readonly withdrawals: WithdrawalRecord[];
}

/**
 * The consent gate for many volunteers at once, for lists, comparisons and releases. Every volunteer asked for is in the
 * answer; one without a record permits nothing.
 */
export async function permissionsOf(
  scope: { readonly db: ReadScope["db"]; readonly access: Pick<StudyAccess, "studyId"> },
  volunteerIds: readonly string[],
  at: Date,
): Promise<ReadonlyMap<string, ConsentAt>> {
  const events = await eventsOf(scope.db, scope.access.studyId, volunteerIds);
  return new Map(
    [...events].map(([volunteerId, { records, withdrawals }]) => [
      volunteerId,
      consentAt(records, withdrawals, at),
    ]),
  );
}

/**
 * The consent gate for one volunteer and something new: returns when the permission is in force at that moment, and throws otherwise.
 * Within a transaction the volunteer is held, so that a withdrawal cannot slip in between the check and the write.
 */
export function requirePermission(
  scope: ReadScope,
  volunteerId: string,
  permission: string,
  at: Date,
): Promise<void> {
  return requireDecision(scope, volunteerId, permission, (records, withdrawals) =>
    permissionInForce(records, withdrawals, permission, at),
  );
}

/** The gate for using what is stored: returns also when the volunteer stopped only, and throws otherwise. */
export function requireStoredUse(
  scope: ReadScope,
  volunteerId: string,
  permission: string,
  at: Date,
): Promise<void> {
  return requireDecision(scope, volunteerId, permission, (records, withdrawals) =>
    storedUseInForce(records, withdrawals, permission, at),
  );
}

async function requireDecision(
  scope: ReadScope,
  volunteerId: string,
  permission: string,
  decide: (records: SignedRecord[], withdrawals: WithdrawalRecord[]) => PermissionDecision,
): Promise<void> {
  const { studyId } = scope.access;
  await scope.db
    .$queryRaw`select id from volunteer where id = ${volunteerId} and study_id = ${studyId} for share`;
  const volunteer = await findVolunteer(scope, volunteerId);
  const events = (await eventsOf(scope.db, studyId, [volunteerId])).get(volunteerId);
  const records = events?.records ?? [];
  const decision = decide(records, events?.withdrawals ?? []);
  if (decision.allowed) return;
  const label = labelOf(records, permission);
  throw new AppError(
    "consent-missing",
    `Volunteer ${volunteer.code} does not permit this: “${label}” ${decision.reason} Nothing was stored. A consent is recorded on the volunteer's page.`,
    { details: { permission, volunteerId, volunteerCode: volunteer.code, why: decision.why } },
  );
}

/** A permission as the volunteer read it, or as it is offered, or its key. */
export function labelOf(records: readonly SignedRecord[], permission: string): string {
  const known = [...[...records].reverse().flatMap((record) => record.permissions), ...defaultPermissions];
  return known.find((item) => item.key === permission)?.label ?? permission;
}

/** Everything that was signed and taken back, by volunteer, in the order in which it took effect. */
export async function eventsOf(
  db: PrismaClient | Transaction,
  studyId: string,
  volunteerIds: readonly string[],
): Promise<Map<string, Events>> {
  const where = { studyId, volunteerId: { in: [...volunteerIds] } };
  // One after the other: within a transaction there is one connection, and it answers one query at a time.
  const records = await db.consentRecord.findMany({
    where,
    select: {
      id: true,
      volunteerId: true,
      signedAt: true,
      recordedAt: true,
      decisions: true,
      form: { select: { permissions: true } },
    },
    orderBy: [{ signedAt: "asc" }, { recordedAt: "asc" }],
  });
  const withdrawals = await db.withdrawal.findMany({
    where,
    orderBy: [{ effectiveAt: "asc" }, { recordedAt: "asc" }],
  });
  const events = new Map<string, Events>(volunteerIds.map((id) => [id, { records: [], withdrawals: [] }]));
  for (const record of records) {
    events.get(record.volunteerId)?.records.push({
      recordId: record.id,
      signedAt: record.signedAt,
      recordedAt: record.recordedAt,
      decisions: decisions.parse(record.decisions),
      permissions: permissionsOfForm(record.form),
    });
  }
  for (const withdrawal of withdrawals) events.get(withdrawal.volunteerId)?.withdrawals.push(withdrawal);
  return events;
}

/** What a volunteer permits now, permission by permission, and how it came about. Holds no name. */
export async function consentOfVolunteer(scope: ReadScope, volunteerId: string) {
  const { db, now } = scope;
  const { studyId } = scope.access;
  const volunteer = await findVolunteer(scope, volunteerId);
  const [events, forms, records, withdrawals] = await Promise.all([
    eventsOf(db, studyId, [volunteerId]),
    db.consentForm.findMany({ where: { studyId, state: { not: "draft" } }, orderBy: { version: "desc" } }),
    db.consentRecord.findMany({
      where: { studyId, volunteerId },
      include: { form: true },
    }),
    db.withdrawal.findMany({ where: { studyId, volunteerId } }),
  ]);
  const own = events.get(volunteerId) ?? { records: [], withdrawals: [] };
  const inForce = forms.find((form) => form.state === "in_force") ?? null;
  const latest = own.records.at(-1) ?? null;
  const latestVersion = records.find((record) => record.id === latest?.recordId)?.form.version ?? null;
  const offered = inForce === null ? [] : permissionsOfForm(inForce);
  const asked = latest?.permissions ?? [];
  const listed = [...asked, ...offered.filter(({ key }) => !asked.some((item) => item.key === key))];
  const consent = consentAt(own.records, own.withdrawals, now);
  const papers = await papersOf(scope, volunteerId);
  const recorders = withdrawals.flatMap(({ recordedById }) => (recordedById === null ? [] : [recordedById]));
  const people = await db.user.findMany({
    where: { id: { in: recorders } },
    select: { id: true, name: true },
  });
  return {
    volunteerId,
    code: volunteer.code,
    formInForce:
      inForce === null
        ? null
        : {
            formId: inForce.id,
            version: inForce.version,
            title: inForce.title,
            text: inForce.text,
            inForceAt: inForce.inForceAt?.toISOString() ?? null,
            permissions: permissionsOfForm(inForce),
          },
    /** A newer form is in force than the one that was signed last. */
    signedFormVersion: latestVersion,
    newerFormInForce: latestVersion !== null && inForce !== null && inForce.version > latestVersion,
    permissions: listed.map((item) => {
      const decision = consent.decide(item.key);
      return {
        ...item,
        allowed: decision.allowed,
        since: decision.since?.toISOString() ?? null,
        why: decision.allowed ? null : decision.why,
        reason: decision.allowed ? null : decision.reason,
        /** Whether what is stored may be used under it, which stopping only leaves. */
        storedUse: consent.stored(item.key).allowed,
      };
    }),
    /** What the product does with a volunteer, whether it may now, and why not. */
    gates: gatesOf(consent),
    history: [
      ...records.map((record) => ({
        kind: "record" as const,
        id: record.id,
        at: record.signedAt.toISOString(),
        recordedAt: record.recordedAt.toISOString(),
        by: record.takenByName,
        way: record.way,
        countersigned:
          record.countersignedAt === null
            ? null
            : { by: record.countersignedByName ?? "", at: record.countersignedAt.toISOString() },
        papers: papers.filter((paper) => paper.recordId === record.id),
        formVersion: record.form.version,
        decisions: permissionsOfForm(record.form).map((item) => ({
          key: item.key,
          label: item.label,
          granted: decisions.parse(record.decisions)[item.key] ?? false,
        })),
      })),
      ...withdrawals.map((withdrawal) => ({
        kind: "withdrawal" as const,
        id: withdrawal.id,
        at: withdrawal.effectiveAt.toISOString(),
        recordedAt: withdrawal.recordedAt.toISOString(),
        by:
          withdrawal.recordedById === null
            ? "the volunteer, by link"
            : (people.find((person) => person.id === withdrawal.recordedById)?.name ?? "a former member"),
        permission: withdrawal.permission,
        label: withdrawal.permission === null ? null : labelOf(own.records, withdrawal.permission),
        effect: withdrawal.effect,
        reason: withdrawal.reason,
      })),
    ].sort((a, b) => b.at.localeCompare(a.at) || b.recordedAt.localeCompare(a.recordedAt)),
  };
}

/** The volunteer of this study, by code. */
export async function findVolunteer(scope: ReadScope, volunteerId: string) {
  const volunteer = await scope.db.volunteer.findFirst({
    where: { id: volunteerId, studyId: scope.access.studyId },
    select: { id: true, code: true, erasedAt: true },
  });
  if (volunteer === null) throw notFound("volunteer");
  return volunteer;
}
