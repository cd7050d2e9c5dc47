import type { ColumnMap, Delimiter } from "../column-map";
import { isZip } from "../decode/container";
import type { Detection, Doubt, Preview } from "../detection";
import { defaultLimits, type ReadLimits } from "../limits";
import { besideDoubts } from "./beside-doubts";
import { missingWords } from "./cell-shape";
import { collectKeys } from "./collect-keys";
import { detectInWorkbook } from "./detect-in-workbook";
import { blockSeries, findBlocks } from "./find-blocks";
import { findHeader, type Header } from "./find-header";
import type { Table } from "./find-table";
import { layoutFingerprint } from "./fingerprint";
import { guessNumberFormat } from "./guess-number-format";
import { guessTime, type TimeGuess } from "./guess-time";
import { findLongLayout, type LongGuess, longSeries } from "./long-series";
import { numbersByColumn } from "./number-columns";
import { preambleFacts } from "./preamble-facts";
import { placeOf, type Source, textSource } from "./source";
import { valueDoubts } from "./value-doubts";
import { type ColumnsInput, wideColumns } from "./wide-columns";

export interface DetectOptions {
  limits?: ReadLimits;
  /** Rows of data in the preview. */
  previewRows?: number;
  /** What a person says separates the cells; without it the most convincing delimiter is taken. */
  delimiter?: Delimiter;
  /** Which sheet of a workbook a person chose; without it the one that holds most of a recording is taken. */
  sheet?: string;
}

/**
 * Proposes a column map for a source file, with everything that had to be guessed. Looks at the first quarter MiB of a text
 * (at the whole of it only in a long layout) and at the first rows of each sheet of a workbook, whose bytes must be there
 * as a whole. Throws SourceFileError when the file is no table at all.
 */
export function detectColumnMap(bytes: Uint8Array, options: DetectOptions = {}): Detection {
  const limits = options.limits ?? defaultLimits;
  if (isZip(bytes)) {
    return detectInWorkbook(bytes, limits, options.sheet, (source, epoch) =>
      detectIn(source, options, epoch),
    );
  }
  return detectIn(textSource(bytes, limits), options, null);
}

/** `storedEpoch`: the first day of the calendar, when the file itself says it. */
function detectIn(source: Source, options: DetectOptions, storedEpoch: 1900 | 1904 | null): Detection {
  const table = source.table(options.delimiter);
  const header = findHeader(table, placeOf(source));
  const preamble = source.preamble(header.rows[0]?.line ?? table.rows[table.firstData]?.line ?? 1);
  const facts = preambleFacts(preamble.map(({ text }) => text));
  const format = guessNumberFormat(table.data);
  if (format.decimalMark === ",") writeStoredNumbersWithComma(table);
  const numbers = numbersByColumn(table.data, table.columnCount, format);
  const time = guessTime({
    data: table.data,
    parts: header.parts,
    columnCount: table.columnCount,
    format,
    numbers,
    facts,
    storedEpoch,
  });
  const input: ColumnsInput = {
    data: table.data,
    parts: header.parts,
    columnCount: table.columnCount,
    format,
    numbers,
    facts,
    timeColumns: time?.time.columns ?? [],
  };
  const { layout, columns, series, guesses, doubts } = layoutOf(source, table, header, input, time);
  const columnMap: ColumnMap = {
    version: 1,
    sheet: source.sheet,
    encoding: source.encoding,
    delimiter: table.delimiter,
    decimalMark: format.decimalMark,
    digitGrouping: format.digitGrouping,
    quote: table.quote,
    headerLines: header.rows.map((row) => row.line),
    firstDataLine: table.rows[table.firstData]?.line ?? 1,
    layout,
    time: time?.time ?? noTime,
    columns: columns.map((column) => (column.index < header.named ? column : { ...column, name: "" })),
    series,
    missing: { words: [...missingWords], sentinels: [] },
    unreadable: "missing",
    decidedBy: "detection",
  };
  return {
    columnMap,
    guesses: [...timeGuesses(time), ...guesses],
    doubts: [
      ...source.doubts,
      ...tableDoubts(source, table),
      ...header.doubts,
      ...format.doubts,
      ...(time?.doubts ?? [noTimeDoubt]),
      ...doubts,
      ...valueDoubts(columnMap, table.data, numbers),
    ],
    fingerprint: layoutFingerprint(
      source.sheet === null ? table.delimiter : { sheet: source.sheet },
      table.columnCount,
      columnMap.columns.map((column) => column.name),
    ),
    preview: previewOf(table, header, preamble, options.previewRows ?? 20),
    sheets: [],
  };
}

