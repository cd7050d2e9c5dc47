import { randomBytes } from "node:crypto";
import { decryptBytes, encryptBytes, identityKey, type Prisma, type SignedPaperKind } from "@acral/db";
import type { z } from "zod";
import type { StudyAccess } from "../access/service";
import { AppError, notFound } from "../app-error";
import type { Core } from "../core";
import { newId } from "../identifiers";
import { inIdentityRole, keysForWriting } from "../identity/service";
import { type ReadScope, type Transaction, writeInStudy } from "../scope";
import { paperFileName, scanLimitBytes, scanType } from "./policy";
import type { paperInput } from "./schema";

/**
 * Signatures, scans and copies. Each blob is encrypted with a key of its own, which stands beside it encrypted with the identity
 * key: a rotation writes anew 60 bytes and no blob, and once the row is gone nobody can read the bytes.
 */

const blobPlace = (paperId: string) => ({ table: "signed_paper", field: "blob", rowId: paperId });
const keyPlace = (paperId: string) => ({ table: "signed_paper", field: "key", rowId: paperId });

interface PaperScope {
  readonly db: ReadScope["db"];
  readonly core: Core;
  readonly access: Pick<StudyAccess, "studyId">;
}

/** Stores the bytes, encrypted, for a consent record that is there already. */
export async function keepPaper(
  write: PaperScope & { readonly db: Transaction; readonly now: Date },
  paper: {
    readonly recordId: string;
    readonly volunteerId: string;
    readonly kind: SignedPaperKind;
    readonly mediaType: string;
    readonly bytes: Uint8Array;
  },
): Promise<{ readonly paperId: string }> {
  const paperId = newId();
  const own = identityKey(new Uint8Array(randomBytes(32)));
  const body = encryptBytes(paper.bytes, blobPlace(paperId), { current: 1, byVersion: new Map([[1, own]]) });
  const blob = await write.core.blobs.put(
    (async function* () {
      yield body;
    })(),
  );
  const keys = await keysForWriting(write);
  await inIdentityRole(write, async (db) => {
    await db.signedPaper.create({
      data: {
        id: paperId,
        studyId: write.access.studyId,
        volunteerId: paper.volunteerId,
        consentRecordId: paper.recordId,
        kind: paper.kind,
        sha256: blob.sha256,
        mediaType: paper.mediaType,
        sizeBytes: paper.bytes.length,
        keyCipher: encryptBytes(own, keyPlace(paperId), keys),
        keyVersion: keys.current,
        addedAt: write.now,
      },
    });
  });
  return { paperId };
}

type Row = Prisma.SignedPaperGetPayload<object>;

async function bytesOf(core: Core, row: Row): Promise<Uint8Array> {
  const own = identityKey(
    decryptBytes(row.keyCipher, keyPlace(row.id), row.keyVersion, core.identityKeys.at(row.keyVersion)),
  );
  const chunks: Uint8Array[] = [];
  for await (const chunk of core.blobs.read(row.sha256)) chunks.push(chunk);
  return decryptBytes(Buffer.concat(chunks), blobPlace(row.id), 1, {
    current: 1,
    byVersion: new Map([[1, own]]),
  });
}

/** Which papers there are of a volunteer's consent records, without what is in them. */
export async function papersOf(scope: PaperScope, volunteerId: string) {
  const rows = await inIdentityRole(scope, (db) =>
    db.signedPaper.findMany({
      where: { studyId: scope.access.studyId, volunteerId },
      select: {
        id: true,
        consentRecordId: true,
        kind: true,
        mediaType: true,
        sizeBytes: true,
        addedAt: true,
      },
      orderBy: { addedAt: "desc" },
    }),
  );
  return rows.map(({ id, consentRecordId, kind, mediaType, sizeBytes, addedAt }) => ({
    paperId: id,
    recordId: consentRecordId,
    kind,
    mediaType,
    sizeBytes,
    addedAt: addedAt.toISOString(),
  }));
}

