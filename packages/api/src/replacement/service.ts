import type { Prisma } from "@acral/db";
import { type ColumnMap, columnMapSchema, type Detection } from "@acral/ingest";
import type { z } from "zod";
import { AppError, notFound } from "../app-error";
import type { AuditDraft } from "../audit/schema";
import { fitRemembered } from "../column-map/policy";
import { keptMap, noteFilesChanged } from "../column-map/service";
import { requirePermission } from "../consent/service";
import { permissionKeys } from "../consent-form/policy";
import { secondsBetween, toMillisecond } from "../file-offset/policy";
import { keepOffset } from "../file-offset/service";
import { refuseNaming } from "../identity/service";
import { type Reading, readBlob, readingEntry, storeReading } from "../reading/service";
import { type ReadScope, type WriteScope, writeInStudy } from "../scope";
import { type FileProblem, fileChanged, findFile, requireInUse } from "../source-file/service";
import { findTrial, lockTrial, requireStep } from "../trial/service";
import { successorOf } from "./policy";
import type { putBackInput, Replaces } from "./schema";

/**
 * A new export of the same recording takes the place of a file. The bytes of the old one are kept, with the reason, and
 * can be put back; its traces are those of the new one.
 */

type FileRow = Prisma.SourceFileGetPayload<object>;

/** Throws before a byte is taken when the place cannot be taken. */
export async function requireReplaceable(
  scope: ReadScope,
  trialId: string,
  replaces: Replaces,
): Promise<FileRow> {
  const old = await findFile(scope, replaces.sourceFileId);
  if (old.trialId !== trialId) throw notFound("source file");
  requireInUse(old);
  if (old.revision !== replaces.revision) throw fileChanged(old);
  const { trial } = await findTrial(scope, trialId);
  await refuseNaming(scope, trial.volunteerId, replaces.reason, "reason");
  return old;
}

export type ReplacementReading =
  | { readonly kind: "read"; readonly reading: Reading }
  /** It is kept, and waits for its column map to be confirmed. */
  | { readonly kind: "not read"; readonly problem: FileProblem | null };

/** Reads the new file as the old one was read, where its layout allows it. Outside of every transaction. */
export async function readForReplacement(
  scope: ReadScope,
  oldFileId: string,
  detection: Detection | null,
  sha256: string,
): Promise<ReplacementReading> {
  const old = await findFile(scope, oldFileId);
  if (detection === null || old.state !== "read") return { kind: "not read", problem: null };
  const map = await mapFor(scope, old, detection);
  if (map === null) return { kind: "not read", problem: null };
  try {
    const columnMap = { ...fitRemembered(detection.columnMap, map), decidedBy: "person" as const };
    return { kind: "read", reading: await readBlob(scope, sha256, columnMap) };
  } catch (error) {
    if (!(error instanceof AppError) || error.code !== "file-refused") throw error;
    const { code, line, column } = error.details;
    return {
      kind: "not read",
      problem: { message: error.message, code, line: line ?? null, column: column ?? null } as FileProblem,
    };
  }
}

async function mapFor(scope: ReadScope, old: FileRow, detection: Detection): Promise<ColumnMap | null> {
  if (old.fingerprint === detection.fingerprint && old.columnMap !== null) {
    return columnMapSchema.parse(old.columnMap);
  }
  const kept = await keptMap(scope, detection.fingerprint);
  return kept === null ? null : columnMapSchema.parse(kept.map);
}

interface TakingPlace {
  readonly file: FileRow;
  readonly trial: { readonly id: string; readonly state: Parameters<typeof noteFilesChanged>[1]["state"] };
  readonly label: string;
  readonly replaces: Replaces;
  readonly reading: ReplacementReading | null;
}

