import { titleOf } from "../read/block-title";
import type { RowScanner, RowSink } from "../scan/row-scanner";
import { SourceFileError } from "../source-file-error";
import { type CellContext, type Sheet, unpackXml, type Workbook } from "../workbook/open-workbook";
import { SheetRows } from "../workbook/sheet-rows";
import { tableOfRows } from "./find-table";
import type { SampleRow } from "./sample-rows";
import type { Source } from "./source";

const sampledRows = 200;
/** Rows that were never written to are passed over, but not for ever. */
const visitedRows = 20_000;

/** One sheet of a workbook as detection looks at it: of its rows only the first are unpacked. */
export function sheetSource(workbook: Workbook, sheet: Sheet, context: CellContext): Source {
  const rows = firstRows(workbook, sheet, context);
  return {
    sheet: sheet.name,
    encoding: "utf-8",
    doubts: [],
    table() {
      const table = tableOfRows(padded(rows));
      if (table !== null) return table;
      throw new SourceFileError(
        "no-data-rows",
        `The sheet "${sheet.name}" holds no rows of numbers. Choose the sheet that holds the recording.`,
        { line: 1 },
      );
    },
    preamble: (until) =>
      rows
        .filter(({ line }) => line < until)
        .map(({ line, cells }) => ({
          line,
          text: cells
            .filter((cell) => cell !== "")
            .join("\t")
            .slice(0, 500),
        })),
    scan(_table, sink, most = Number.POSITIVE_INFINITY) {
      let unpacked = 0;
      const count = (length: number) => {
        unpacked += length;
      };
      const rowsToSink = rowsOf(workbook, context, sink);
      for (const _ of unpackXml(workbook.bytes, sheet.entry, workbook.limits, rowsToSink, count)) {
        if (unpacked > most) break;
      }
    },
  };
}

function rowsOf({ epoch, limits }: Workbook, context: CellContext, sink: RowSink): SheetRows {
  return new SheetRows(
    { limits, epoch, decimalMark: ".", columns: null, firstRow: 1, width: 0 },
    context,
    sink,
  );
}

function firstRows(workbook: Workbook, sheet: Sheet, context: CellContext): SampleRow[] {
  const rows: SampleRow[] = [];
  const sheetRows = rowsOf(workbook, context, {
    row(row: RowScanner) {
      if (rows.length >= sampledRows || row.isBlank()) return;
      rows.push({
        line: row.line,
        cells: Array.from({ length: row.cellCount }, (_, i) => row.text(i, "utf-8")),
        stored: [...sheetRows.numberCells],
      });
    },
  });
  for (const _ of unpackXml(workbook.bytes, sheet.entry, workbook.limits, sheetRows)) {
    if (rows.length >= sampledRows || sheetRows.scanner.line > visitedRows) break;
  }
  return rows;
}

/** Cells at the end of a row that hold nothing are not stored, so rows of one table may seem to be of different length. */
function padded(rows: readonly SampleRow[]): SampleRow[] {
  const width = Math.max(
    0,
    ...rows
      .filter(
        ({ cells }) => cells.filter((cell) => cell !== "").length >= 0.5 * cells.length && cells.length > 1,
      )
      .map(({ cells }) => cells.length),
  );
  return rows.map((row) => {
    // A note above the table stays what it is.
    if (row.cells.length < 2 || row.cells.length >= width || titleOf(row.cells.slice(1)) === "") return row;
    const missing = width - row.cells.length;
    return { ...row, cells: [...row.cells, ...Array.from({ length: missing }, () => "")] };
  });
}
