import { type Prisma, TrialState } from "@acral/db";
import type { z } from "zod";
import { timeShiftOf } from "../adjustment/policy";
import { AppError, notFound } from "../app-error";
import { permissionsOf, requirePermission } from "../consent/service";
import { permissionKeys, recordingPermissions } from "../consent-form/policy";
import { methodInWords } from "../file-offset/policy";
import { keptMethod } from "../file-offset/schema";
import { newId } from "../identifiers";
import { endMarkerKey, markersByDurations, markersOutside, phasesOf } from "../marker/policy";
import { conditionName } from "../protocol/policy";
import { type ProtocolContent, protocolContent } from "../protocol/schema";
import { protocolInForce } from "../protocol/service";
import { predecessorsOf } from "../replacement/policy";
import { changedMeanwhile } from "../revision";
import { type ReadScope, type WriteScope, writeInStudy } from "../scope";
import { requireScreening } from "../screening/service";
import { readingLosses, rowsOf } from "../source-file/policy";
import { storedReport } from "../source-file/schema";
import { recordingOf, shifted } from "../trace/policy";
import { activeAdjustments, settingsOf, timeBaseColumns, timeBaseOfRow } from "../trace/service";
import { isUniqueViolation } from "../unique-violation";
import {
  acceptanceLacks,
  regionsNotRecorded,
  roomOutside,
  stepRefusal,
  type TrialStep,
  trialLabel,
} from "./policy";
import type { planTrialInput, saveRoomInput, stepInput, trialListInput } from "./schema";

const withPeople = {
  volunteer: { select: { id: true, code: true } },
  protocol: { select: { id: true, version: true, content: true } },
} satisfies Prisma.TrialInclude;

type TrialRow = Prisma.TrialGetPayload<{ include: typeof withPeople }>;

function labelOf(trial: TrialRow, content: ProtocolContent): string {
  return trialLabel({
    code: trial.volunteer.code,
    condition: conditionName(content, trial.conditionKey),
    occasion: trial.occasion,
  });
}

/** The trial with its protocol; not found in another study. */
export async function findTrial(scope: ReadScope, trialId: string) {
  const trial = await scope.db.trial.findFirst({
    where: { id: trialId, studyId: scope.access.studyId },
    include: withPeople,
  });
  if (trial === null) throw notFound("trial");
  const content = protocolContent.parse(trial.protocol.content);
  const label = labelOf(trial, content);
  const subject = { kind: "trial", id: trial.id, label, volunteerId: trial.volunteer.id };
  return { trial, content, label, subject };
}

/** Throws with the sentence for it when the trial's state does not allow the step. */
export function requireStep(step: TrialStep, state: TrialState): void {
  const refusal = stepRefusal(step, state);
  if (refusal !== null) throw new AppError("wrong-state", refusal, { details: { state } });
}

/** The trial, locked until the end of the transaction, in a state that allows the step. */
export async function lockTrial(scope: WriteScope, trialId: string, step: TrialStep) {
  await scope.db
    .$queryRaw`select id from trial where id = ${trialId} and study_id = ${scope.access.studyId} for update`;
  const found = await findTrial(scope, trialId);
  requireStep(step, found.trial.state);
  return found;
}

/** Throws when somebody else changed the trial since it was shown; `current` is what stands there now. */
export function requireRevision(trial: TrialRow, revision: number, current: Record<string, unknown>): void {
  if (trial.revision !== revision) throw changedMeanwhile("trial", { revision: trial.revision, ...current });
}

/** Throws "consent-missing" unless consent in force permits taking part and recording now. */
export async function requireConsentToRecord(scope: ReadScope, volunteerId: string): Promise<void> {
  for (const permission of recordingPermissions) {
    await requirePermission(scope, volunteerId, permission, scope.now);
  }
}

/** Why nothing more may be done with the volunteer's trials now, in words, null when it may; and whether what is stored may be used. */
async function consentOf(scope: ReadScope, volunteer: { id: string; code: string }) {
  const consent = (await permissionsOf(scope, [volunteer.id], scope.now)).get(volunteer.id);
  const decision = consent?.decide(permissionKeys.takePart);
  return {
    missing:
      decision?.allowed === true
        ? null
        : `Volunteer ${volunteer.code} does not permit taking part. ${decision?.reason ?? "No consent is recorded."}`,
    storedUse: consent?.stored(permissionKeys.takePart).allowed ?? false,
  };
}

