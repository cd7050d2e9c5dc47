import { createHash } from "node:crypto";
import { BlobTooLargeError } from "@acral/db";
import { type Detection, detectColumnMap, SourceFileError } from "@acral/ingest";
import { AppError } from "../app-error";
import { holdBlob, removeUnnamedBlob } from "../blob/service";
import { Head } from "../file-head/policy";
import { newId } from "../identifiers";
import { refuseNaming } from "../identity/service";
import { conditionName } from "../protocol/policy";
import { protocolContent } from "../protocol/schema";
import type { Replaces } from "../replacement/schema";
import { readForReplacement, requireReplaceable, takePlace } from "../replacement/service";
import { type ReadScope, writeInStudy } from "../scope";
import { requireScreening } from "../screening/service";
import { isHopeless, largestFileBytes } from "../source-file/policy";
import { type FileProblem, fileRefused, problemOf, textHead, withoutTime } from "../source-file/service";
import { trialLabel } from "../trial/policy";
import { findTrial, lockTrial, requireConsentToRecord, requireStep } from "../trial/service";
import { isUniqueViolation } from "../unique-violation";

export interface Upload {
  readonly trialId: string;
  readonly name: string;
  /** As the browser counted them. */
  readonly declaredBytes: number;
  /** As the browser computed it from the bytes it sent; null when it could not. */
  readonly declaredSha256: string | null;
  readonly body: AsyncIterable<Uint8Array>;
  /** The file of this trial whose place it takes, and why; null for one file more. */
  readonly replaces: Replaces | null;
}

export interface ReceivedSourceFile {
  readonly sourceFileId: string;
  readonly sha256: string;
  readonly sizeBytes: number;
  /** Why no column map could be proposed; null when one could. The file is kept either way. */
  readonly problem: FileProblem | null;
  /** Whether it was read at once, by the column map of the file whose place it took. */
  readonly read: boolean;
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
  // A file that takes another one's place is of a trial that was begun.
  if (upload.replaces === null) await requireScreening(scope, trial);
  await refuseNaming(scope, trial.volunteerId, upload.name, "name");
  if (upload.replaces !== null) await requireReplaceable(scope, upload.trialId, upload.replaces);
  const limit = Math.min(core.environment.uploadLimitBytes, largestFileBytes);
  if (upload.declaredBytes > limit) throw tooLarge(limit);

  let detection: Detection | null = null;
  let problem: FileProblem | null = null;
  async function* checked(): AsyncGenerator<Uint8Array> {
    const hash = createHash("sha256");
    const head = new Head();
    let received = 0;
    for await (const chunk of upload.body) {
      head.take(chunk);
      received += chunk.length;
      if (received > upload.declaredBytes) {
        throw new AppError(
          "file-refused",
          `More bytes arrived than the ${upload.declaredBytes} that were announced. ${nothingKept} Upload the file again.`,
        );
      }
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
      detection = detectColumnMap(await textHead(head.bytes(), received));
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
  const detected = detection as Detection | null;
  const { replaces } = upload;
  const reading =
    replaces === null ? null : await readForReplacement(scope, replaces.sourceFileId, detected, blob.sha256);
  await writeInStudy(scope, async (write) => {
    const locked = await lockTrial(write, upload.trialId, "upload");
    // Sending may have taken long: consent counts as it stands when the file is kept.
    const keptAt = core.now();
    await requireConsentToRecord({ ...write, now: keptAt }, locked.trial.volunteerId);
    if (upload.replaces === null) await requireScreening({ ...write, now: keptAt }, locked.trial);
    await holdBlob(write, blob.sha256);
    const file = await write.db.sourceFile.create({
      data: {
        id: sourceFileId,
        studyId: access.studyId,
        trialId: upload.trialId,
        name: upload.name,
        sizeBytes: blob.sizeBytes,
        sha256: blob.sha256,
        fingerprint: detected?.fingerprint ?? null,
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
        ...(replaces === null
          ? []
          : await takePlace({ ...write, now: keptAt }, { ...locked, file, replaces, reading })),
      ],
    };
  }).catch(async (error: unknown) => {
    // Nothing names these bytes: they go now, and not with the next sweep. The volunteer may have been erased meanwhile.
    await removeUnnamedBlob(core, blob.sha256, null);
    if (!isUniqueViolation(error)) throw error;
    await refuseTwice(scope, blob.sha256);
    throw error;
  });
  return {
    sourceFileId,
    sha256: blob.sha256,
    sizeBytes: blob.sizeBytes,
    problem: problem ?? (reading?.kind === "not read" ? reading.problem : null),
    read: reading?.kind === "read",
  };
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
    there.state === "replaced"
      ? `This file is in the study already: the same bytes were replaced in ${label}, where they are kept as ${there.name}. ${nothingKept} Put that file back in its place if it is the right one.`
      : `This file is in the study already: the same bytes belong to ${label}, as ${there.name}. ${nothingKept} Choose the file of this trial, or remove the other one first.`,
    { details: { trialId: there.trialId, sourceFileId: there.id } },
  );
}
