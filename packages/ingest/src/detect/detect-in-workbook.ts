import { refuseArchive } from "../decode/container";
import type { Detection, Doubt, SheetChoice } from "../detection";
import type { ReadLimits } from "../limits";
import { SourceFileError } from "../source-file-error";
import {
  openWorkbook,
  readCellContext,
  type Sheet,
  sheetNamed,
  type Workbook,
} from "../workbook/open-workbook";
import { workbookTooLarge } from "../workbook/workbook-pipeline";
import { sheetSource } from "./sheet-source";
import type { Source } from "./source";

/** So many sheets are looked at, the largest first. */
const mostLookedAt = 30;

interface Candidate {
  sheet: Sheet;
  detection: Detection;
  /** 2: a recording with its times; 1: a table; more is better. */
  fit: number;
}

/** Proposes a column map for the sheet that a person names, or else for the one that holds most of a recording. */
export function detectInWorkbook(
  bytes: Uint8Array,
  limits: ReadLimits,
  named: string | undefined,
  detectIn: (source: Source, epoch: 1900 | 1904) => Detection,
): Detection {
  if (bytes.length > limits.maxWorkbookBytes) throw workbookTooLarge(limits);
  refuseArchive(bytes);
  const workbook = openWorkbook(bytes, limits);
  const sheets: SheetChoice[] = workbook.sheets.map(({ name, hidden }) => ({ name, hidden }));
  const context = readCellContext(workbook);
  let step = context.next();
  while (!step.done) step = context.next();
  const cells = step.value;
  const detect = (sheet: Sheet) => detectIn(sheetSource(workbook, sheet, cells), workbook.epoch);
  if (named !== undefined) return { ...detect(sheetNamed(workbook, named)), sheets };
  const [best, ...others] = candidates(workbook, detect);
  if (best === undefined) throw noTable(sheets);
  return {
    ...best.detection,
    sheets,
    doubts: [...sheetDoubts(best, others), ...best.detection.doubts],
  };
}

function candidates({ sheets }: Workbook, detect: (sheet: Sheet) => Detection): Candidate[] {
  const list: Candidate[] = [];
  const bySize = sheets.toSorted((a, b) => b.entry.bytes - a.entry.bytes);
  for (const sheet of bySize.slice(0, mostLookedAt)) {
    try {
      const detection = detect(sheet);
      list.push({ sheet, detection, fit: fitOf(detection) });
    } catch (error) {
      // A sheet of notes or results is none to choose; a damaged workbook is none at all.
      if (!(error instanceof SourceFileError) || error.code !== "no-data-rows") throw error;
    }
  }
  return list.sort(
    (a, b) =>
      Number(a.sheet.hidden) - Number(b.sheet.hidden) ||
      b.fit - a.fit ||
      b.sheet.entry.bytes - a.sheet.entry.bytes,
  );
}

function fitOf({ columnMap }: Detection): number {
  const uses = columnMap.layout === "wide" ? columnMap.columns : columnMap.series;
  const reads = uses.some(({ use }) => use.kind === "region" || use.kind === "channel");
  return (columnMap.time.columns.length > 0 ? 1 : 0) + (reads ? 1 : 0);
}

function sheetDoubts(best: Candidate, others: readonly Candidate[]): Doubt[] {
  const doubt = (alternatives: string[], reason: string): Doubt => ({
    kind: "sheet",
    field: "sheet",
    line: null,
    column: null,
    guessed: best.sheet.name,
    alternatives,
    reason,
  });
  const rivals = others
    .filter(({ sheet, fit }) => fit >= best.fit && !sheet.hidden)
    .map(({ sheet }) => sheet.name);
  const doubts: Doubt[] = [];
  if (rivals.length > 0) {
    doubts.push(
      doubt(
        rivals,
        `More than one sheet holds a recording: "${best.sheet.name}", which holds most, and ${rivals.map((name) => `"${name}"`).join(", ")}. Only one is read from this file.`,
      ),
    );
  }
  if (best.sheet.hidden) {
    doubts.push(
      doubt(
        [],
        `The sheet "${best.sheet.name}" is hidden in the workbook; no visible one holds a recording.`,
      ),
    );
  }
  return doubts;
}

function noTable(sheets: readonly SheetChoice[]): SourceFileError {
  const names = sheets.slice(0, 12).map(({ name }) => `"${name}"`);
  return new SourceFileError(
    "no-data-rows",
    `No sheet of the workbook holds rows of numbers; there are ${names.join(", ")}. Upload the workbook that holds the recording, or export the recording as CSV.`,
    { line: 1 },
  );
}