/** One paper of a volunteer in clear. Whoever calls this writes the audit entry of the reading. */
export async function paperInClear(scope: PaperScope, paperId: string): Promise<Uint8Array> {
  const row = await inIdentityRole(scope, (db) =>
    db.signedPaper.findFirst({ where: { id: paperId, studyId: scope.access.studyId } }),
  );
  if (row === null) throw notFound("signed paper");
  return bytesOf(scope.core, row);
}

/** The newest paper of a kind of one consent record, in clear; null when there is none. */
export async function newestPaper(
  scope: PaperScope,
  recordId: string,
  kind: SignedPaperKind,
): Promise<Uint8Array | null> {
  const row = await inIdentityRole(scope, (db) =>
    db.signedPaper.findFirst({
      where: { studyId: scope.access.studyId, consentRecordId: recordId, kind },
      orderBy: { addedAt: "desc" },
    }),
  );
  return row === null ? null : bytesOf(scope.core, row);
}

/** One paper in clear. It shows who somebody is, so that each reading leaves its entry. */
export function openPaper(scope: ReadScope, input: Pick<z.output<typeof paperInput>, "paperId">) {
  return writeInStudy(scope, async (write) => {
    const row = await inIdentityRole(write, (db) =>
      db.signedPaper.findFirst({
        where: { id: input.paperId, studyId: write.access.studyId },
        include: { volunteer: { select: { code: true } } },
      }),
    );
    if (row === null) throw notFound("signed paper");
    const bytes = await bytesOf(write.core, row);
    return {
      result: { bytes, name: paperFileName(row.volunteer.code, row.kind, row.mediaType) },
      audit: [
        {
          action: "consent.openPaper",
          subject: { kind: "volunteer", id: row.volunteerId, label: row.volunteer.code },
          after: { paper: row.kind },
        },
      ],
    };
  });
}

/** The scan of a consent that was signed on paper, added to its record. An earlier one stays. */
export async function receiveScan(
  scope: ReadScope,
  scan: { readonly recordId: string; readonly body: AsyncIterable<Uint8Array> },
) {
  const bytes = await gathered(scan.body);
  const mediaType = scanType(bytes);
  if (mediaType === null) {
    throw new AppError(
      "file-refused",
      "This is no PDF, PNG or JPEG: its first bytes are of another kind. Scan the paper form as one of these. Nothing was kept.",
    );
  }
  return writeInStudy(scope, async (write) => {
    const { db, access } = write;
    const where = { id: scan.recordId, studyId: access.studyId };
    const found = await db.consentRecord.findFirst({ where, select: { volunteerId: true } });
    if (found === null) throw notFound("consent record");
    await db.$queryRaw`select id from volunteer where id = ${found.volunteerId} for update`;
    // Looked at again while the volunteer is held: an erasure may have been under way.
    const record = await db.consentRecord.findFirst({
      where,
      include: { volunteer: { select: { code: true } }, form: { select: { version: true } } },
    });
    if (record === null) throw notFound("consent record");
    if (record.way !== "paper") {
      throw new AppError(
        "wrong-state",
        "This consent was signed on screen, and its copy is kept already. A scan belongs to one signed on paper.",
      );
    }
    const { paperId } = await keepPaper(write, {
      recordId: record.id,
      volunteerId: record.volunteerId,
      kind: "scan",
      mediaType,
      bytes,
    });
    return {
      result: { paperId },
      audit: [
        {
          action: "consent.addScan",
          subject: { kind: "volunteer", id: record.volunteerId, label: record.volunteer.code },
          after: { consentFormVersion: record.form.version, kind: mediaType, bytes: bytes.length },
        },
      ],
    };
  });
}

async function gathered(body: AsyncIterable<Uint8Array>): Promise<Uint8Array> {
  const chunks: Uint8Array[] = [];
  let size = 0;
  for await (const chunk of body) {
    size += chunk.length;
    if (size > scanLimitBytes) {
      throw new AppError(
        "file-refused",
        `The scan is larger than ${scanLimitBytes / 1_000_000} MB. Scan it again with a lower resolution. Nothing was kept.`,
      );
    }
    chunks.push(chunk);
  }
  return new Uint8Array(Buffer.concat(chunks));
}
