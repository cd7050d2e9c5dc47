import type { PrismaClient } from "@acral/db";
import type { z } from "zod";
import { AppError, notFound } from "../app-error";
import { defaultPermissions } from "../consent-form/policy";
import type { Permission } from "../consent-form/schema";
import { permissionsOfForm } from "../consent-form/service";
import { newId } from "../identifiers";
import { encryptSignedName, refuseNaming } from "../identity/service";
import { notInFuture, startOfMinute } from "../moment";
import { type ReadScope, type Transaction, type WriteScope, writeInStudy } from "../scope";
import {
  type PermissionDecision,
  permissionInForce,
  type SignedRecord,
  type WithdrawalRecord,
} from "./policy";
import { decisions, type recordConsentInput, type withdrawInput } from "./schema";

/** What one volunteer permits at one moment. */
export interface ConsentAt {
  has(permission: string): boolean;
  decide(permission: string): PermissionDecision;
}

interface Events {
  readonly records: SignedRecord[];
  readonly withdrawals: WithdrawalRecord[];
}

/**
 * The consent gate for many volunteers at once, for lists, comparisons and releases. Every volunteer asked for is in the
 * answer; one without a record permits nothing.
 */
export async function permissionsOf(
  scope: Pick<ReadScope, "db" | "access">,
  volunteerIds: readonly string[],
  at: Date,
): Promise<ReadonlyMap<string, ConsentAt>> {
  const events = await eventsOf(scope.db, scope.access.studyId, volunteerIds);
  return new Map(
    [...events].map(([volunteerId, { records, withdrawals }]) => {
      const decide = (permission: string) => permissionInForce(records, withdrawals, permission, at);
      return [volunteerId, { decide, has: (permission: string) => decide(permission).allowed }];
    }),
  );
}

/**
 * The consent gate for one volunteer: returns when the permission is in force at that moment, and throws otherwise.
 * Within a transaction the volunteer is held, so that a withdrawal cannot slip in between the check and the write.
 */
export async function requirePermission(
  scope: ReadScope,
  volunteerId: string,
  permission: string,
  at: Date,
): Promise<void> {
  const { studyId } = scope.access;
  await scope.db
    .$queryRaw`select id from volunteer where id = ${volunteerId} and study_id = ${studyId} for share`;
  const volunteer = await findVolunteer(scope, volunteerId);
  const events = (await eventsOf(scope.db, studyId, [volunteerId])).get(volunteerId);
  const records = events?.records ?? [];
  const decision = permissionInForce(records, events?.withdrawals ?? [], permission, at);
  if (decision.allowed) return;
  const label = labelOf(records, permission);
  throw new AppError(
    "consent-missing",
    `Volunteer ${volunteer.code} does not permit this: “${label}” ${decision.reason} Nothing was stored. A consent is recorded on the volunteer's page.`,
    { details: { permission, volunteerId, volunteerCode: volunteer.code, why: decision.why } },
  );
}

function labelOf(records: readonly SignedRecord[], permission: string): string {
  const known = [...[...records].reverse().flatMap((record) => record.permissions), ...defaultPermissions];
  return known.find((item) => item.key === permission)?.label ?? permission;
}

