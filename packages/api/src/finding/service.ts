import type { Prisma } from "@acral/db";
import { timeShiftOf } from "../adjustment/policy";
import { adjustmentSettings } from "../adjustment/schema";
import { refreshEffects } from "../adjustment/service";
import { newId } from "../identifiers";
import { imagingRecord } from "../imaging/schema";
import { type ProtocolContent, protocolContent } from "../protocol/schema";
import type { ReadScope, Transaction } from "../scope";
import { activeAdjustments, type FileAsRead, filesAsRead, settingsOf } from "../trace/service";
import {
  type CheckContext,
  type CheckedFile,
  checkContext,
  checkFile,
  checkHashOf,
  type FileFinding,
} from "./policy";
import { confidences, findingKinds, findingSeries } from "./schema";

/**
 * Findings of source files. They follow from the file and the trial's side alone, so they are kept as measures are: stored
 * with the hash of what they rest on when a file is read, and computed again by whoever asks when that has changed. Storing
 * them again then takes no right, because nobody decides anything by it and whoever asks next would be given the same.
 */

const restingOn = {
  id: true,
  trialId: true,
  sha256: true,
  columnMap: true,
  readerVersion: true,
  offsetS: true,
  adjustments: activeAdjustments,
  qualityCheck: { select: { inputHash: true, values: true, missing: true } },
  trial: {
    select: {
      markers: {
        select: { name: true, phaseKey: true, atS: true },
        orderBy: [{ atS: "asc" }, { id: "asc" }],
      },
      protocolId: true,
      imagingRecord: { select: { content: true } },
    },
  },
} satisfies Prisma.SourceFileSelect;

type RestingRow = Prisma.SourceFileGetPayload<{ select: typeof restingOn }> & {
  readonly content: ProtocolContent;
};

/** The files that are read, oldest first, each with its trial's protocol: a study has few of those, and many files. */
async function restingRows(
  scope: Pick<ReadScope, "db" | "access">,
  where: Prisma.SourceFileWhereInput,
): Promise<RestingRow[]> {
  const { studyId } = scope.access;
  const rows = await scope.db.sourceFile.findMany({
    where: { ...where, studyId, state: "read" },
    select: restingOn,
    orderBy: [{ uploadedAt: "asc" }, { id: "asc" }],
  });
  const protocols = await scope.db.protocol.findMany({
    where: { studyId, id: { in: [...new Set(rows.map(({ trial }) => trial.protocolId))] } },
    select: { id: true, content: true },
  });
  const contents = new Map(protocols.map(({ id, content }) => [id, protocolContent.parse(content)]));
  return rows.map((row) => {
    const content = contents.get(row.trial.protocolId);
    if (content === undefined) throw new Error(`Trial ${row.trialId} has no protocol.`);
    return { ...row, content };
  });
}

function contextOf(row: RestingRow): CheckContext {
  const { markers, imagingRecord: record } = row.trial;
  return checkContext(
    markers,
    row.content,
    record === null ? null : imagingRecord.parse(record.content),
    row.offsetS + timeShiftOf(settingsOf(row.adjustments)),
  );
}

function hashOf(row: RestingRow): string {
  const { sha256, columnMap, readerVersion } = row;
  return checkHashOf({ sha256, columnMap, readerVersion, ...contextOf(row) });
}

async function restingRow(
  scope: Pick<ReadScope, "db" | "access">,
  sourceFileId: string,
): Promise<RestingRow | null> {
  return (await restingRows(scope, { id: sourceFileId }))[0] ?? null;
}

/** Checks a file as it stands; null when it is not read. */
async function check(
  scope: ReadScope,
  row: RestingRow,
): Promise<{ readonly file: FileAsRead; readonly checked: CheckedFile } | null> {
  const [file] = await filesAsRead(scope, { id: row.id });
  return file === undefined ? null : { file, checked: checkFile(file, contextOf(row)) };
}

async function write(
  db: Transaction,
  scope: ReadScope,
  row: RestingRow,
  checked: CheckedFile,
): Promise<void> {
  const { studyId } = scope.access;
  const ids = { studyId, trialId: row.trialId, sourceFileId: row.id };
  await db.finding.deleteMany({ where: { studyId, sourceFileId: row.id } });
  await db.finding.createMany({
    data: checked.findings.map(({ proposal, series, ...finding }, place) => ({
      id: newId(),
      ...ids,
      ...finding,
      place,
      series,
      ...(proposal === null ? {} : { proposal: adjustmentSettings.parse(proposal) }),
    })),
  });
  const { values, missing } = checked;
  const kept = { trialId: row.trialId, inputHash: hashOf(row), values, missing, checkedAt: scope.now };
  await db.qualityCheck.upsert({
    where: { sourceFileId: row.id },
    create: { ...ids, ...kept },
    update: kept,
  });
}

/** Checks a file in the transaction that has just changed how it is read, and stores its findings. */
export async function storeFindings(
  scope: ReadScope & { db: Transaction },
  sourceFileId: string,
): Promise<void> {
  const row = await restingRow(scope, sourceFileId);
  const found = row === null ? null : await check(scope, row);
  if (row !== null && found !== null) await write(scope.db, scope, row, found.checked);
}

/**
 * Sees to it that stored findings are of the files as they stand, and says which are not: computing ends after `budgetMs`, so
 * that a study full of files does not keep anybody waiting. Not to be called within a transaction: it opens its own.
 */
export async function refreshFindings(
  scope: ReadScope,
  where: Prisma.SourceFileWhereInput,
  budgetMs = Number.POSITIVE_INFINITY,
): Promise<{ readonly waiting: ReadonlySet<string> }> {
  const { studyId } = scope.access;
  const rows = await restingRows(scope, where);
  const began = performance.now();
  const waiting = new Set<string>();
  for (const row of rows) {
    if (row.qualityCheck?.inputHash === hashOf(row)) continue;
    if (performance.now() - began > budgetMs) {
      waiting.add(row.id);
      continue;
    }
    const found = await check(scope, row);
    if (found === null) continue;
    const kept = await scope.core.database.prisma.$transaction(async (db) => {
      // Two people who open the same trial find the same stale findings: one after the other replaces them.
      await db.$queryRaw`select id from source_file where id = ${row.id} and study_id = ${studyId} for update`;
      const now = await restingRow({ db, access: scope.access }, row.id);
      if (now === null || hashOf(now) !== hashOf(row)) return false;
      await write(db, scope, row, found.checked);
      await refreshEffects({ ...scope, db }, found.file);
      return true;
    });
    // Changed while it was being checked: whoever asks next is given what stands there then.
    if (!kept) waiting.add(row.id);
  }
  return { waiting };
}

type FindingRow = Prisma.FindingGetPayload<object>;

function known<T extends string>(values: readonly T[], text: string): T {
  const value = values.find((candidate) => candidate === text);
  if (value === undefined) throw new Error(`"${text}" is nothing that a quality check finds.`);
  return value;
}

export const kindOf = (text: string) => known(findingKinds, text);

/** A stored finding with its types. */
export function findingOf(row: FindingRow): FileFinding {
  const { key, fromS, toS, size, unit, count, meaning, whatCanBeDone } = row;
  return {
    key,
    kind: kindOf(row.kind),
    fromS,
    toS,
    series: findingSeries.parse(row.series),
    size,
    unit,
    count,
    confidence: known(confidences, row.confidence),
    meaning,
    whatCanBeDone,
    proposal: row.proposal === null ? null : adjustmentSettings.parse(row.proposal),
  };
}
