import type { z } from "zod";
import { AppError, notFound } from "../app-error";
import { permissionsOf } from "../consent/service";
import { storeCopy } from "../consent-copy/service";
import { permissionsOfForm } from "../consent-form/service";
import { checkDecisions, decided } from "../consent-record/policy";
import { decisions as keptDecisions } from "../consent-record/schema";
import type { Core } from "../core";
import { newId } from "../identifiers";
import { keepSignedName } from "../identity/service";
import { paperFileName } from "../signed-paper/policy";
import { keepPaper, newestPaper } from "../signed-paper/service";
import {
  type LinkScope,
  type LinkWriteScope,
  openLink,
  storeLink,
  writeByLink,
} from "../volunteer-link/service";
import type { copyInput, signInput, tokenInput } from "./schema";

async function formInForce({ db, access }: Pick<LinkScope, "db" | "access">) {
  const row = await db.consentForm.findFirst({
    where: { studyId: access.studyId, state: "in_force" },
    include: { study: { select: { title: true } } },
  });
  if (row === null) {
    throw new AppError(
      "wrong-state",
      "There is no consent form to sign at the moment. Ask the people who gave you this link.",
    );
  }
  return row;
}

/** What a volunteer reads before signing. Uses nothing up. */
export async function readToSign(core: Core, input: z.output<typeof tokenInput>, sender: string) {
  const scope = await openLink(core, input.token, "sign", sender);
  const form = await formInForce(scope);
  return {
    studyTitle: form.study.title,
    code: scope.volunteer.code,
    here: scope.link.here,
    form: {
      formId: form.id,
      version: form.version,
      title: form.title,
      text: form.text,
      permissions: permissionsOfForm(form),
    },
  };
}

/** Signs, keeps the copy, uses the link up, and gives the volunteer a link of their own in its place. */
export async function signByLink(core: Core, input: z.output<typeof signInput>, sender: string) {
  const scope = await openLink(core, input.token, "sign", sender);
  return writeByLink(
    scope,
    async (write) => {
      const { db, access, volunteer, link, now } = write;
      const form = await formInForce(write);
      if (form.id !== input.formId) {
        throw new AppError(
          "changed-meanwhile",
          "The text was changed while you were reading. Nothing was signed. Open the link again, read the new version, and decide on that.",
        );
      }
      checkDecisions(permissionsOfForm(form), input.decisions);
      const recordId = newId();
      await db.consentRecord.create({
        data: {
          id: recordId,
          studyId: access.studyId,
          volunteerId: volunteer.id,
          consentFormId: form.id,
          signedAt: now,
          decisions: input.decisions,
          way: link.here ? "here" : "own_device",
          takenById: link.createdById,
          takenByName: link.createdByName,
          recordedAt: now,
        },
      });
      await keepSignedName(write, { recordId, volunteerId: volunteer.id, name: input.name });
      if (input.strokes !== null) {
        await keepPaper(write, {
          recordId,
          volunteerId: volunteer.id,
          kind: "signature",
          mediaType: "application/json",
          bytes: new TextEncoder().encode(JSON.stringify(input.strokes)),
        });
      }
      await storeCopy(write, recordId);
      await db.volunteerLink.update({ where: { id: link.id }, data: { usedAt: now } });
      const own = await storeLink(db, {
        studyId: access.studyId,
        volunteerId: volunteer.id,
        purpose: "own",
        here: false,
        by: { userId: link.createdById, name: link.createdByName },
        now,
      });
      return {
        result: { recordId, ownToken: own.token, ownUntil: own.expiresAt.toISOString() },
        audit: [
          {
            action: "forYou.sign",
            subject: { kind: "volunteer", id: volunteer.id, label: volunteer.code },
            after: {
              consentFormVersion: form.version,
              signedAt: now.toISOString(),
              way: link.here ? "here" : "own_device",
              drawn: input.strokes !== null,
              ...decided(input.decisions),
            },
          },
        ],
      };
    },
    holdForm,
  );
}

/** A new version cannot come into force between the check and the signature. */
const holdForm = ({ db, access }: LinkWriteScope) =>
  db.$queryRaw`select id from study where id = ${access.studyId} for share`;

/** The volunteer's own page: what holds now, what was signed, and what can be taken back. Holds no name. */
export async function readOwn(core: Core, input: z.output<typeof tokenInput>, sender: string) {
  const scope = await openLink(core, input.token, "own", sender);
  const { db, access, volunteer, now } = scope;
  const study = await db.study.findUniqueOrThrow({ where: { id: access.studyId }, select: { title: true } });
  const consent = (await permissionsOf(scope, [volunteer.id], now)).get(volunteer.id);
  const records = await db.consentRecord.findMany({
    where: { studyId: access.studyId, volunteerId: volunteer.id },
    include: { form: true },
    orderBy: [{ signedAt: "desc" }, { recordedAt: "desc" }],
  });
  const form = await db.consentForm.findFirst({
    where: { studyId: access.studyId, state: "in_force" },
    select: { version: true },
  });
  const releases = await db.releaseVolunteer.findMany({
    where: { studyId: access.studyId, volunteerId: volunteer.id },
    select: { release: { select: { number: true } } },
  });
  const signedVersion = records[0]?.form.version ?? null;
  return {
    studyTitle: study.title,
    code: volunteer.code,
    /** A newer version than the one signed last; what was signed counts for what it said until then. */
    newerVersion:
      form !== null && signedVersion !== null && form.version > signedVersion ? form.version : null,
    permissions: (consent?.asked ?? []).map((item) => {
      const decision = consent?.decide(item.key);
      return {
        ...item,
        allowed: decision?.allowed ?? false,
        reason: decision === undefined || decision.allowed ? null : decision.reason,
        /** Whether what is stored may be used under it, which stopping only leaves. */
        storedUse: consent?.stored(item.key).allowed ?? false,
      };
    }),
    /** Releases that hold the volunteer's numbers; they cannot be called back. */
    releases: releases.map(({ release }) => release.number).sort((a, b) => a - b),
    signed: records.map((record) => ({
      recordId: record.id,
      title: record.form.title,
      version: record.form.version,
      signedAt: record.signedAt.toISOString(),
      way: record.way,
      permitted: decided(keptDecisions.parse(record.decisions)).permitted.length,
      refused: decided(keptDecisions.parse(record.decisions)).refused.length,
    })),
  };
}

/** The volunteer's own copy of what was signed, as PDF; of a paper form its scan is with the team. */
export async function copyByLink(core: Core, input: z.output<typeof copyInput>, sender: string) {
  const scope = await openLink(core, input.token, "own", sender);
  return writeByLink(scope, async (write) => {
    const { volunteer } = write;
    const record = await write.db.consentRecord.findFirst({
      where: { id: input.recordId, studyId: write.access.studyId, volunteerId: volunteer.id },
      select: { id: true },
    });
    const bytes = record === null ? null : await newestPaper(write, record.id, "copy");
    if (bytes === null) throw notFound("copy");
    return {
      result: { bytes, name: paperFileName(volunteer.code, "copy", "application/pdf") },
      audit: [
        {
          action: "forYou.copy",
          subject: { kind: "volunteer", id: volunteer.id, label: volunteer.code },
          after: { paper: "copy" },
        },
      ],
    };
  });
}