/** Within the transaction that wrote the new file: the old one steps back, the new one is read and lies where it lay. */
export async function takePlace(write: WriteScope, taking: TakingPlace): Promise<AuditDraft[]> {
  const { file, trial, label, replaces, reading } = taking;
  const old = await requireReplaceable(write, trial.id, replaces);
  await stepBack(write, old, file.id, replaces.reason);
  const audit: AuditDraft[] = [
    {
      action: "sourceFile.replace",
      subject: { kind: "source file", id: file.id, label },
      before: { sha256: old.sha256, sizeBytes: old.sizeBytes, state: old.state },
      after: { sha256: file.sha256, sizeBytes: file.sizeBytes },
      reason: replaces.reason,
    },
  ];
  const startedAt = reading?.kind === "read" ? reading.reading.result.startedAt : null;
  const between = secondsBetween(old, { name: file.name, startedAt });
  const movedS = between.kind === "known" ? toMillisecond(between.seconds) : 0;
  const offsetS = toMillisecond(old.offsetS + movedS);
  if (offsetS !== 0) {
    await keepOffset(write, file.id, offsetS, { kind: "taken over", fromName: old.name, movedS });
  }
  const placed = await write.db.sourceFile.update({ where: { id: file.id }, data: { offsetS } });
  if (reading?.kind === "read") {
    const change = await storeReading(write, placed, reading.reading);
    audit.push(readingEntry(placed, label, reading.reading, change));
  }
  await noteFilesChanged(write, trial, write.now);
  return audit;
}

/** Another file stands in its place: what was read of it goes, its bytes stay. */
async function stepBack(
  write: WriteScope,
  file: FileRow,
  successorId: string,
  reason: string,
): Promise<void> {
  const { db, access, now } = write;
  await db.trace.deleteMany({ where: { studyId: access.studyId, sourceFileId: file.id } });
  await db.sourceFile.update({
    where: { id: file.id },
    data: {
      state: "replaced",
      successorId,
      replacedAt: now,
      replacedById: access.actor.userId,
      replacedReason: reason,
      revision: { increment: 1 },
    },
  });
}

/** A replaced file stands in its place again, read as it was; the one that stood there is kept as replaced. */
export async function putBack(scope: ReadScope, input: z.output<typeof putBackInput>) {
  const before = await findFile(scope, input.sourceFileId);
  const { trial } = await findTrial(scope, before.trialId);
  requireStep("change", trial.state);
  await requirePermission(scope, trial.volunteerId, permissionKeys.takePart, scope.now);
  await refuseNaming(scope, trial.volunteerId, input.reason, "reason");
  const reading =
    before.columnMap === null
      ? null
      : await readBlob(scope, before.sha256, columnMapSchema.parse(before.columnMap));
  return writeInStudy(scope, async (write) => {
    const { db, access } = write;
    const locked = await lockTrial(write, before.trialId, "change");
    await requirePermission(write, locked.trial.volunteerId, permissionKeys.takePart, write.now);
    const file = await findFile(write, input.sourceFileId);
    const files = await db.sourceFile.findMany({
      where: { studyId: access.studyId, trialId: file.trialId },
      select: { id: true, successorId: true, replacedAt: true },
    });
    const there = successorOf(files, file.id);
    if (file.state !== "replaced" || there === null) {
      throw new AppError("wrong-state", "This file stands in its place already: nothing has to be put back.");
    }
    const back = await db.sourceFile.update({
      where: { id: file.id },
      data: {
        state: "received",
        successorId: null,
        replacedAt: null,
        replacedById: null,
        replacedReason: null,
        revision: { increment: 1 },
      },
    });
    const stood = await findFile(write, there.id);
    await stepBack(write, stood, file.id, input.reason);
    const audit: AuditDraft[] =
      reading === null
        ? []
        : [readingEntry(back, locked.label, reading, await storeReading(write, back, reading))];
    await noteFilesChanged(write, locked.trial, write.now);
    return {
      result: null,
      audit: [
        {
          action: "sourceFile.putBack",
          subject: { kind: "source file", id: file.id, label: locked.label },
          before: { sha256: stood.sha256 },
          after: { sha256: file.sha256 },
          reason: input.reason,
        },
        ...audit,
      ],
    };
  });
}