export async function listTrials(scope: ReadScope, input: z.output<typeof trialListInput>) {
  const { studyId } = scope.access;
  const where: Prisma.TrialWhereInput = {
    studyId,
    ...(input.states.length === 0 ? {} : { state: { in: input.states } }),
    ...(input.conditionKey === undefined ? {} : { conditionKey: input.conditionKey }),
    ...(input.volunteer === undefined || input.volunteer === ""
      ? {}
      : { volunteer: { code: { contains: input.volunteer, mode: "insensitive" } } }),
  };
  const direction = input.direction === "ascending" ? "asc" : "desc";
  const byPlace = [{ conditionKey: "asc" }, { occasion: "asc" }, { attempt: "asc" }] as const;
  const orderBy = {
    volunteer: [{ volunteer: { code: direction } }, ...byPlace],
    condition: [{ conditionKey: direction }, { volunteer: { code: "asc" } }, { occasion: "asc" }],
    occasion: [{ occasion: direction }, { volunteer: { code: "asc" } }, { conditionKey: "asc" }],
    state: [{ state: direction }, { volunteer: { code: "asc" } }, ...byPlace],
    changed: [{ stateChangedAt: direction }, { id: "asc" }],
  } satisfies Record<typeof input.sort, Prisma.TrialOrderByWithRelationInput[]>;
  const [total, rows, protocol, planned] = await Promise.all([
    scope.db.trial.count({ where }),
    scope.db.trial.findMany({
      where,
      include: {
        volunteer: withPeople.volunteer,
        protocol: withPeople.protocol,
        _count: { select: { sourceFiles: { where: { state: { not: "replaced" } } } } },
      },
      orderBy: orderBy[input.sort],
      skip: (input.page - 1) * input.pageSize,
      take: input.pageSize,
    }),
    protocolInForce(scope.db, studyId),
    scope.db.trial.count({ where: { studyId } }),
  ]);
  const permitted = await permissionsOf(scope, [...new Set(rows.map((row) => row.volunteerId))], scope.now);
  const contents = new Map<string, ProtocolContent>();
  const contentOf = (row: TrialRow) => {
    const known = contents.get(row.protocolId) ?? protocolContent.parse(row.protocol.content);
    contents.set(row.protocolId, known);
    return known;
  };
  return {
    total,
    /** All trials of the study, whatever the filter. */
    inStudy: planned,
    conditions: (protocol?.content.conditions ?? []).map(({ key, name }) => ({ key, name })),
    rows: rows.map((row) => ({
      trialId: row.id,
      volunteerId: row.volunteerId,
      volunteerCode: row.volunteer.code,
      conditionKey: row.conditionKey,
      conditionName: conditionName(contentOf(row), row.conditionKey),
      occasion: row.occasion,
      attempt: row.attempt,
      state: row.state,
      sourceFiles: row._count.sourceFiles,
      plannedFor: row.plannedFor?.toISOString() ?? null,
      stateChangedAt: row.stateChangedAt.toISOString(),
      setAsideReason: row.setAsideReason,
      consentInForce: permitted.get(row.volunteerId)?.has(permissionKeys.takePart) ?? false,
      storedUse: permitted.get(row.volunteerId)?.stored(permissionKeys.takePart).allowed ?? false,
    })),
  };
}

