import { AnalysisError } from "@acral/analysis";
import type { AdjustmentSettings } from "@acral/analysis/quality";
import { columnMapSchema } from "@acral/ingest";
import {
  type AdjustmentRow,
  adjustmentsOfFile,
  fileAsRead,
  isActive,
  parsed,
  storeEffects,
  titles,
} from "../adjustment/service";
import type { ReadScope, WriteScope } from "../scope";
import { findFile } from "../source-file/service";
import { applyTo, inWords } from "../trace/policy";
import type { FileAsRead } from "../trace/service";
import { outlived, type Reading } from "./policy";

/** How a file is read now, before it is read in another way. */
export async function readingOf(scope: ReadScope, sourceFileId: string): Promise<Reading | null> {
  const { columnMap } = await findFile(scope, sourceFileId);
  if (columnMap === null) return null;
  const traces = await scope.db.trace.findMany({
    where: { studyId: scope.access.studyId, sourceFileId },
    select: { regionId: true, statistic: true, channel: true },
  });
  return {
    columnMap: columnMapSchema.parse(columnMap),
    series: new Set(
      traces.map(({ regionId, statistic, channel }) =>
        regionId === null ? (channel ?? "") : `${regionId} (${statistic ?? "mean"})`,
      ),
    ),
  };
}

/**
 * After a file was read in another way, in the same transaction: adjustments that still make sense stay in force, and those
 * that do not are undone and say why. Returns their titles, for the audit trail.
 */
export async function settleAdjustments(
  write: WriteScope,
  sourceFileId: string,
  before: Reading | null,
): Promise<string[]> {
  const rows = await adjustmentsOfFile(write, sourceFileId);
  const now = await readingOf(write, sourceFileId);
  if (rows.length === 0 || before === null || now === null) return [];
  const file = await fileAsRead(write, sourceFileId);
  const standing: AdjustmentSettings[] = [];
  const settled: AdjustmentRow[] = [];
  const setBack: AdjustmentRow[] = [];
  for (const row of rows) {
    const settings = parsed(row);
    const because = isActive(row)
      ? (outlived(settings, before, now) ?? refusalOf(file, [...standing, settings]))
      : null;
    if (because === null) {
      if (isActive(row)) standing.push(settings);
      settled.push(row);
      continue;
    }
    const setBackBecause = `Undone when the file was read in another way, because ${because}.`;
    await write.db.adjustment.update({
      where: { id: row.id },
      data: { state: "undone", setBackBecause, revision: { increment: 1 } },
    });
    settled.push({ ...row, state: "undone" });
    setBack.push(row);
  }
  await storeEffects(write, file, settled);
  return titles(setBack);
}

function refusalOf(file: FileAsRead, adjustments: readonly AdjustmentSettings[]): string | null {
  try {
    applyTo(file, adjustments);
    return null;
  } catch (error) {
    if (!(error instanceof AnalysisError)) throw error;
    return `it cannot be applied any more (${inWords(error.message).replace(/\.$/, "")})`;
  }
}
