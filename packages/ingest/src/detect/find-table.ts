import { type Delimiter, delimiters } from "../column-map";
import type { ReadLimits } from "../limits";
import { SourceFileError } from "../source-file-error";
import { type CellShape, cellShape, isReadable } from "./cell-shape";
import { type SampleRow, sampleRows } from "./sample-rows";
import type { Sample } from "./take-sample";

export interface ShapedRow extends SampleRow {
  shapes: CellShape[];
}

/** The table that a sample holds under its most convincing delimiter. */
export interface Table {
  delimiter: Delimiter;
  quote: '"' | "'" | null;
  rows: ShapedRow[];
  columnCount: number;
  /** Index in `rows` of the first row of data. */
  firstData: number;
  /** Rows of data that have the usual number of cells. */
  data: ShapedRow[];
  /** How convincing it is, from 0 to about 1. */
  score: number;
  /** The next best delimiter, when it is nearly as convincing. */
  rival: Delimiter | null;
}

/** Space-separated text is a last resort: other delimiters leave spaces inside cells. */
const preference: Readonly<Record<Delimiter, number>> = {
  "\t": 1,
  ";": 1,
  ",": 0.99,
  "|": 0.98,
  "wide spaces": 0.93,
  spaces: 0.9,
};

export function findTable(sample: Sample, limits: ReadLimits, only?: Delimiter): Table {
  const candidates: Table[] = [];
  let refusal: SourceFileError | null = null;
  for (const delimiter of only === undefined ? delimiters : [only]) {
    if (!occurs(sample.text, delimiter)) continue;
    for (const quote of quotesOf(sample)) {
      const scanned = sampleRows(sample, delimiter, quote, limits);
      refusal ??= scanned.refusal;
      if (scanned.refusal?.code === "not-text") throw scanned.refusal;
      const table = tableOf(scanned.rows, delimiter, quote);
      if (table === null) continue;
      if (scanned.unclosedQuote) table.score *= sample.complete ? 0.3 : 0.9;
      candidates.push(table);
    }
  }
  candidates.sort((a, b) => b.score - a.score);
  const [best] = candidates;
  if (best === undefined) throw refusal ?? noTable();
  const rival = candidates.find((other) => other.delimiter !== best.delimiter && !spaced(other.delimiter));
  return { ...best, rival: rival !== undefined && rival.score > 0.9 * best.score ? rival.delimiter : null };
}

function spaced(delimiter: Delimiter): boolean {
  return delimiter === "spaces" || delimiter === "wide spaces";
}

function noTable(): SourceFileError {
  return new SourceFileError(
    "no-data-rows",
    "No rows of numbers were found: the file holds no table separated by commas, semicolons, tabs, bars or spaces. Export the series as CSV and upload that file.",
    { line: 1 },
  );
}

function occurs(text: Uint8Array, delimiter: Delimiter): boolean {
  if (delimiter === "spaces" || delimiter === "wide spaces") return text.includes(32);
  return text.includes(delimiter.charCodeAt(0));
}

function quotesOf(sample: Sample): ('"' | "'" | null)[] {
  if (sample.text.includes(0x22)) return ['"', null];
  // A cell in single quotes stands between delimiters; an apostrophe that groups digits or ends a word does not.
  const text = new TextDecoder().decode(sample.text.subarray(0, 1 << 14));
  return /(^|[,;\t|\n\r])'[^'\n\r]*'(?=[,;\t|\n\r]|$)/.test(text) ? ["'", null] : ['"'];
}

/** The table in rows whose cells are known, as in a workbook; null when they hold none. */
export function tableOfRows(rows: SampleRow[]): Table | null {
  return tableOf(rows, ",", '"');
}

