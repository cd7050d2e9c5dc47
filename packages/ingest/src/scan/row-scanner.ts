import type { DecimalMark, Delimiter } from "../column-map";
import { decodeText } from "../decode/decode-text";
import type { CellEncoding } from "../decode/text-bytes";
import type { ReadLimits } from "../limits";
import { SourceFileError } from "../source-file-error";
import {
  AFTER_QUOTE,
  CELL_START,
  IN_CELL,
  IN_QUOTE,
  QUOTE_SEEN,
  ROW_START,
  type ScanState,
  SPACE,
  SPACE_SEEN,
  TAB,
} from "./scan-state";

export interface RowSink {
  /** Called once per row; the scanner's cells are valid only during the call. */
  row(row: RowScanner): void;
}

export interface ScanOptions {
  delimiter: Delimiter;
  quote: '"' | "'" | null;
  limits: ReadLimits;
  /** Given when numbers are wanted: plain decimals are then read while their cells are found. */
  decimalMark?: DecimalMark;
}

const scanStep = 1 << 16;

/**
 * Finds rows and cells in text bytes. A push state machine without I/O that remembers everything between two pushes, so
 * that chunks may end anywhere. Cells are ranges of `bytes`, so that a number can be read without making a string of it;
 * where decimals are plain, the scanner has even read them in passing (`numbers`).
 */
export class RowScanner {
  /** Always holds one byte more than `filled`: a NUL behind the last, at which runs of digits end. */
  bytes = new Uint8Array(2 * scanStep + 1);
  starts = new Int32Array(64);
  ends = new Int32Array(64);
  /** 1 where a quoted cell holds doubled quotes. */
  doubled = new Uint8Array(64);
  /** The number of a cell that is a plain decimal and was read in passing; NaN: the cell has yet to be looked at. */
  numbers = new Float64Array(64);
  /** Decimals of each number in `numbers`. */
  scales = new Uint8Array(64);
  cellCount = 0;
  /** Line on which the row begins, from 1. */
  line = 1;
  /** Whether the row ended with a line break. */
  terminated = true;

  filled = 0;
  position = 0;
  rowStart = 0;
  cellStart = 0;
  cellEnd = 0;
  cellDoubled = 0;
  /** Line breaks inside quotes of this row. */
  innerBreaks = 0;
  state: ScanState = ROW_START;
  afterCr = false;
  readonly quoteByte: number;
  /** -1: no numbers are wanted, or the mark also separates cells. */
  readonly markByte: number;
  readonly delimiter: Delimiter;
  readonly limits: ReadLimits;

  constructor(
    options: ScanOptions,
    private readonly sink: RowSink,
    /** Scans what is new in `bytes`, from `position` to `filled`. */
    private readonly scan: (scanner: RowScanner, sink: RowSink) => void,
  ) {
    this.delimiter = options.delimiter;
    this.limits = options.limits;
    this.quoteByte = options.quote === null ? -1 : options.quote.charCodeAt(0);
    const { decimalMark } = options;
    this.markByte =
      decimalMark === undefined || decimalMark === options.delimiter ? -1 : decimalMark.charCodeAt(0);
  }

  push(chunk: Uint8Array): void {
    for (let at = 0; at < chunk.length; at += scanStep) {
      const piece = chunk.subarray(at, at + scanStep);
      this.makeRoom(piece.length);
      this.bytes.set(piece, this.filled);
      this.filled += piece.length;
      this.bytes[this.filled] = 0;
      this.scan(this, this.sink);
      if (this.filled - this.rowStart > this.limits.maxRowBytes) throw this.tooLong();
    }
  }

  end(): void {
    switch (this.state) {
      case ROW_START:
        return;
      case IN_QUOTE:
        throw new SourceFileError(
          "unclosed-quote",
          `A quotation mark opened in the row that begins on line ${this.line} is never closed. Mend the file, or choose "no quotes" in the column map.`,
          { line: this.line, column: this.cellCount + 1 },
        );
      case QUOTE_SEEN:
      case AFTER_QUOTE:
      case SPACE_SEEN:
        this.endCell(this.cellEnd);
        break;
      case CELL_START:
        if (this.delimiter !== "spaces" && this.delimiter !== "wide spaces") this.endCell(this.position);
        break;
      case IN_CELL:
        this.endCell(this.position);
        break;
    }
    this.terminated = false;
    this.endRow(this.position, this.sink);
  }

