import { createHash } from "node:crypto";
import { Readable } from "node:stream";
import { constants, createGunzip } from "node:zlib";
import { BlobTooLargeError } from "@acral/db";
import { columnMapSchema, type Detection, detectColumnMap, SourceFileError } from "@acral/ingest";
import type { z } from "zod";
import { AppError, notFound } from "../app-error";
import { requirePermission } from "../consent/service";
import { permissionKeys } from "../consent-form/policy";
import type { Core } from "../core";
import { newId } from "../identifiers";
import { refuseNaming } from "../identity/service";
import { conditionName } from "../protocol/policy";
import { protocolContent } from "../protocol/schema";
import { changedMeanwhile } from "../revision";
import { type ReadScope, type WriteScope, writeInStudy } from "../scope";
import { stateAfterChange, stateAfterReopening, trialLabel } from "../trial/policy";
import { filesChanged, findTrial, lockTrial, requireConsentToRecord, requireStep } from "../trial/service";
import { isUniqueViolation } from "../unique-violation";
import { headBytes, isHopeless, largestFileBytes, wholeLines } from "./policy";
import type { removeInput, setOffsetInput } from "./schema";
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

export interface Upload {
  readonly trialId: string;
  readonly name: string;
  /** As the browser counted them. */
  readonly declaredBytes: number;
  /** As the browser computed it from the bytes it sent; null when it could not. */
  readonly declaredSha256: string | null;
  readonly body: AsyncIterable<Uint8Array>;
}

