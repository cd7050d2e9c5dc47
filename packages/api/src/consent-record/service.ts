import type { z } from "zod";
import { AppError, notFound } from "../app-error";
import { findVolunteer } from "../consent/service";
import { storeCopy } from "../consent-copy/service";
import { permissionsOfForm } from "../consent-form/service";
import { newId } from "../identifiers";
import { keepSignedName, requireNotErased } from "../identity/service";
import { afterWithinMinute, momentText, notInFuture, startOfMinute } from "../moment";
import { type ReadScope, type WriteScope, writeInStudy } from "../scope";
import { checkDecisions, decided } from "./policy";
import { type countersignInput, decisions as keptDecisions, type recordConsentInput } from "./schema";

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

export async function holdVolunteer(scope: WriteScope, volunteerId: string) {
  await scope.db
    .$queryRaw`select id from volunteer where id = ${volunteerId} and study_id = ${scope.access.studyId} for update`;
  const volunteer = await findVolunteer(scope, volunteerId);
  requireNotErased(volunteer);
  return volunteer;
}
