import type { Prisma } from "@acral/db";
import type { z } from "zod";
import { AppError, notFound } from "../app-error";
import { permissionsOf } from "../consent/service";
import { takePart } from "../consent-form/schema";
import { newId } from "../identifiers";
import { identityState, refuseNaming, requireNotErased } from "../identity/service";
import { dayNotInFuture } from "../moment";
import { changedMeanwhile } from "../revision";
import { type ReadScope, type WriteScope, writeInStudy } from "../scope";
import { permittedCount } from "../volunteer-standing/policy";
import {
  birthYearRefusal,
  derivedBody,
  nextVolunteerCode,
  participationOf,
  volunteerRemarks,
} from "./policy";
import {
  type addBodyMeasuresInput,
  type BodyMeasuresInput,
  type registerVolunteerInput,
  type removeBodyMeasuresInput,
  skinfoldsMm,
  type updateVolunteerInput,
  type volunteerListInput,
} from "./schema";

type Measures = Prisma.BodyMeasuresGetPayload<object>;

const newestFirst = [
  { measuredOn: "desc" },
  { createdAt: "desc" },
] as const satisfies Prisma.BodyMeasuresOrderByWithRelationInput[];

const bodyOf = (row: Measures) => ({
  bodyMeasuresId: row.id,
  measuredOn: row.measuredOn.toISOString().slice(0, 10),
  heightCm: row.heightCm,
  massKg: row.massKg,
  skinfoldsMm: row.skinfoldsMm === null ? null : skinfoldsMm.parse(row.skinfoldsMm),
  ...derivedBody(row),
});

export async function listVolunteers(scope: ReadScope, input: z.output<typeof volunteerListInput>) {
  const { db, access, now } = scope;
  const matching: Prisma.VolunteerWhereInput = {
    studyId: access.studyId,
    ...(input.search === "" ? {} : { code: { contains: input.search, mode: "insensitive" } }),
    ...(input.sex === undefined ? {} : { sex: input.sex }),
  };
  const candidates = await db.volunteer.findMany({ where: matching, select: { id: true } });
  const ids = candidates.map((candidate) => candidate.id);
  const consents = await permissionsOf(scope, ids, now);
  const wanted =
    input.participation === undefined
      ? ids
      : ids.filter((id) => participationOf(consents.get(id)?.decide(takePart)) === input.participation);
  const direction = input.direction === "ascending" ? "asc" : "desc";
  const rows = await db.volunteer.findMany({
    where: { studyId: access.studyId, id: { in: wanted } },
    orderBy: [
      input.sort === "birthYear"
        ? { birthYear: { sort: direction, nulls: "last" } }
        : { [input.sort]: direction },
      { code: "asc" },
    ],
    skip: (input.page - 1) * input.pageSize,
    take: input.pageSize,
    include: {
      bodyMeasures: { orderBy: [...newestFirst], take: 1 },
      _count: { select: { trials: true } },
    },
  });
  return {
    total: wanted.length,
    rows: rows.map((row) => {
      const decision = consents.get(row.id)?.decide(takePart);
      const body = row.bodyMeasures[0];
      return {
        volunteerId: row.id,
        code: row.code,
        sex: row.sex,
        birthYear: row.birthYear,
        registeredAt: row.registeredAt.toISOString(),
        erasedAt: row.erasedAt?.toISOString() ?? null,
        body: body === undefined ? null : bodyOf(body),
        participation: participationOf(decision),
        participationSince: decision?.since?.toISOString() ?? null,
        /** Why nothing more may be done with the volunteer; null when it may. */
        participationReason: decision === undefined || decision.allowed ? null : decision.reason,
        permits: permittedCount(consents.get(row.id)),
        trials: row._count.trials,
      };
    }),
  };
}

