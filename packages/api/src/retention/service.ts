import { Prisma } from "@acral/db";
import type { z } from "zod";
import { AppError } from "../app-error";
import { flatValues } from "../audit/policy";
import { permissionsOf } from "../consent/service";
import { takePart } from "../consent-form/schema";
import { ownedRows } from "../erasure/policy";
import {
  erasing,
  finishErasures,
  holdForErasure,
  noteErasure,
  references,
  removeRows,
} from "../erasure/service";
import { inIdentityRole, refuseNaming, storeSearchHashes } from "../identity/service";
import { changedMeanwhile } from "../revision";
import { type ReadScope, type WriteScope, writeInStudy } from "../scope";
import { dueDate, type RetainedPart, type RetentionTimes, retainedParts } from "./policy";
import type { removeDueInput, savePlanInput } from "./schema";

interface Plan extends RetentionTimes {
  /** 0 when nothing is stated yet. */
  readonly revision: number;
}

/** How long the study keeps what. */
export async function retentionPlan({ db, access }: Pick<ReadScope, "db" | "access">): Promise<Plan> {
  const row = await db.retentionPlan.findUnique({ where: { studyId: access.studyId } });
  return {
    endedOn: row?.endedOn?.toISOString().slice(0, 10) ?? null,
    afterEnd: {
      identity: row?.identityAfterEnd ?? null,
      recordings: row?.recordingsAfterEnd ?? null,
      "consent records": row?.consentAfterEnd ?? null,
    },
    afterWithdrawal: {
      identity: row?.identityAfterWithdrawal ?? null,
      recordings: row?.recordingsAfterWithdrawal ?? null,
      "consent records": row?.consentAfterWithdrawal ?? null,
    },
    revision: row?.revision ?? 0,
  };
}

export function saveRetentionPlan(scope: ReadScope, input: z.output<typeof savePlanInput>) {
  return writeInStudy(scope, async (write) => {
    const { db, access } = write;
    await db.$queryRaw`select id from study where id = ${access.studyId} for no key update`;
    const { revision, ...before } = await retentionPlan(write);
    if (revision !== input.revision) throw changedMeanwhile("retention plan", { revision, ...before });
    const data = {
      endedOn: input.endedOn === null ? null : new Date(`${input.endedOn}T00:00:00Z`),
      identityAfterEnd: input.afterEnd.identity,
      recordingsAfterEnd: input.afterEnd.recordings,
      consentAfterEnd: input.afterEnd["consent records"],
      identityAfterWithdrawal: input.afterWithdrawal.identity,
      recordingsAfterWithdrawal: input.afterWithdrawal.recordings,
      consentAfterWithdrawal: input.afterWithdrawal["consent records"],
      revision: revision + 1,
    };
    await db.retentionPlan.upsert({
      where: { studyId: access.studyId },
      create: { studyId: access.studyId, ...data },
      update: data,
    });
    const { endedOn, afterEnd, afterWithdrawal } = input;
    return {
      result: { revision: revision + 1 },
      audit: [
        {
          action: "retention.savePlan",
          subject: { kind: "study", id: access.studyId, label: "retention plan" },
          before: flatValues(before),
          after: flatValues({ endedOn, afterEnd, afterWithdrawal }),
        },
      ],
    };
  });
}

interface Kept {
  readonly volunteerId: string;
  readonly code: string;
  readonly withdrawnOn: string | null;
  readonly parts: readonly RetainedPart[];
}

/** Of whom what is kept. */
async function keptOf(scope: ReadScope, only: string | null): Promise<Kept[]> {
  const { db, access, now } = scope;
  const { studyId } = access;
  const volunteers = await db.volunteer.findMany({
    where: { studyId, erasedAt: null, ...(only === null ? {} : { id: only }) },
    select: {
      id: true,
      code: true,
      trials: { where: { sourceFiles: { some: {} } }, select: { id: true }, take: 1 },
      _count: { select: { consentRecords: true } },
    },
    orderBy: { code: "asc" },
  });
  const ids = volunteers.map(({ id }) => id);
  const identities = await inIdentityRole(scope, (identityDb) =>
    identityDb.identity.findMany({ where: { studyId }, select: { volunteerId: true } }),
  );
  // Who answered about their health, and what somebody prefers, serves to run trials with a person who is known.
  const answered = await inIdentityRole(scope, (identityDb) =>
    identityDb.screeningRecord.findMany({ where: { studyId }, select: { volunteerId: true } }),
  );
  const stated = await db.preference.findMany({ where: { studyId }, select: { volunteerId: true } });
  const known = new Set([...identities, ...answered, ...stated].map(({ volunteerId }) => volunteerId));
  const consents = await permissionsOf(scope, ids, now);
  return volunteers.map(({ id, code, trials, _count }) => {
    const decision = consents.get(id)?.decide(takePart);
    const there: Readonly<Record<RetainedPart, boolean>> = {
      identity: known.has(id),
      recordings: trials.length > 0,
      "consent records": _count.consentRecords > 0,
    };
    return {
      volunteerId: id,
      code,
      withdrawnOn:
        decision !== undefined && !decision.allowed && decision.why === "withdrawn"
          ? (decision.since?.toISOString().slice(0, 10) ?? null)
          : null,
      parts: retainedParts.filter((part) => there[part]),
    };
  });
}