export function planTrial(scope: ReadScope, input: z.output<typeof planTrialInput>) {
  return writeInStudy(scope, async (write) => {
    const { db, access, now } = write;
    const protocol = await protocolInForce(db, access.studyId);
    if (protocol === null) {
      throw new AppError(
        "wrong-state",
        "No protocol is in force, so there is no plan that a trial could follow. Put the protocol in force first.",
      );
    }
    const { content } = protocol;
    if (!content.conditions.some((condition) => condition.key === input.conditionKey)) {
      throw new AppError(
        "invalid",
        "The protocol in force has no such condition. Choose one of its conditions.",
        {
          field: "conditionKey",
        },
      );
    }
    if (input.occasion > content.occasions) {
      throw new AppError(
        "invalid",
        `The protocol in force has ${content.occasions} ${content.occasions === 1 ? "occasion" : "occasions"} per condition. Choose a number up to that.`,
        { field: "occasion" },
      );
    }
    const volunteer = await db.volunteer.findFirst({
      where: { id: input.volunteerId, studyId: access.studyId },
      select: { id: true, code: true },
    });
    if (volunteer === null) throw notFound("volunteer");
    await requireConsentToRecord(write, volunteer.id);
    const label = trialLabel({
      code: volunteer.code,
      condition: conditionName(content, input.conditionKey),
      occasion: input.occasion,
    });
    const same = await db.trial.findMany({
      where: {
        studyId: access.studyId,
        volunteerId: volunteer.id,
        conditionKey: input.conditionKey,
        occasion: input.occasion,
      },
      select: { id: true, state: true, attempt: true },
    });
    const counting = same.find((trial) => trial.state !== TrialState.set_aside);
    const exists = (trialId: string | null) =>
      new AppError(
        "exists",
        `${label} is planned already. Open that trial, or set it aside with a reason before you plan it again.`,
        { field: "occasion", details: { trialId } },
      );
    if (counting !== undefined) throw exists(counting.id);
    const trialId = newId();
    const attempt = Math.max(0, ...same.map((trial) => trial.attempt)) + 1;
    try {
      await db.trial.create({
        data: {
          id: trialId,
          studyId: access.studyId,
          volunteerId: volunteer.id,
          protocolId: protocol.protocolId,
          conditionKey: input.conditionKey,
          occasion: input.occasion,
          attempt,
          plannedFor: input.plannedFor === null ? null : new Date(input.plannedFor),
          createdAt: now,
          stateChangedAt: now,
        },
      });
    } catch (error) {
      if (isUniqueViolation(error)) throw exists(null);
      throw error;
    }
    return {
      result: { trialId, attempt },
      audit: [
        {
          action: "trial.plan",
          subject: { kind: "trial", id: trialId, label, volunteerId: volunteer.id },
          after: {
            conditionKey: input.conditionKey,
            occasion: input.occasion,
            attempt,
            plannedFor: input.plannedFor,
            protocolVersion: protocol.version,
          },
        },
      ],
    };
  });
}

const roomOf = (trial: TrialRow) => ({
  airTemperatureC: trial.airTemperatureC,
  meanRadiantTemperatureC: trial.meanRadiantTemperatureC,
  relativeHumidityPct: trial.relativeHumidityPct,
  airSpeedMS: trial.airSpeedMS,
});

/** Everything that the trial's page shows, except the series and the numbers derived from them. */
export async function getTrial(scope: ReadScope, trialId: string) {
  const { trial, content, label } = await findTrial(scope, trialId);
  const { studyId } = scope.access;
  const [markerRows, allFiles, consent] = await Promise.all([
    scope.db.marker.findMany({ where: { studyId, trialId }, orderBy: [{ atS: "asc" }, { id: "asc" }] }),
    scope.db.sourceFile.findMany({
      where: { studyId, trialId },
      orderBy: [{ uploadedAt: "asc" }, { id: "asc" }],
      select: {
        id: true,
        name: true,
        sizeBytes: true,
        sha256: true,
        state: true,
        startedAt: true,
        offsetS: true,
        revision: true,
        uploadedAt: true,
        report: true,
        successorId: true,
        replacedAt: true,
        replacedReason: true,
        offsets: { orderBy: { place: "desc" }, take: 1, select: { method: true } },
        ...timeBaseColumns,
        adjustments: activeAdjustments,
        traces: { select: { regionId: true, statistic: true } },
      },
    }),
    consentOf(scope, trial.volunteer),
  ]);
  const files = allFiles.filter(({ state }) => state !== "replaced");
  const markers = markerRows.map(({ name, phaseKey, atS }) => ({ name, phaseKey, atS }));
  const timeBases = files.map((file) => {
    const timeBase = timeBaseOfRow(file);
    return timeBase === null
      ? null
      : shifted(timeBase, file.offsetS + timeShiftOf(settingsOf(file.adjustments)));
  });
  const recording = recordingOf(timeBases.flatMap((timeBase) => (timeBase === null ? [] : [{ timeBase }])));
  const condition = content.conditions.find((candidate) => candidate.key === trial.conditionKey);
  const room = roomOf(trial);
  return {
    trialId: trial.id,
    label,
    revision: trial.revision,
    state: trial.state,
    stateChangedAt: trial.stateChangedAt.toISOString(),
    setAsideReason: trial.setAsideReason,
    volunteerId: trial.volunteer.id,
    volunteerCode: trial.volunteer.code,
    condition: {
      key: trial.conditionKey,
      name: condition?.name ?? trial.conditionKey,
      description: condition?.description ?? "",
    },
    occasion: trial.occasion,
    attempt: trial.attempt,
    plannedFor: trial.plannedFor?.toISOString() ?? null,
    room,
    roomOutside: roomOutside(room, content.roomLimits),
    roomLimits: content.roomLimits,
    protocol: {
      protocolId: trial.protocol.id,
      version: trial.protocol.version,
      phases: content.phases,
      regions: content.regions,
      stopCriteria: content.stopCriteria,
    },
    markers,
    endMarkerKey,
    /** Markers by the protocol's durations, for a start at zero. */
    markersByDurations: markersByDurations(content.phases, 0),
    recording,
    phases: recording === null ? [] : phasesOf(markers, content.phases, recording.toS),
    markersOutside: recording === null ? [] : markersOutside(markers, recording),
    sourceFiles: files.map((file, i) => ({
      sourceFileId: file.id,
      name: file.name,
      sizeBytes: file.sizeBytes,
      sha256: file.sha256,
      state: file.state,
      startedAt: file.startedAt,
      offsetS: file.offsetS,
      revision: file.revision,
      uploadedAt: file.uploadedAt.toISOString(),
      traces: file.traces.length,
      /** How it came to lie there; null while it lies where it began. */
      offsetHow: file.offsets.map(({ method }) => methodInWords(keptMethod.parse(method)))[0] ?? null,
      rows: file.report === null ? null : rowsOf(storedReport.parse(file.report)),
      /** The files whose place it has taken, the last one first. */
      replaced: predecessorsOf(allFiles, file.id).map((old) => ({
        sourceFileId: old.id,
        name: old.name,
        sizeBytes: old.sizeBytes,
        uploadedAt: old.uploadedAt.toISOString(),
        replacedAt: old.replacedAt?.toISOString() ?? null,
        reason: old.replacedReason ?? "",
      })),
      losses: file.report === null ? [] : readingLosses(storedReport.parse(file.report)),
      span: recordingOf(
        timeBases.slice(i, i + 1).flatMap((timeBase) => (timeBase === null ? [] : [{ timeBase }])),
      ),
    })),
    /** Why nothing more may be done with it; null when it may. */
    consentMissing: consent.missing,
    /** Whether what was recorded may be shown and used, which a volunteer who stopped only leaves. */
    storedUse: consent.storedUse,
    /** What the protocol wants and no file holds; empty too while no file is read. */
    regionsNotRecorded:
      recording === null
        ? []
        : regionsNotRecorded(
            content.regions,
            files.flatMap((file) => file.traces),
          ),
    acceptanceLacks: acceptanceLacks({
      state: trial.state,
      consentMissing: consent.missing,
      files: files.map((file) => ({ name: file.name, read: file.state === "read" })),
      markers,
      planned: content.phases,
      recording,
    }),
  };
}