export async function getVolunteer(scope: ReadScope, volunteerId: string) {
  const { db, access, now } = scope;
  const row = await db.volunteer.findFirst({
    where: { id: volunteerId, studyId: access.studyId },
    include: { bodyMeasures: { orderBy: [...newestFirst] } },
  });
  if (row === null) throw notFound("volunteer");
  const [identity, consents, trials] = await Promise.all([
    identityState(scope, volunteerId),
    permissionsOf(scope, [volunteerId], now),
    db.trial.groupBy({
      by: ["state"],
      where: { studyId: access.studyId, volunteerId },
      _count: { _all: true },
    }),
  ]);
  return {
    volunteerId: row.id,
    code: row.code,
    sex: row.sex,
    birthYear: row.birthYear,
    revision: row.revision,
    registeredAt: row.registeredAt.toISOString(),
    /** From then on there is a tombstone: nothing but the code and this. */
    erasedAt: row.erasedAt?.toISOString() ?? null,
    remarks: volunteerRemarks(row.birthYear, now),
    bodyMeasures: row.bodyMeasures.map(bodyOf),
    /** Which fields are entered; the values are shown by identity.reveal alone. */
    identity,
    participation: participationOf(consents.get(volunteerId)?.decide(takePart)),
    trials: trials.map((group) => ({ state: group.state, count: group._count._all })),
  };
}

export function registerVolunteer(scope: ReadScope, input: z.output<typeof registerVolunteerInput>) {
  return writeInStudy(scope, async (write) => {
    const { db, access, now } = write;
    const taken = await takenCodes(write);
    checkBirthYear(input.birthYear, now);
    if (input.code !== undefined) refuseTakenCode(input.code, taken);
    const code = input.code ?? nextVolunteerCode(taken.map((other) => other.code));
    const volunteerId = newId();
    await db.volunteer.create({
      data: {
        id: volunteerId,
        studyId: access.studyId,
        code,
        sex: input.sex,
        birthYear: input.birthYear,
        registeredAt: now,
      },
    });
    const body =
      input.bodyMeasures === undefined
        ? null
        : await storeBody(write, volunteerId, input.birthYear, input.bodyMeasures);
    return {
      result: { volunteerId, code, remarks: volunteerRemarks(input.birthYear, now), body },
      audit: [
        {
          action: "volunteer.register",
          subject: { kind: "volunteer", id: volunteerId, label: code },
          after: {
            code,
            sex: input.sex,
            birthYear: input.birthYear,
            ...(body === null ? {} : bodyForAudit(body)),
          },
        },
      ],
    };
  });
}

export function updateVolunteer(scope: ReadScope, input: z.output<typeof updateVolunteerInput>) {
  return writeInStudy(scope, async (write) => {
    const { db, access, now } = write;
    const taken = await takenCodes(write);
    const before = await db.volunteer.findFirst({
      where: { id: input.volunteerId, studyId: access.studyId },
    });
    if (before === null) throw notFound("volunteer");
    requireNotErased(before);
    if (before.revision !== input.revision) {
      const { code, sex, birthYear, revision } = before;
      throw changedMeanwhile("volunteer", { code, sex, birthYear, revision });
    }
    checkBirthYear(input.birthYear, now);
    refuseTakenCode(
      input.code,
      taken.filter((other) => other.id !== before.id),
    );
    const after = { code: input.code, sex: input.sex, birthYear: input.birthYear };
    await db.volunteer.update({
      where: { id: before.id },
      data: { ...after, revision: { increment: 1 } },
    });
    return {
      result: { revision: before.revision + 1, remarks: volunteerRemarks(input.birthYear, now) },
      audit: [
        {
          action: "volunteer.update",
          subject: { kind: "volunteer", id: before.id, label: input.code },
          before: { code: before.code, sex: before.sex, birthYear: before.birthYear },
          after,
        },
      ],
    };
  });
}

