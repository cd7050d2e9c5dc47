import { Readable } from "node:stream";
import { constants, createGunzip } from "node:zlib";
import type { SourceFileState } from "@acral/db";
import {
  columnMapSchema,
  type Detection,
  defaultLimits,
  isWorkbook,
  readSourceStream,
  type SourceFileError,
} from "@acral/ingest";
import type { z } from "zod";
import { adjustmentTitle } from "../adjustment/policy";
import { adjustmentSettings } from "../adjustment/schema";
import { AppError, notFound } from "../app-error";
import { removeUnnamedBlob } from "../blob/service";
import { requireStoredUse } from "../consent/service";
import { permissionKeys } from "../consent-form/policy";
import type { Core } from "../core";
import { Head } from "../file-head/policy";
import { refuseNaming } from "../identity/service";
import { stretchesOf } from "../reading/policy";
import { predecessorsOf } from "../replacement/policy";
import { changedMeanwhile } from "../revision";
import { type ReadScope, type WriteScope, writeInStudy } from "../scope";
import { stateAfterReopening } from "../trial/policy";
import { filesChanged, findTrial, lockTrial } from "../trial/service";
import { headBytes, wholeLines } from "./policy";
import type { removeInput } from "./schema";
import { storedReport } from "./schema";

/** What a reader said against a file, for the screen. */
export interface FileProblem {
  readonly code: SourceFileError["code"];
  readonly message: string;
  readonly line: number | null;
  readonly column: number | null;
}

/** What the reader said, as the screen is told it. */
export const problemOf = (error: SourceFileError): FileProblem => ({
  code: error.code,
  message: error.message,
  line: error.line ?? null,
  column: error.column ?? null,
});

export function fileRefused(error: SourceFileError): AppError {
  return new AppError("file-refused", error.message, { details: { ...problemOf(error) }, cause: error });
}

/** A table without a time column can be proposed, but not read before a person has found its times. */
export function withoutTime(detection: Detection): FileProblem | null {
  if (detection.columnMap.time.columns.length > 0) return null;
  const doubt = detection.doubts.find(({ kind }) => kind === "time column");
  return {
    code: "no-time-column",
    message: doubt?.reason ?? "No column holds the time of the rows.",
    line: null,
    column: null,
  };
}

/** The first text of a file, unpacked where it is packed, up to its last whole line when there is more; a workbook as it is. */
export async function textHead(head: Uint8Array, totalBytes: number): Promise<Uint8Array> {
  if (isWorkbook(head)) return head;
  const cut = head.subarray(0, headBytes);
  if (cut[0] !== 0x1f || cut[1] !== 0x8b) return totalBytes > cut.length ? wholeLines(cut) : cut;
  // All of it is there: detection unpacks it itself, and says when it is damaged or cut off.
  if (totalBytes <= cut.length) return cut;
  // The packed bytes may end in the middle: what could be unpacked up to there is what is looked at.
  const gunzip = createGunzip({ finishFlush: constants.Z_SYNC_FLUSH });
  const parts: Buffer[] = [];
  let length = 0;
  try {
    for await (const part of Readable.from([cut]).pipe(gunzip)) {
      parts.push(part);
      length += part.length;
      if (length >= headBytes) break;
    }
  } catch {
    // Damaged: the reader says so, in its own words, when it is given the packed bytes.
    return cut;
  }
  const text = Buffer.concat(parts);
  return length >= headBytes || totalBytes > cut.length ? wholeLines(text.subarray(0, headBytes)) : text;
}

/** The first text of a file that is kept. */
export async function headOfBlob(core: Core, sha256: string, sizeBytes: number): Promise<Uint8Array> {
  const head = new Head();
  for await (const chunk of core.blobs.read(sha256)) {
    head.take(chunk);
    if (head.isFull) break;
  }
  return textHead(head.bytes(), sizeBytes);
}

/** The row of a file; not found in another study. */
export async function findFile(scope: ReadScope, sourceFileId: string) {
  const file = await scope.db.sourceFile.findFirst({
    where: { id: sourceFileId, studyId: scope.access.studyId },
  });
  if (file === null) throw notFound("source file");
  return file;
}

/** The bytes of a file as they were uploaded, for its download. */
export async function openSourceFile(scope: ReadScope, trialId: string, sourceFileId: string) {
  const file = await findFile(scope, sourceFileId);
  if (file.trialId !== trialId) throw notFound("source file");
  const { trial } = await findTrial(scope, trialId);
  await requireStoredUse(scope, trial.volunteerId, permissionKeys.takePart, scope.now);
  return {
    name: file.name,
    sizeBytes: file.sizeBytes,
    sha256: file.sha256,
    body: scope.core.blobs.read(file.sha256),
  };
}

/** A file whose place another one has taken is kept, and nothing is done with it before it is put back. */
export function requireInUse(file: { state: SourceFileState }): void {
  if (file.state !== "replaced") return;
  throw new AppError(
    "wrong-state",
    "Another file has taken the place of this one. It is kept as it is; put it back in its place first.",
  );
}

/** Somebody else read, moved or changed the file meanwhile. */
export const fileChanged = (file: { revision: number; offsetS: number; state: string }) =>
  changedMeanwhile("source file", { revision: file.revision, offsetS: file.offsetS, state: file.state });

/** The file with its trial, locked, in a state in which it can be changed. */
export async function lockFile(write: WriteScope, sourceFileId: string, revision: number) {
  const { trialId } = await findFile(write, sourceFileId);
  const locked = await lockTrial(write, trialId, "change");
  const file = await findFile(write, sourceFileId);
  if (file.revision !== revision) throw fileChanged(file);
  requireInUse(file);
  return {
    ...locked,
    file,
    subject: { kind: "source file", id: file.id, label: locked.label, volunteerId: locked.trial.volunteerId },
  };
}

