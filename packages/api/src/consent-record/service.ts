import type { z } from "zod";
import { AppError, notFound } from "../app-error";
import { permissionInForce } from "../consent/policy";
import { eventsOf, findVolunteer, labelOf } from "../consent/service";
import { storeCopy } from "../consent-copy/service";
import { permissionsOfForm } from "../consent-form/service";
import { newId } from "../identifiers";
import { keepSignedName, refuseNaming, requireNotErased } from "../identity/service";
import { momentText, notInFuture, startOfMinute } from "../moment";
import { type ReadScope, type WriteScope, writeInStudy } from "../scope";
import { checkDecisions, decided } from "./policy";
import {
  type countersignInput,
  decisions as keptDecisions,
  type recordConsentInput,
  type withdrawInput,
} from "./schema";

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

/** Somebody of the team confirms that they took this consent; the volunteer's copy is made anew and says so. */
export function countersign(scope: ReadScope, input: z.output<typeof countersignInput>) {
  return writeInStudy(scope, async (write) => {
    const { db, access, now } = write;
    const found = await db.consentRecord.findFirst({
      where: { id: input.recordId, studyId: access.studyId },
      select: { volunteerId: true },
    });
    if (found === null) throw notFound("consent record");
    const volunteer = await holdVolunteer(write, found.volunteerId);
    const record = await db.consentRecord.findFirst({
      where: { id: input.recordId, studyId: access.studyId },
      include: { form: { select: { version: true } } },
    });
    if (record === null) throw notFound("consent record");
    if (record.countersignedAt !== null) {
      throw new AppError(
        "wrong-state",
        `${record.countersignedByName ?? "Somebody"} countersigned this consent on ${momentText(record.countersignedAt)} already.`,
      );
    }
    await db.consentRecord.update({
      where: { id: record.id },
      data: {
        countersignedAt: now,
        countersignedById: access.actor.userId,
        countersignedByName: access.actor.name,
      },
    });
    if (record.way !== "paper") await storeCopy(write, record.id);
    return {
      result: { countersignedAt: now.toISOString() },
      audit: [
        {
          action: "consent.countersign",
          subject: { kind: "volunteer", id: volunteer.id, label: volunteer.code },
          after: { consentFormVersion: record.form.version, countersignedAt: now.toISOString() },
        },
      ],
    };
  });
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