export function addBodyMeasures(scope: ReadScope, input: z.output<typeof addBodyMeasuresInput>) {
  return writeInStudy(scope, async (write) => {
    const volunteer = await findVolunteer(write, input.volunteerId);
    const body = await storeBody(write, volunteer.id, volunteer.birthYear, input.bodyMeasures);
    return {
      result: body,
      audit: [
        {
          action: "volunteer.addBodyMeasures",
          subject: { kind: "volunteer", id: volunteer.id, label: volunteer.code },
          after: bodyForAudit(body),
        },
      ],
    };
  });
}

export function removeBodyMeasures(scope: ReadScope, input: z.output<typeof removeBodyMeasuresInput>) {
  return writeInStudy(scope, async (write) => {
    const { db, access } = write;
    const volunteer = await findVolunteer(write, input.volunteerId);
    await refuseNaming(write, volunteer.id, input.reason, "reason");
    const row = await db.bodyMeasures.findFirst({
      where: { id: input.bodyMeasuresId, volunteerId: volunteer.id, studyId: access.studyId },
    });
    if (row === null) throw notFound("set of body measures");
    await db.bodyMeasures.delete({ where: { id: row.id } });
    return {
      result: null,
      audit: [
        {
          action: "volunteer.removeBodyMeasures",
          subject: { kind: "volunteer", id: volunteer.id, label: volunteer.code },
          before: bodyForAudit(bodyOf(row)),
          reason: input.reason,
        },
      ],
    };
  });
}

async function findVolunteer(scope: ReadScope, volunteerId: string) {
  const row = await scope.db.volunteer.findFirst({
    where: { id: volunteerId, studyId: scope.access.studyId },
  });
  if (row === null) throw notFound("volunteer");
  requireNotErased(row);
  return row;
}

/** All codes of the study; nobody else gives a code before this transaction ends. */
async function takenCodes(scope: WriteScope) {
  await scope.db.$queryRaw`select id from study where id = ${scope.access.studyId} for update`;
  return scope.db.volunteer.findMany({
    where: { studyId: scope.access.studyId },
    select: { id: true, code: true },
  });
}

/** Codes that differ only in upper and lower case would be mixed up on paper. */
function refuseTakenCode(code: string, taken: readonly { code: string }[]): void {
  const same = taken.find((other) => other.code.toLowerCase() === code.toLowerCase());
  if (same === undefined) return;
  throw new AppError(
    "exists",
    `The code ${same.code} exists already in this study. Type another one, or leave the field empty to be given the next free one.`,
    { field: "code" },
  );
}

function checkBirthYear(birthYear: number | null, now: Date): void {
  const refusal = birthYear === null ? null : birthYearRefusal(birthYear, now);
  if (refusal !== null) throw new AppError("invalid", refusal, { field: "birthYear" });
}

async function storeBody(
  scope: WriteScope,
  volunteerId: string,
  birthYear: number | null,
  input: BodyMeasuresInput,
) {
  dayNotInFuture(input.measuredOn, scope.now, "bodyMeasures.measuredOn", "The day of the measurement");
  if (birthYear !== null && Number(input.measuredOn.slice(0, 4)) < birthYear) {
    throw new AppError("invalid", `The day of the measurement lies before the birth year ${birthYear}.`, {
      field: "bodyMeasures.measuredOn",
    });
  }
  const row = await scope.db.bodyMeasures.create({
    data: {
      id: newId(),
      studyId: scope.access.studyId,
      volunteerId,
      measuredOn: new Date(`${input.measuredOn}T00:00:00Z`),
      heightCm: input.heightCm,
      massKg: input.massKg,
      ...(input.skinfoldsMm === null ? {} : { skinfoldsMm: input.skinfoldsMm }),
      createdAt: scope.now,
    },
  });
  return bodyOf(row);
}

function bodyForAudit(body: ReturnType<typeof bodyOf>) {
  const skinfolds = Object.entries(body.skinfoldsMm ?? {}).map(([site, mm]) => `${site} ${mm} mm`);
  return {
    measuredOn: body.measuredOn,
    heightCm: body.heightCm,
    massKg: body.massKg,
    ...(skinfolds.length === 0 ? {} : { skinfolds }),
  };
}