export function saveRoom(scope: ReadScope, input: z.output<typeof saveRoomInput>) {
  return writeInStudy(scope, async (write) => {
    const { trial, content, subject } = await lockTrial(write, input.trialId, "change");
    const before = roomOf(trial);
    requireRevision(trial, input.revision, { room: before });
    await requirePermission(write, trial.volunteerId, permissionKeys.takePart, write.now);
    // The room is entered as a trial begins.
    await requireScreening(write, trial);
    await write.db.trial.update({
      where: { id: trial.id },
      data: { ...input.room, revision: { increment: 1 } },
    });
    return {
      result: { revision: trial.revision + 1, outside: roomOutside(input.room, content.roomLimits) },
      audit: [{ action: "trial.saveRoom", subject, before, after: input.room }],
    };
  });
}

/** The columns of a change of state; none when it stays. */
export function movedTo(before: TrialState, after: TrialState, now: Date) {
  return before === after ? {} : { state: after, stateChangedAt: now };
}

/** Whoever accepts a trial accepts what was shown: other files, or files read otherwise, make it another revision. */
export function filesChanged(before: TrialState, after: TrialState, now: Date) {
  return { ...movedTo(before, after, now), revision: { increment: 1 } };
}

export function discardTrial(scope: ReadScope, input: z.output<typeof stepInput>) {
  return writeInStudy(scope, async (write) => {
    const { trial, subject } = await lockTrial(write, input.trialId, "discard");
    requireRevision(trial, input.revision, { state: trial.state });
    const where = { studyId: write.access.studyId, trialId: trial.id };
    if ((await write.db.sourceFile.count({ where })) > 0) {
      throw new AppError(
        "wrong-state",
        "This trial has source files. Remove them first, or set the trial aside with a reason.",
      );
    }
    await write.db.marker.deleteMany({ where });
    await write.db.trial.delete({ where: { id: trial.id } });
    const { conditionKey, occasion, attempt, state, plannedFor } = trial;
    const before = { conditionKey, occasion, attempt, state, plannedFor: plannedFor?.toISOString() ?? null };
    return {
      result: null,
      audit: [{ action: "trial.discard", subject, before, after: { state: "discarded" } }],
    };
  });
}
