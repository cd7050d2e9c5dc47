import type { ColumnMap } from "../column-map";
import { TextPipeline } from "../decode/text-pipeline";
import { defaultLimits, type ReadLimits } from "../limits";
import type { ReadResult } from "../read-result";
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
  private readonly rows: DataRows;
  private readonly body: RowBody;
  private readonly pipeline: TextPipeline;

  constructor(columnMap: ColumnMap, limits: ReadLimits = defaultLimits) {
    const map = checkColumnMap(columnMap);
    this.body = map.layout === "wide" ? new WideRows(map, limits) : new LongRows(map, limits);
    this.rows = new DataRows(map, this.body, limits);
    this.pipeline = new TextPipeline(
      map.encoding,
      { delimiter: map.delimiter, quote: map.quote, limits, decimalMark: map.decimalMark },
      this.rows,
    );
  }

  push(chunk: Uint8Array): void {
    this.pipeline.push(chunk);
  }

  end(): ReadResult {
    this.pipeline.end();
    this.rows.finish();
    this.noteCutOffNumber();
    const { times, traces } = this.body.finish();
    const { bytes, textBytes, compressed, scanner } = this.pipeline;
    return {
      timeBase: timeBaseOf(times, this.rows.time.tolerance),
      startedAt: this.rows.time.startedAt(),
      startClock: this.rows.time.startClock(),
      traces,
      report: {
        bytes,
        textBytes,
        compressed,
        lines: scanner.line - 1,
        rowsRead: this.rows.rowsRead,
        rowsUsed: this.rows.rowsUsed,
        rowsNotUsed: this.rows.tally.rowsNotUsed(),
        missingValues: this.body.wanted.map(missingValuesOf),
        warnings: this.rows.listWarnings(),
      },
    };
  }

  /** A file cut off within its last number cannot be told from a whole one, except by decimals that are missing. */
  private noteCutOffNumber(): void {
    const { body, rows, pipeline } = this;
    if (!(body instanceof WideRows) || pipeline.scanner.terminated || rows.rowsUsed < 10) return;
    if (body.lastDecimals < body.fewestDecimals) rows.warn("last row may be cut off", rows.lastLine);
  }
}