  /** The text of a cell, without its quotes and outer spaces. */
  text(index: number, encoding: CellEncoding): string {
    if (index >= this.cellCount) return "";
    const text = decodeText(this.bytes, this.starts[index] as number, this.ends[index] as number, encoding);
    if (this.doubled[index] !== 1) return text.trim();
    const quote = String.fromCharCode(this.quoteByte);
    return text.replaceAll(quote + quote, quote).trim();
  }

  isBlank(): boolean {
    if (this.cellCount > 1) return false;
    if (this.cellCount === 0) return true;
    for (let i = this.starts[0] as number; i < (this.ends[0] as number); i++) {
      const byte = this.bytes[i] as number;
      if (byte !== SPACE && byte !== TAB) return false;
    }
    return true;
  }

  endCell(end: number): void {
    const index = this.cellCount;
    if (index === this.starts.length) this.growCells();
    this.starts[index] = this.cellStart;
    this.ends[index] = end;
    this.doubled[index] = this.cellDoubled;
    this.numbers[index] = Number.NaN;
    this.cellDoubled = 0;
    this.cellCount = index + 1;
  }

  endRow(next: number, sink: RowSink): void {
    sink.row(this);
    this.line += 1 + this.innerBreaks;
    this.innerBreaks = 0;
    this.cellCount = 0;
    this.rowStart = next;
    this.cellStart = next;
    this.state = ROW_START;
  }

  nulByte(): SourceFileError {
    const line = this.line + this.innerBreaks;
    return new SourceFileError(
      "not-text",
      `Line ${line} holds a NUL byte, so the file is not plain text: it is binary, of another encoding (UTF-16?), or was damaged while it was written. Export it again as CSV or text.`,
      { line, column: this.cellCount + 1 },
    );
  }

  private growCells(): void {
    if (this.starts.length >= this.limits.maxColumns) {
      throw new SourceFileError(
        "too-many-columns",
        `Line ${this.line} has more than ${this.limits.maxColumns} cells. Choose another delimiter, or export fewer columns.`,
        { line: this.line, column: this.cellCount + 1 },
      );
    }
    const size = Math.min(this.starts.length * 2, this.limits.maxColumns);
    const { starts, ends, doubled, numbers, scales } = this;
    this.starts = new Int32Array(size);
    this.starts.set(starts);
    this.ends = new Int32Array(size);
    this.ends.set(ends);
    this.doubled = new Uint8Array(size);
    this.doubled.set(doubled);
    this.numbers = new Float64Array(size);
    this.numbers.set(numbers);
    this.scales = new Uint8Array(size);
    this.scales.set(scales);
  }

  private makeRoom(length: number): void {
    if (this.filled + length < this.bytes.length) return;
    const { rowStart } = this;
    const kept = this.filled - rowStart;
    if (kept + length < this.bytes.length) {
      this.bytes.copyWithin(0, rowStart, this.filled);
    } else {
      const grown = new Uint8Array(Math.max(this.bytes.length * 2, kept + length + 1));
      grown.set(this.bytes.subarray(rowStart, this.filled));
      this.bytes = grown;
    }
    for (let i = 0; i < this.cellCount; i++) {
      this.starts[i] = (this.starts[i] as number) - rowStart;
      this.ends[i] = (this.ends[i] as number) - rowStart;
    }
    this.filled = kept;
    this.position -= rowStart;
    this.cellStart -= rowStart;
    this.cellEnd -= rowStart;
    this.rowStart = 0;
  }

  private tooLong(): SourceFileError {
    const quoted = this.state === IN_QUOTE;
    return new SourceFileError(
      "line-too-long",
      `The row that begins on line ${this.line} is longer than ${Math.round(this.limits.maxRowBytes / 2 ** 20)} MiB. ${
        quoted
          ? 'A quotation mark in it is probably never closed: mend the file, or choose "no quotes" in the column map.'
          : "The file is probably not a table, or its line breaks are missing. Export it again."
      }`,
      { line: this.line },
    );
  }
}