/** Long where key columns name the series, in blocks where titles or other names do, else wide. */
function layoutOf(
  source: Source,
  table: Table,
  header: Header,
  input: ColumnsInput,
  time: TimeGuess | null,
): LongGuess & { layout: ColumnMap["layout"] } {
  const long = findLongLayout(input);
  if (long !== null) {
    const keys = collectKeys(source, table, long.keyColumns, input.timeColumns[0] ?? 0);
    return { layout: "long", ...longSeries(input, long, keys) };
  }
  const blocks = time === null ? null : findBlocks(source, table, header, time.time);
  if (blocks?.kind === "series") return { layout: "blocks", ...blockSeries(input, blocks.blocks) };
  const wide = wideColumns(input);
  const doubts = [
    ...wide.doubts,
    ...(blocks?.doubts ?? []),
    ...besideDoubts(input, time, wide, placeOf(source)),
  ];
  return { layout: "wide", ...wide, series: [], doubts };
}

/** Text has its own mark; what a workbook stores as a number is handed on with the mark that its texts have. */
function writeStoredNumbersWithComma(table: Table): void {
  for (const row of table.rows) {
    for (const [column, stored] of (row.stored ?? []).entries()) {
      if (stored) row.cells[column] = (row.cells[column] ?? "").replace(".", ",");
    }
  }
}

const noTime: ColumnMap["time"] = {
  columns: [],
  format: "number",
  unit: "s",
  dateOrder: "year-month-day",
  frameRate: null,
  zone: null,
  date: null,
  clock: null,
  serialEpoch: 1900,
};

const noTimeDoubt: Doubt = {
  kind: "time column",
  field: "time.columns",
  line: null,
  column: null,
  guessed: "none",
  alternatives: [],
  reason: "No column holds the time of the rows. Choose the time column, or export the file with its times.",
};

function timeGuesses(time: TimeGuess | null): Detection["guesses"] {
  if (time === null) return [];
  return time.time.columns.map((column) => ({
    column,
    key: null,
    use: { kind: "time" },
    confidence: Math.round(time.confidence * 100) / 100,
    reason: time.reason,
  }));
}

function tableDoubts({ sheet }: Source, table: Table): Doubt[] {
  if (table.rival === null && table.score > 0.5) return [];
  return [
    {
      kind: sheet === null ? "delimiter" : "sheet",
      field: sheet === null ? "delimiter" : "sheet",
      line: table.rows[table.firstData]?.line ?? null,
      column: null,
      guessed: sheet ?? table.delimiter,
      alternatives: table.rival === null ? [] : [table.rival],
      reason:
        table.rival === null
          ? "The rows have different numbers of cells, or many cells that are no numbers."
          : "Another delimiter would split the rows just as evenly.",
    },
  ];
}

function previewOf(table: Table, header: Header, preamble: Preview["preamble"], rows: number): Preview {
  return {
    columnCount: table.columnCount,
    preamble,
    header: header.rows.map(({ line, cells }) => ({ line, cells })),
    rows: table.rows
      .slice(table.firstData, table.firstData + rows)
      .map(({ line, cells }) => ({ line, cells })),
  };
}