async function eventsOf(
  db: PrismaClient | Transaction,
  studyId: string,
  volunteerIds: readonly string[],
): Promise<Map<string, Events>> {
  const where = { studyId, volunteerId: { in: [...volunteerIds] } };
  const [records, withdrawals] = await Promise.all([
    db.consentRecord.findMany({
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
    }),
    db.withdrawal.findMany({ where, orderBy: [{ effectiveAt: "asc" }, { recordedAt: "asc" }] }),
  ]);
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
      omit: { nameAsSignedCipher: true },
    }),
    db.withdrawal.findMany({ where: { studyId, volunteerId } }),
  ]);
  const own = events.get(volunteerId) ?? { records: [], withdrawals: [] };
  const inForce = forms.find((form) => form.state === "in_force") ?? null;
  const latest = own.records.at(-1) ?? null;
  const latestVersion = records.find((record) => record.id === latest?.recordId)?.form.version ?? null;
  const listed = latest?.permissions ?? (inForce === null ? [] : permissionsOfForm(inForce));
  const people = await db.user.findMany({
    where: { id: { in: withdrawals.map((withdrawal) => withdrawal.recordedById) } },
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
      const decision = permissionInForce(own.records, own.withdrawals, item.key, now);
      return {
        ...item,
        allowed: decision.allowed,
        since: decision.since?.toISOString() ?? null,
        why: decision.allowed ? null : decision.why,
        reason: decision.allowed ? null : decision.reason,
      };
    }),
    history: [
      ...records.map((record) => ({
        kind: "record" as const,
        id: record.id,
        at: record.signedAt.toISOString(),
        recordedAt: record.recordedAt.toISOString(),
        by: record.takenByName,
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
        by: people.find((person) => person.id === withdrawal.recordedById)?.name ?? "a former member",
        permission: withdrawal.permission,
        label: withdrawal.permission === null ? null : labelOf(own.records, withdrawal.permission),
        reason: withdrawal.reason,
      })),
    ].sort((a, b) => b.at.localeCompare(a.at) || b.recordedAt.localeCompare(a.recordedAt)),
  };
}

export function recordConsent(scope: ReadScope, input: z.output<typeof recordConsentInput>) {
  return writeInStudy(scope, async (write) => {
    const { db, access, core, now } = write;
    const volunteer = await holdVolunteer(write, input.volunteerId);
    const form = await db.consentForm.findFirst({ where: { id: input.formId, studyId: access.studyId } });
    if (form === null) throw notFound("consent form");
    if (form.inForceAt === null) {
      throw new AppError(
        "wrong-state",
        "This consent form is a draft. Put it in force before anybody signs it.",
      );
    }
    const asked = permissionsOfForm(form);
    checkDecisions(asked, input.decisions);
    const entered = notInFuture(input.signedAt, now, "signedAt", "The moment of signing");
    if (entered < startOfMinute(form.inForceAt)) {
      throw new AppError(
        "invalid",
        `Version ${form.version} of the consent form came into force on ${form.inForceAt.toISOString()}; nobody can have signed it before. Check the date.`,
        { field: "signedAt" },
      );
    }
    if (form.retiredAt !== null && entered > form.retiredAt) {
      throw new AppError(
        "invalid",
        `Version ${form.version} of the consent form was retired on ${form.retiredAt.toISOString()}. Record the decisions on the version in force, or correct the date.`,
        { field: "signedAt" },
      );
    }
    const latest = await db.withdrawal.findFirst({
      where: { studyId: access.studyId, volunteerId: volunteer.id },
      orderBy: { effectiveAt: "desc" },
    });
    const signedAt = afterWithinMinute(
      afterWithinMinute(entered, form.inForceAt),
      latest?.effectiveAt ?? null,
    );
    const recordId = newId();
    await db.consentRecord.create({
      data: {
        id: recordId,
        studyId: access.studyId,
        volunteerId: volunteer.id,
        consentFormId: form.id,
        signedAt,
        ...encryptSignedName(core.identityKeys, recordId, input.nameAsSigned),
        decisions: input.decisions,
        takenById: access.actor.userId,
        takenByName: access.actor.name,
        recordedAt: now,
      },
    });
    const granted = (wanted: boolean) =>
      asked.filter((item) => input.decisions[item.key] === wanted).map((item) => item.key);
    return {
      result: { recordId, signedAt: signedAt.toISOString() },
      audit: [
        {
          action: "consent.record",
          subject: { kind: "volunteer", id: volunteer.id, label: volunteer.code },
          after: {
            consentFormVersion: form.version,
            signedAt: signedAt.toISOString(),
            permitted: granted(true),
            refused: granted(false),
          },
        },
      ],
    };
  });
}

