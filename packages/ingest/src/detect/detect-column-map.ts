import type { ColumnMap, Delimiter } from "../column-map";
import { decodeText } from "../decode/decode-text";
import { cellEncoding } from "../decode/text-bytes";
import type { Detection, Doubt, Preview } from "../detection";
import { defaultLimits, type ReadLimits } from "../limits";
import { missingWords } from "./cell-shape";
import { collectKeys } from "./collect-keys";
import { findHeader, type Header } from "./find-header";
import { findTable, type Table } from "./find-table";
import { layoutFingerprint } from "./fingerprint";
import { guessNumberFormat } from "./guess-number-format";
import { guessTime, type TimeGuess } from "./guess-time";
import { findLongLayout, longSeries } from "./long-series";
import { numbersByColumn } from "./number-columns";
import { preambleFacts } from "./preamble-facts";
import { type Sample, takeSample } from "./take-sample";
import { valueDoubts } from "./value-doubts";
import { type ColumnsInput, wideColumns } from "./wide-columns";

export interface DetectOptions {
  limits?: ReadLimits;
  /** Rows of data in the preview. */
  previewRows?: number;
  /** What a person says separates the cells; without it the most convincing delimiter is taken. */
  delimiter?: Delimiter;
}

/**
 * Proposes a column map for a source file, with everything that had to be guessed. Looks at the first half MiB (at the
 * whole file only in a long layout). Throws SourceFileError when the file is no delimited text at all.
 */
export function detectColumnMap(bytes: Uint8Array, options: DetectOptions = {}): Detection {
  const limits = options.limits ?? defaultLimits;
  const sample = takeSample(bytes, limits);
  const table = findTable(sample, limits, options.delimiter);
  const header = findHeader(table);
  const preamble = preambleLines(sample, table, header);
  const facts = preambleFacts(preamble.map(({ text }) => text));
  const format = guessNumberFormat(table.data);
  const numbers = numbersByColumn(table.data, table.columnCount, format);
  const time = guessTime({
    data: table.data,
    parts: header.parts,
    columnCount: table.columnCount,
    format,
    numbers,
    facts,
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
  const long = findLongLayout(input);
  const keys =
    long === null
      ? []
      : collectKeys(bytes, sample.encoding, table, long.keyColumns, input.timeColumns[0] ?? 0, limits);
  const columns = long === null ? { ...wideColumns(input), series: [] } : longSeries(input, long, keys);
  const columnMap: ColumnMap = {
    version: 1,
    encoding: sample.encoding,
    delimiter: table.delimiter,
    decimalMark: format.decimalMark,
    digitGrouping: format.digitGrouping,
    quote: table.quote,
    headerLines: header.rows.map((row) => row.line),
    firstDataLine: table.rows[table.firstData]?.line ?? 1,
    layout: long === null ? "wide" : "long",
    time: time?.time ?? noTime,
    columns: columns.columns,
    series: columns.series,
    missing: { words: [...missingWords], sentinels: [] },
    unreadable: "missing",
    decidedBy: "detection",
  };
  return {
    columnMap,
    guesses: [...timeGuesses(time), ...columns.guesses],
    doubts: [
      ...sample.doubts,
      ...delimiterDoubts(table),
      ...header.doubts,
      ...format.doubts,
      ...(time?.doubts ?? [noTimeDoubt]),
      ...columns.doubts,
      ...valueDoubts(columnMap, table.data, numbers),
    ],
    fingerprint: layoutFingerprint(
      table.delimiter,
      table.columnCount,
      columnMap.columns.map((column) => column.name),
    ),
    preview: previewOf(table, header, preamble, options.previewRows ?? 20),
  };
}

const noTime: ColumnMap["time"] = {
  columns: [],
  format: "number",
  unit: "s",
  dateOrder: "year-month-day",
  frameRate: null,
  zone: null,
  date: null,
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

function delimiterDoubts(table: Table): Doubt[] {
  if (table.rival === null && table.score > 0.5) return [];
  return [
    {
      kind: "delimiter",
      field: "delimiter",
      line: table.rows[table.firstData]?.line ?? null,
      column: null,
      guessed: table.delimiter,
      alternatives: table.rival === null ? [] : [table.rival],
      reason:
        table.rival === null
          ? "The rows have different numbers of cells, or many cells that are no numbers."
          : "Another delimiter would split the rows just as evenly.",
    },
  ];
}

/** The lines above the header as they stand in the file. */
function preambleLines(sample: Sample, table: Table, header: Header): Preview["preamble"] {
  const until = header.rows[0]?.line ?? table.rows[table.firstData]?.line ?? 1;
  if (until <= 1) return [];
  const text = decodeText(
    sample.text,
    0,
    Math.min(sample.text.length, 1 << 16),
    cellEncoding(sample.encoding),
  );
  return text
    .split(/\r\n|\r|\n/)
    .slice(0, until - 1)
    .map((line, i) => ({ line: i + 1, text: line.slice(0, 500) }))
    .filter(({ text: line }) => line.trim() !== "");
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