export interface ReceivedSourceFile {
  readonly sourceFileId: string;
  readonly sha256: string;
  readonly sizeBytes: number;
  /** Why no column map could be proposed; null when one could. The file is kept either way. */
  readonly problem: FileProblem | null;
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

const nothingKept = "Nothing of it was kept, and nothing else was changed.";

/**
 * Takes a file in as it arrives. It is checked while it streams: what is broken off, too long, altered under way, empty
 * or no text at all leaves nothing behind. The blob is complete before the row that names it is written.
 */
export async function receiveSourceFile(scope: ReadScope, upload: Upload): Promise<ReceivedSourceFile> {
  const { core, access } = scope;
  const { trial } = await findTrial(scope, upload.trialId);
  requireStep("upload", trial.state);
  await requireConsentToRecord(scope, trial.volunteerId);
  await refuseNaming(scope, trial.volunteerId, upload.name, "name");
  const limit = Math.min(core.environment.uploadLimitBytes, largestFileBytes);
  if (upload.declaredBytes > limit) throw tooLarge(limit);

  let detection: Detection | null = null;
  let problem: FileProblem | null = null;
  async function* checked(): AsyncGenerator<Uint8Array> {
    const hash = createHash("sha256");
    const head: Uint8Array[] = [];
    let received = 0;
    for await (const chunk of upload.body) {
      if (received < headBytes) head.push(chunk);
      received += chunk.length;
      hash.update(chunk);
      yield chunk;
    }
    if (received !== upload.declaredBytes) {
      throw new AppError(
        "file-refused",
        `Only ${received} of ${upload.declaredBytes} bytes arrived. ${nothingKept} Upload the file again.`,
      );
    }
    const sha256 = hash.digest("hex");
    if (upload.declaredSha256 !== null && upload.declaredSha256 !== sha256) {
      throw new AppError(
        "file-refused",
        `The bytes that arrived are not the bytes that were sent (their SHA-256 differs). ${nothingKept} Upload the file again.`,
      );
    }
    await refuseTwice(scope, sha256);
    try {
      detection = detectColumnMap(await textHead(Buffer.concat(head), received));
      problem = withoutTime(detection);
    } catch (error) {
      if (!(error instanceof SourceFileError)) throw error;
      if (isHopeless(error.code)) throw fileRefused(error);
      problem = problemOf(error);
    }
  }
  const blob = await core.blobs.put(checked(), limit).catch((error: unknown) => {
    throw error instanceof BlobTooLargeError ? tooLarge(limit) : error;
  });

  const sourceFileId = newId();
  const fingerprint = (detection as Detection | null)?.fingerprint ?? null;
  await writeInStudy(scope, async (write) => {
    const locked = await lockTrial(write, upload.trialId, "upload");
    // Sending may have taken long: consent counts as it stands when the file is kept.
    const keptAt = core.now();
    await requireConsentToRecord({ ...write, now: keptAt }, locked.trial.volunteerId);
    await write.db.sourceFile.create({
      data: {
        id: sourceFileId,
        studyId: access.studyId,
        trialId: upload.trialId,
        name: upload.name,
        sizeBytes: blob.sizeBytes,
        sha256: blob.sha256,
        fingerprint,
        uploadedAt: keptAt,
        uploadedById: access.actor.userId,
      },
    });
    return {
      result: null,
      // What somebody called a file stays out of the trail, which is never changed; its hash identifies it.
      audit: [
        {
          action: "file.upload",
          subject: { kind: "source file", id: sourceFileId, label: locked.label },
          after: { sha256: blob.sha256, sizeBytes: blob.sizeBytes },
        },
      ],
    };
  }).catch(async (error: unknown) => {
    if (!isUniqueViolation(error)) throw error;
    await refuseTwice(scope, blob.sha256);
    throw error;
  });
  return { sourceFileId, sha256: blob.sha256, sizeBytes: blob.sizeBytes, problem };
}

function tooLarge(limit: number): AppError {
  return new AppError(
    "file-refused",
    `The file is larger than this server takes (${Math.floor(limit / 2 ** 20)} MB). ${nothingKept} Export a shorter stretch or fewer columns, or ask the person who runs this server to raise ACRAL_UPLOAD_LIMIT_MB.`,
  );
}

/** The same bytes are in a study once; the message says where they are. */
async function refuseTwice(scope: ReadScope, sha256: string): Promise<void> {
  const there = await scope.core.database.prisma.sourceFile.findFirst({
    where: { studyId: scope.access.studyId, sha256 },
    include: {
      trial: { include: { volunteer: { select: { code: true } }, protocol: { select: { content: true } } } },
    },
  });
  if (there === null) return;
  const content = protocolContent.parse(there.trial.protocol.content);
  const label = trialLabel({
    code: there.trial.volunteer.code,
    condition: conditionName(content, there.trial.conditionKey),
    occasion: there.trial.occasion,
  });
  throw new AppError(
    "exists",
    `This file is in the study already: the same bytes belong to ${label}, as ${there.name}. ${nothingKept} Choose the file of this trial, or remove the other one first.`,
    { details: { trialId: there.trialId, sourceFileId: there.id } },
  );
}

/** The first text of a file, unpacked where it is packed, up to its last whole line when there is more. */
async function textHead(head: Uint8Array, totalBytes: number): Promise<Uint8Array> {
  const cut = head.subarray(0, headBytes);
  if (cut[0] !== 0x1f || cut[1] !== 0x8b) return totalBytes > cut.length ? wholeLines(cut) : cut;
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
  const parts: Uint8Array[] = [];
  let length = 0;
  for await (const chunk of core.blobs.read(sha256)) {
    parts.push(chunk);
    length += chunk.length;
    if (length >= headBytes) break;
  }
  return textHead(Buffer.concat(parts), sizeBytes);
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
  await requirePermission(scope, trial.volunteerId, permissionKeys.takePart, scope.now);
  return {
    name: file.name,
    sizeBytes: file.sizeBytes,
    sha256: file.sha256,
    body: scope.core.blobs.read(file.sha256),
  };
}

/** Somebody else read, moved or changed the file meanwhile. */
export const fileChanged = (file: { revision: number; offsetS: number; state: string }) =>
  changedMeanwhile("source file", { revision: file.revision, offsetS: file.offsetS, state: file.state });

async function lockFile(write: WriteScope, sourceFileId: string, revision: number) {
  const { trialId } = await findFile(write, sourceFileId);
  const locked = await lockTrial(write, trialId, "change");
  const file = await findFile(write, sourceFileId);
  if (file.revision !== revision) throw fileChanged(file);
  return { ...locked, file, subject: { kind: "source file", id: file.id, label: locked.label } };
}

/** Moves a file on the trial's clock: `offsetS` is where the file's own zero lies. */
export function setOffset(scope: ReadScope, input: z.output<typeof setOffsetInput>) {
  return writeInStudy(scope, async (write) => {
    const { trial, file, subject } = await lockFile(write, input.sourceFileId, input.revision);
    await requirePermission(write, trial.volunteerId, permissionKeys.takePart, write.now);
    await write.db.sourceFile.update({
      where: { id: file.id },
      data: { offsetS: input.offsetS, revision: { increment: 1 } },
    });
    await write.db.trial.update({
      where: { id: trial.id },
      data: filesChanged(trial.state, stateAfterChange(trial.state), write.now),
    });
    return {
      result: { revision: file.revision + 1 },
      audit: [
        {
          action: "sourceFile.setOffset",
          subject,
          before: { offsetS: file.offsetS },
          after: { offsetS: input.offsetS },
        },
      ],
    };
  });
}

/** Takes a file out of a trial, with its traces. Its bytes go at the next sweep. */
export function removeSourceFile(scope: ReadScope, input: z.output<typeof removeInput>) {
  return writeInStudy(scope, async (write) => {
    const { trial, file, subject } = await lockFile(write, input.sourceFileId, input.revision);
    const { db, access } = write;
    await refuseNaming(write, trial.volunteerId, input.reason, "reason");
    await db.trace.deleteMany({ where: { studyId: access.studyId, sourceFileId: file.id } });
    await db.sourceFile.delete({ where: { id: file.id } });
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
          before: { sha256: file.sha256, sizeBytes: file.sizeBytes, state: file.state },
          reason: input.reason,
        },
      ],
    };
  });
}

/** From which bytes, by which column map and reader, the file's traces came. */
export async function provenanceOf(scope: ReadScope, sourceFileId: string) {
  const file = await findFile(scope, sourceFileId);
  const { trial } = await findTrial(scope, file.trialId);
  // The report repeats cells of the file.
  await requirePermission(scope, trial.volunteerId, permissionKeys.takePart, scope.now);
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
  const { prisma } = core.database;
  const before = new Date(core.now().getTime() - sweepAfterMs);
  let removed = 0;
  for await (const { sha256, storedAt } of core.blobs.list()) {
    if (storedAt >= before) continue;
    const [files, releases] = await Promise.all([
      prisma.sourceFile.count({ where: { sha256 } }),
      prisma.release.count({ where: { sha256 } }),
    ]);
    if (files + releases > 0) continue;
    // The same bytes may have been uploaded since they were listed, and their row may be committed in this moment.
    if (await core.blobs.removeStoredBefore(sha256, before)) removed++;
  }
  return removed;
}