/** What is due to be removed, and what will be next. Nothing is removed by itself. */
export async function dueInStudy(scope: ReadScope) {
  const plan = await retentionPlan(scope);
  const today = scope.now.toISOString().slice(0, 10);
  const dates = (await keptOf(scope, null)).flatMap(({ volunteerId, code, withdrawnOn, parts }) =>
    parts.flatMap((part) => {
      const due = dueDate(plan, part, withdrawnOn);
      return due === null ? [] : [{ volunteerId, code, part, ...due, due: due.on <= today }];
    }),
  );
  const inOrder = dates.sort((a, b) => a.on.localeCompare(b.on) || a.code.localeCompare(b.code));
  return { plan, due: inOrder.filter(({ due }) => due), next: inOrder.find(({ due }) => !due) ?? null };
}

/** Removes a part of what is kept of a volunteer once it is due, and its bytes before it answers. */
export async function removeDue(scope: ReadScope, input: z.output<typeof removeDueInput>) {
  await erasing(scope, async (write) => {
    const { now } = write;
    const volunteer = await holdForErasure(write, input.volunteerId);
    await refuseNaming(write, volunteer.id, input.reason, "reason");
    const [kept] = await keptOf(write, volunteer.id);
    const due = dueDate(await retentionPlan(write), input.part, kept?.withdrawnOn ?? null);
    if (
      kept === undefined ||
      !kept.parts.includes(input.part) ||
      due === null ||
      due.on > now.toISOString().slice(0, 10)
    ) {
      throw new AppError(
        "wrong-state",
        `The ${input.part} of volunteer ${volunteer.code} are not due to be removed. Nothing was removed; the list shows what is.`,
      );
    }
    if (input.part === "consent records" && kept.parts.length > 1) {
      throw new AppError(
        "wrong-state",
        `Consent records go last: they show that keeping the rest was allowed. Of volunteer ${volunteer.code} there is still: ${kept.parts.filter((part) => part !== input.part).join(", ")}.`,
      );
    }
    const { rows, blobs } = await removePart(write, volunteer.id, input.part);
    await noteErasure(write, { volunteerId: volunteer.id, what: input.part, blobs }, [
      ...rows.keys(),
      ...(input.part === "recordings" ? ["trial", "comparison"] : []),
    ]);
    return {
      result: null,
      audit: [
        {
          action: "retention.remove",
          subject: { kind: "volunteer", id: volunteer.id, label: volunteer.code },
          after: { removed: input.part, dueOn: due.on, because: due.because, files: blobs.length },
          reason: input.reason,
        },
      ],
    };
  });
  return { bytesGone: await finishErasures(scope.core) };
}

async function removePart(write: WriteScope, volunteerId: string, part: RetainedPart) {
  const { db, access, now } = write;
  const own = "volunteer_id = $1";
  switch (part) {
    case "identity": {
      const removal = await removeRows(
        write,
        [
          { table: "identity_search_hash", where: own },
          { table: "identity", where: own },
          { table: "screening_clearance", where: own },
          { table: "screening_record", where: own },
          { table: "preference", where: own },
        ],
        volunteerId,
      );
      // By the name as signed, which stays with the consent, the volunteer is found as before.
      await storeSearchHashes(write, volunteerId);
      return removal;
    }
    case "recordings": {
      const removal = await removeRows(write, ownedRows(await references(db), "trial", own), volunteerId);
      await db.trial.updateMany({
        where: { studyId: access.studyId, volunteerId },
        data: {
          state: "set_aside",
          setAsideReason: "The recordings were removed when their time was over.",
          stateChangedAt: now,
          revision: { increment: 1 },
        },
      });
      await db.comparison.updateMany({
        where: { studyId: access.studyId, answer: { not: Prisma.DbNull } },
        data: { answer: Prisma.DbNull, inputHash: null, answeredAt: null },
      });
      return removal;
    }
    case "consent records": {
      const signed = ownedRows(await references(db), "consent_record", own);
      const removal = await removeRows(
        write,
        [
          ...signed,
          { table: "identity_search_hash", where: own },
          { table: "consent_record", where: own },
          { table: "withdrawal", where: own },
        ],
        volunteerId,
      );
      return removal;
    }
  }
}