/** Every permission of the form is decided, one by one, and nothing else. */
function checkDecisions(asked: readonly Permission[], given: Readonly<Record<string, boolean>>): void {
  const open = asked.filter((item) => given[item.key] === undefined);
  if (open.length > 0) {
    throw new AppError(
      "invalid",
      `Every permission is decided separately. Still open: ${open.map((item) => `“${item.label}”`).join(", ")}`,
      { field: `decisions.${open[0]?.key}`, details: { open: open.map((item) => item.key) } },
    );
  }
  const unknown = Object.keys(given).find((key) => !asked.some((item) => item.key === key));
  if (unknown !== undefined) {
    throw new AppError("invalid", `The consent form does not ask for the permission ${unknown}.`, {
      field: `decisions.${unknown}`,
    });
  }
}

/** In force from the moment given, in every screen, comparison and future release. */
export function withdrawConsent(scope: ReadScope, input: z.output<typeof withdrawInput>) {
  return writeInStudy(scope, async (write) => {
    const { db, access, now } = write;
    const volunteer = await holdVolunteer(write, input.volunteerId);
    await refuseNaming(write, volunteer.id, input.reason, "reason");
    const events = (await eventsOf(db, access.studyId, [volunteer.id])).get(volunteer.id);
    const records = events?.records ?? [];
    const latest = records.at(-1);
    if (latest === undefined) {
      throw new AppError(
        "wrong-state",
        `No consent of volunteer ${volunteer.code} is recorded, so there is nothing to withdraw and nothing is permitted.`,
      );
    }
    const entered = notInFuture(input.effectiveAt, now, "effectiveAt", "The moment of the withdrawal");
    const effectiveAt = afterWithinMinute(entered, latest.signedAt);
    if (effectiveAt < latest.signedAt) {
      throw new AppError(
        "invalid",
        `The latest consent was signed on ${latest.signedAt.toISOString()}; a withdrawal before that moment would have no effect on it. Enter a later moment.`,
        { field: "effectiveAt" },
      );
    }
    const keys = input.permission === null ? latest.permissions.map((item) => item.key) : [input.permission];
    const allowedNow = keys.filter((key) => {
      const decision = permissionInForce(records, events?.withdrawals ?? [], key, effectiveAt);
      return decision.allowed || decision.why === "required refused" || decision.why === "required withdrawn";
    });
    if (allowedNow.length === 0) {
      throw new AppError(
        "wrong-state",
        input.permission === null
          ? "No permission was in force at that moment, so there is nothing to withdraw."
          : `“${labelOf(records, input.permission)}” was not in force at that moment, so there is nothing to withdraw.`,
      );
    }
    await db.withdrawal.create({
      data: {
        id: newId(),
        studyId: access.studyId,
        volunteerId: volunteer.id,
        permission: input.permission,
        effectiveAt,
        reason: input.reason,
        recordedById: access.actor.userId,
        recordedAt: now,
      },
    });
    return {
      result: { withdrawn: allowedNow, effectiveAt: effectiveAt.toISOString() },
      audit: [
        {
          action: "consent.withdraw",
          subject: { kind: "volunteer", id: volunteer.id, label: volunteer.code },
          after: { permission: input.permission ?? "all", effectiveAt: effectiveAt.toISOString() },
          ...(input.reason === "" ? {} : { reason: input.reason }),
        },
      ],
    };
  });
}

/** Screens enter moments by the minute: an earlier moment of the same minute counts as the later event itself. */
function afterWithinMinute(entered: Date, event: Date | null): Date {
  return event !== null && entered < event && entered >= startOfMinute(event) ? event : entered;
}

async function findVolunteer(scope: ReadScope, volunteerId: string) {
  const volunteer = await scope.db.volunteer.findFirst({
    where: { id: volunteerId, studyId: scope.access.studyId },
    select: { id: true, code: true },
  });
  if (volunteer === null) throw notFound("volunteer");
  return volunteer;
}

async function holdVolunteer(scope: WriteScope, volunteerId: string) {
  await scope.db
    .$queryRaw`select id from volunteer where id = ${volunteerId} and study_id = ${scope.access.studyId} for update`;
  return findVolunteer(scope, volunteerId);
}
