import type { ColumnMap } from "../column-map";
import { TextPipeline } from "../decode/text-pipeline";
import { defaultLimits, type ReadLimits } from "../limits";
import type { ReadResult } from "../read-result";
import type { RowScanner, RowSink } from "../scan/row-scanner";
import type { SheetRows } from "../workbook/sheet-rows";
import { WorkbookPipeline } from "../workbook/workbook-pipeline";
import { checkColumnMap } from "./check-column-map";
import { DataRows, type RowBody } from "./data-rows";
import { LongRows } from "./long-rows";
import { timeBaseOf } from "./time-base";
import { missingValuesOf } from "./value-cells";
import { WideRows } from "./wide-rows";

/**
 * The reader as a push state machine without I/O: `push` any number of chunks, cut anywhere, then `end` once. Both
 * drivers are a few lines around it. Throws SourceFileError from the constructor (the map), `push` or `end` (the file).
 */
export class SourceReader {
  private readonly map: ColumnMap;
  private readonly rows: DataRows;
  private readonly body: RowBody;
  private readonly pipeline: TextPipeline | WorkbookPipeline;

  /** `lastRow`: the row of a workbook after which nothing more is wanted. */
  constructor(columnMap: ColumnMap, limits: ReadLimits = defaultLimits, lastRow?: number) {
    const map = checkColumnMap(columnMap);
    this.map = map;
    this.body = map.layout === "wide" ? new WideRows(map, limits) : new LongRows(map, limits);
    this.rows = new DataRows(map, this.body, limits);
    this.pipeline =
      map.sheet === null
        ? textPipeline(map, limits, this.rows)
        : sheetPipeline(map, map.sheet, limits, this.rows, lastRow);
  }

  push(chunk: Uint8Array): void {
    this.pipeline.push(chunk);
  }

  end(): ReadResult {
    const ending = this.ending();
    for (;;) {
      const step = ending.next();
      if (step.done) return step.value;
    }
  }

  /** `end` in small steps, between which a server can do something else: a workbook is read only once it is there as a whole. */
  *ending(): Generator<void, ReadResult> {
    const { pipeline } = this;
    if (pipeline instanceof WorkbookPipeline) yield* pipeline.finish();
    else pipeline.end();
    this.rows.finish();
    this.noteCutOffNumber();
    this.noteSheet();
    return this.result();
  }

  private result(): ReadResult {
    const { times, traces } = this.body.finish();
    const { bytes, textBytes, compressed } = this.pipeline;
    const tolerance = Math.max(this.rows.time.tolerance, this.sheet?.timeTolerance ?? 0);
    return {
      timeBase: timeBaseOf(times, tolerance),
      startedAt: this.rows.time.startedAt(),
      startClock: this.rows.time.startClock(),
      traces,
      report: {
        bytes,
        textBytes,
        compressed,
        places: this.map.sheet === null ? "line" : "row",
        lines: this.scanner.line - 1,
        rowsRead: this.rows.rowsRead,
        rowsUsed: this.rows.rowsUsed,
        rowsNotUsed: this.rows.tally.rowsNotUsed(),
        missingValues: this.body.wanted.map(missingValuesOf),
        warnings: this.rows.listWarnings(),
      },
    };
  }

  private get sheet(): SheetRows | null {
    return this.pipeline instanceof WorkbookPipeline ? this.pipeline.rows : null;
  }

  private get scanner(): RowScanner {
    const scanner =
      this.pipeline instanceof WorkbookPipeline ? this.pipeline.rows?.scanner : this.pipeline.scanner;
    if (scanner === undefined) throw new Error("The reader was ended before its workbook was opened.");
    return scanner;
  }

  /** A file cut off within its last number cannot be told from a whole one, except by decimals that are missing. */
  private noteCutOffNumber(): void {
    const { body, rows, scanner } = this;
    if (!(body instanceof WideRows) || scanner.terminated || rows.rowsUsed < 10) return;
    if (body.lastDecimals < body.fewestDecimals) rows.warn("last row may be cut off", rows.lastLine);
  }

  /** What a person sees otherwise in the workbook than it is read. */
  private noteSheet(): void {
    const { sheet, rows } = this;
    if (sheet === null) return;
    rows.warnOf("formula", sheet.formulas);
    rows.warnOf("hidden row", sheet.hiddenRows);
    rows.warnOf("merged cells", sheet.mergedCells());
    rows.warnOf("hidden column", sheet.hiddenColumns);
  }
}

function textPipeline(map: ColumnMap, limits: ReadLimits, rows: RowSink): TextPipeline {
  const { delimiter, quote, decimalMark } = map;
  return new TextPipeline(map.encoding, { delimiter, quote, limits, decimalMark }, rows);
}

function sheetPipeline(
  map: ColumnMap,
  sheet: string,
  limits: ReadLimits,
  rows: RowSink,
  lastRow: number | undefined,
): WorkbookPipeline {
  const used = map.columns.filter(({ use }) => use.kind !== "ignore").map(({ index }) => index);
  const { decimalMark, firstDataLine: firstRow } = map;
  const width = Math.max(...map.columns.map(({ index }) => index)) + 1;
  return new WorkbookPipeline(
    sheet,
    { limits, decimalMark, columns: new Set(used), firstRow, width },
    rows,
    lastRow,
  );
}