/**
 * Takes a file out of a trial, with its traces, and with the files whose place it had taken. Their bytes go at the next
 * sweep.
 */
export function removeSourceFile(scope: ReadScope, input: z.output<typeof removeInput>) {
  return writeInStudy(scope, async (write) => {
    const { trial, file, subject } = await lockFile(write, input.sourceFileId, input.revision);
    const { db, access } = write;
    await refuseNaming(write, trial.volunteerId, input.reason, "reason");
    const ofTrial = await db.sourceFile.findMany({ where: { studyId: access.studyId, trialId: trial.id } });
    const before = predecessorsOf(ofTrial, file.id);
    const gone = { in: [file.id, ...before.map(({ id }) => id)] };
    const adjustments = await db.adjustment.findMany({
      where: { studyId: access.studyId, sourceFileId: gone, state: "active" },
      orderBy: [{ position: "asc" }, { id: "asc" }],
    });
    // Findings, decisions and adjustments go with their file; that it was adjusted stays in the trail.
    const adjusted = (id: string) => {
      const titles = adjustments
        .filter(({ sourceFileId }) => sourceFileId === id)
        .map(({ settings }) => adjustmentTitle(adjustmentSettings.parse(settings)));
      return titles.length === 0 ? {} : { adjustments: titles };
    };
    await db.trace.deleteMany({ where: { studyId: access.studyId, sourceFileId: gone } });
    await db.sourceFile.deleteMany({ where: { studyId: access.studyId, id: gone } });
    const read = await db.sourceFile.count({
      where: { studyId: access.studyId, trialId: trial.id, state: "read" },
    });
    await db.trial.update({
      where: { id: trial.id },
      data: filesChanged(trial.state, stateAfterReopening(read), write.now),
    });
    return {
      result: null,
      audit: [
        {
          action: "sourceFile.remove",
          subject,
          before: {
            sha256: file.sha256,
            sizeBytes: file.sizeBytes,
            state: file.state,
            ...adjusted(file.id),
          },
          reason: input.reason,
        },
        ...before.map((replaced) => ({
          action: "sourceFile.remove",
          subject: { ...subject, id: replaced.id },
          before: {
            sha256: replaced.sha256,
            sizeBytes: replaced.sizeBytes,
            state: replaced.state,
            ...adjusted(replaced.id),
          },
          reason: input.reason,
        })),
      ],
    };
  });
}

/** Line numbers that the complete list of one reason holds; how many there are beyond is said. */
const listedLines = 100_000;

/**
 * Every row of a file that was not used, by reason: the bytes are read again by the map that they were read by, since a
 * stored report lists the first lines only.
 */
export async function rowsNotUsed(scope: ReadScope, sourceFileId: string) {
  const file = await findFile(scope, sourceFileId);
  const { trial } = await findTrial(scope, file.trialId);
  await requireStoredUse(scope, trial.volunteerId, permissionKeys.takePart, scope.now);
  if (file.state !== "read" || file.columnMap === null) {
    throw new AppError("wrong-state", "This file is not read, so no row of it was left out. Read it first.");
  }
  const { report } = await readSourceStream(
    scope.core.blobs.read(file.sha256),
    columnMapSchema.parse(file.columnMap),
    { ...defaultLimits, maxListedLines: listedLines },
  );
  return {
    rowsRead: report.rowsRead,
    rowsUsed: report.rowsUsed,
    reasons: report.rowsNotUsed.map(({ reason, count, lines }) => ({
      reason,
      count,
      /** First and last line of each stretch. */
      stretches: stretchesOf(lines),
      notListed: count - lines.length,
    })),
  };
}

/** From which bytes, by which column map and reader, the file's traces came. */
export async function provenanceOf(scope: ReadScope, sourceFileId: string) {
  const file = await findFile(scope, sourceFileId);
  const { trial } = await findTrial(scope, file.trialId);
  // The report repeats cells of the file.
  await requireStoredUse(scope, trial.volunteerId, permissionKeys.takePart, scope.now);
  const [traces, uploader] = await Promise.all([
    scope.db.trace.findMany({
      where: { studyId: scope.access.studyId, sourceFileId },
      select: {
        columnIndex: true,
        columnName: true,
        regionId: true,
        statistic: true,
        channel: true,
        unit: true,
        missing: true,
      },
      orderBy: { columnIndex: "asc" },
    }),
    scope.db.user.findUnique({ where: { id: file.uploadedById }, select: { name: true } }),
  ]);
  return {
    sourceFileId,
    name: file.name,
    sha256: file.sha256,
    sizeBytes: file.sizeBytes,
    uploadedAt: file.uploadedAt.toISOString(),
    uploadedBy: uploader?.name ?? "somebody who has no account any more",
    state: file.state,
    readerVersion: file.readerVersion,
    startedAt: file.startedAt,
    offsetS: file.offsetS,
    samples: file.count,
    stepS: file.stepS,
    columnMap: file.columnMap === null ? null : columnMapSchema.parse(file.columnMap),
    report: file.report === null ? null : storedReport.parse(file.report),
    traces,
  };
}

/** How old a blob must be before the sweep may take it: an upload writes its row within this time. */
const sweepAfterMs = 60 * 60 * 1000;

/** Removes blobs that no row names. Returns how many. */
export async function sweepBlobs(core: Core): Promise<number> {
  const before = new Date(core.now().getTime() - sweepAfterMs);
  let removed = 0;
  for await (const { sha256, storedAt } of core.blobs.list()) {
    if (storedAt >= before) continue;
    if (await removeUnnamedBlob(core, sha256, before)) removed++;
  }
  return removed;
}
