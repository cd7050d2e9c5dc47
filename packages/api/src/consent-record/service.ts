import type { z } from "zod";
import { AppError, notFound } from "../app-error";
import { permissionInForce } from "../consent/policy";
import { eventsOf, findVolunteer, labelOf } from "../consent/service";
import type { Permission } from "../consent-form/schema";
import { permissionsOfForm } from "../consent-form/service";
import { newId } from "../identifiers";
import { keepSignedName, refuseNaming, requireNotErased } from "../identity/service";
import { momentText, notInFuture, startOfMinute } from "../moment";
import { type ReadScope, type WriteScope, writeInStudy } from "../scope";
import { decisions as keptDecisions, type recordConsentInput, type withdrawInput } from "./schema";

export function recordConsent(scope: ReadScope, input: z.output<typeof recordConsentInput>) {
  return writeInStudy(scope, async (write) => {
    const { db, access, now } = write;
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
        `Version ${form.version} of the consent form came into force on ${momentText(form.inForceAt)}; nobody can have signed it before. Check the date.`,
        { field: "signedAt" },
      );
    }
    if (form.retiredAt !== null && entered > form.retiredAt) {
      throw new AppError(
        "invalid",
        `Version ${form.version} of the consent form was retired on ${momentText(form.retiredAt)}. Record the decisions on the version in force, or correct the date.`,
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
    const former = await db.consentRecord.findFirst({
      where: { studyId: access.studyId, volunteerId: volunteer.id },
      orderBy: [{ signedAt: "desc" }, { recordedAt: "desc" }],
      select: { decisions: true, signedAt: true, form: { select: { version: true } } },
    });
    const recordId = newId();
    await db.consentRecord.create({
      data: {
        id: recordId,
        studyId: access.studyId,
        volunteerId: volunteer.id,
        consentFormId: form.id,
        signedAt,
        decisions: input.decisions,
        takenById: access.actor.userId,
        takenByName: access.actor.name,
        recordedAt: now,
      },
    });
    await keepSignedName(write, { recordId, volunteerId: volunteer.id, name: input.nameAsSigned });
    return {
      result: { recordId, signedAt: signedAt.toISOString() },
      audit: [
        {
          action: "consent.record",
          subject: { kind: "volunteer", id: volunteer.id, label: volunteer.code },
          ...(former === null
            ? {}
            : {
                before: {
                  consentFormVersion: former.form.version,
                  signedAt: former.signedAt.toISOString(),
                  ...decided(keptDecisions.parse(former.decisions)),
                },
              }),
          after: {
            consentFormVersion: form.version,
            signedAt: signedAt.toISOString(),
            ...decided(input.decisions),
          },
        },
      ],
    };
  });
}

/** Decisions as the audit trail tells of them. */
function decided(decisions: Readonly<Record<string, boolean>>) {
  const keys = (wanted: boolean) => Object.keys(decisions).filter((key) => decisions[key] === wanted);
  return { permitted: keys(true), refused: keys(false) };
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
        `The latest consent was signed on ${momentText(latest.signedAt)}; a withdrawal before that moment would have no effect on it. Enter a later moment.`,
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
          before: { permitted: allowedNow },
          after: {
            permission: input.permission ?? "all",
            withdrawn: allowedNow,
            effectiveAt: effectiveAt.toISOString(),
          },
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

async function holdVolunteer(scope: WriteScope, volunteerId: string) {
  await scope.db
    .$queryRaw`select id from volunteer where id = ${volunteerId} and study_id = ${scope.access.studyId} for update`;
  const volunteer = await findVolunteer(scope, volunteerId);
  requireNotErased(volunteer);
  return volunteer;
}