function tableOf(sampled: SampleRow[], delimiter: Delimiter, quote: '"' | "'" | null): Table | null {
  const rows = sampled.map((row) => ({ ...row, shapes: row.cells.map(cellShape) }));
  const candidates = rows.filter(isDataLike);
  const columnCount = usualCount(candidates);
  if (columnCount < 2) return null;
  const body = candidates.filter((row) => row.cells.length === columnCount);
  const kinds = columnKinds(body, columnCount);
  const usual = rows.findIndex(
    (row) => row.cells.length === columnCount && isDataLike(row) && fits(row, kinds),
  );
  if (usual < 0) return null;
  const firstData = withRowsAbove(rows, usual, columnCount, kinds);
  const data = rows
    .slice(firstData)
    .filter((row) => row.cells.length === columnCount && isDataLike(row) && fits(row, kinds));
  let readable = 0;
  let filled = 0;
  for (const row of data) {
    for (const [column, shape] of row.shapes.entries()) {
      if (shape === "empty" || shape === "missing") continue;
      filled++;
      // Text where the column always holds text (a region's name, a remark) is as it should be.
      readable += isReadable(shape) ? 1 : kinds[column] === "text" ? 0.6 : 0;
    }
  }
  const share = filled === 0 ? 0 : readable / filled;
  const consistency = data.length / (rows.length - firstData);
  const above = rows[firstData - 1];
  const header = above !== undefined && above.cells.length === columnCount ? 1.05 : 1;
  const quotes = quote === null ? 0.97 : 1;
  const score = share * share * consistency * preference[delimiter] * header * quotes;
  if (score < 0.15) return null;
  return { delimiter, quote: quote ?? null, rows, columnCount, firstData, data, score, rival: null };
}

/** Columns may appear half-way: the shorter rows above the first whole one belong to the same table. */
function withRowsAbove(
  rows: readonly ShapedRow[],
  usual: number,
  columnCount: number,
  kinds: readonly ColumnKind[],
): number {
  let first = usual;
  for (let i = usual - 1; i >= 0; i--) {
    const row = rows[i];
    if (row === undefined) break;
    const shorter = row.cells.length >= 2 && row.cells.length < columnCount;
    if (shorter && isDataLike(row) && fits(row, kinds) && row.shapes.every((shape) => shape !== "text"))
      first = i;
    else if (!repeatsAbove(rows, i)) break;
  }
  return first;
}

/** A header may stand between them that names what appears below it, and begins as the first one did. */
function repeatsAbove(rows: readonly ShapedRow[], at: number): boolean {
  const text = rows[at]?.cells[0] ?? "";
  return (
    text !== "" && rows[at]?.shapes[0] === "text" && rows.slice(0, at).some((row) => row.cells[0] === text)
  );
}

/** At least one cell can be read, and not less than three in ten of those that hold anything. */
function isDataLike(row: ShapedRow): boolean {
  if (row.cells.length < 2) return false;
  let readable = 0;
  let filled = 0;
  for (const shape of row.shapes) {
    if (isReadable(shape)) readable++;
    if (shape !== "empty") filled++;
  }
  return readable > 0 && readable >= 0.3 * filled;
}

function usualCount(rows: readonly ShapedRow[]): number {
  const counts = new Map<number, number>();
  for (const row of rows) counts.set(row.cells.length, (counts.get(row.cells.length) ?? 0) + 1);
  let best = 0;
  let most = 0;
  for (const [count, times] of counts) {
    if (times > most || (times === most && count > best)) {
      best = count;
      most = times;
    }
  }
  return best;
}

type ColumnKind = "number" | "time" | "text" | "unclear";

function columnKinds(body: readonly ShapedRow[], columnCount: number): ColumnKind[] {
  const settled = body.length > 4 ? body.slice(2) : body.length > 1 ? body.slice(1) : body;
  return Array.from({ length: columnCount }, (_, column) => {
    let number = 0;
    let time = 0;
    let text = 0;
    for (const row of settled) {
      const shape = row.shapes[column];
      if (shape === "number") number++;
      else if (shape === "text") text++;
      else if (shape === "date" || shape === "clock" || shape === "date and time") time++;
    }
    const filled = number + time + text;
    if (filled === 0) return "unclear";
    if (number >= 0.5 * filled) return "number";
    if (time >= 0.5 * filled) return "time";
    return text >= 0.8 * filled ? "text" : "unclear";
  });
}

/** A header row has text where the columns have numbers; a row of data may have it in a few cells, not in the first. */
function fits(row: ShapedRow, kinds: readonly ColumnKind[]): boolean {
  let conflicts = 0;
  let columns = 0;
  for (const [column, kind] of kinds.entries()) {
    if (kind !== "number" && kind !== "time") continue;
    columns++;
    const shape = row.shapes[column] ?? "empty";
    const conflict =
      kind === "number"
        ? shape !== "number"
        : shape !== "date" && shape !== "clock" && shape !== "date and time";
    if (!conflict || shape === "empty" || shape === "missing") continue;
    if (kind === "time" || column === 0) return false;
    conflicts++;
  }
  return conflicts < 0.5 * columns;
}
