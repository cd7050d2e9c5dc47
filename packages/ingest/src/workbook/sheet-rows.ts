import type { DecimalMark } from "../column-map";
import { LineTally } from "../read/row-tally";
import { RowScanner, type RowSink, type ScanOptions } from "../scan/row-scanner";
import { SourceFileError } from "../source-file-error";
import { type CellRange, columnOf, mostRows, rangeOf } from "./cell-reference";
import { damagedWorkbook } from "./damaged-workbook";
import type { CellContext } from "./open-workbook";
import { serialText, serialTolerance } from "./serial-text";
import { StringText } from "./string-text";
import { type Attributes, attributeOf, isOn, type PartHandler } from "./xml-part";

export interface SheetOptions extends Omit<ScanOptions, "delimiter" | "quote"> {
  epoch: 1900 | 1904;
  /** Numbers are stored with a point; they are handed on with this mark, as numbers written as text have it. */
  decimalMark: DecimalMark;
  /** The cells of which something is counted: these columns (all without it) from this row on. */
  columns: ReadonlySet<number> | null;
  firstRow: number;
  /** Cells of a row that holds anything: those at its end that hold nothing are not stored, and are no less there. */
  width: number;
}

const storedNumber = /^[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d{1,4})?$/;
const mostMerged = 100_000;
const encoder = new TextEncoder();

/**
 * Turns the XML of a sheet into rows of cells for whoever reads rows of text: the same rows, with the numbers of the sheet's
 * rows as their lines. A cell is handed on as the text that it shows by its kind: a number as it is stored, a
 * number of days under a date format as the date, a formula as the value that was computed last.
 */
export class SheetRows implements PartHandler {
  readonly scanner: RowScanner;
  /** Whether each cell of the row at hand is a stored number, and no text that looks like one. */
  readonly numberCells: boolean[] = [];
  /** How far a date may lie from an even spacing because a number of days is rounded, in s. */
  timeTolerance = 0;
  readonly formulas: LineTally;
  readonly hiddenRows: LineTally;
  /** Counts columns, which have no row. */
  readonly hiddenColumns = new LineTally(0);
  private readonly merged: CellRange[] = [];
  private readonly string = new StringText();
  private filled = 0;
  private row = 0;
  private rowHidden = false;
  private column = -1;
  private kind = "n";
  private style = 0;
  private value: string | null = null;
  private formula: string | null = null;
  private inside: "value" | "formula" | "string" | null = null;
  private inRow = false;

  constructor(
    private readonly options: SheetOptions,
    private readonly context: CellContext,
    private readonly sink: RowSink,
  ) {
    const { limits } = options;
    this.formulas = new LineTally(limits.maxListedLines);
    this.hiddenRows = new LineTally(limits.maxListedLines);
    this.scanner = new RowScanner({ delimiter: ",", quote: null, limits }, sink, () => {});
  }

  open(name: string, attributes: Attributes): void {
    switch (name) {
      case "row":
        this.beginRow(attributes);
        break;
      case "c":
        this.beginCell(attributes);
        break;
      case "v":
        this.value = "";
        this.inside = "value";
        break;
      case "f":
        this.formula = "";
        this.inside = "formula";
        break;
      case "is":
        this.string.reset();
        this.inside = "string";
        break;
      case "col":
        this.noteColumns(attributes);
        break;
      case "mergeCell":
        this.noteMerged(attributes.ref ?? "");
        break;
      default:
        if (this.inside === "string") this.string.open(name);
    }
  }

  close(name: string): void {
    switch (name) {
      case "row":
        this.endRow();
        break;
      case "c":
        this.endCell();
        break;
      case "is":
        this.value = this.string.value();
        this.inside = null;
        break;
      case "v":
      case "f":
        this.inside = null;
        break;
      default:
        if (this.inside === "string") this.string.close(name);
    }
  }

  text(text: string): void {
    if (this.inside === "value") this.value += text;
    else if (this.inside === "formula") this.formula += text;
    else if (this.inside === "string") this.string.text(text);
  }

  /** Cells that hold nothing because they are merged with another, counted among those that are watched. */
  mergedCells(): LineTally {
    const tally = new LineTally(this.options.limits.maxListedLines);
    const { columns, firstRow } = this.options;
    for (const range of this.merged) {
      for (let row = Math.max(range.firstRow, firstRow); row <= Math.min(range.lastRow, this.row); row++) {
        for (let column = range.firstColumn; column <= range.lastColumn; column++) {
          const anchor = row === range.firstRow && column === range.firstColumn;
          if (!anchor && (columns === null || columns.has(column))) tally.add(row);
        }
      }
    }
    return tally;
  }

  private beginRow(attributes: Attributes): void {
    const number = attributes.r === undefined ? this.row + 1 : Number(attributes.r);
    if (!Number.isInteger(number) || number <= this.row || number > mostRows) {
      throw damagedWorkbook(`row ${this.row + 1} of the sheet does not stand where its number says`);
    }
    // Rows that were never written to are not stored.
    for (let missing = this.row + 1; missing < number; missing++) this.handOn(missing);
    this.row = number;
    this.column = -1;
    this.inRow = true;
    this.rowHidden = isOn(attributes.hidden);
    if (this.rowHidden && number >= this.options.firstRow) this.hiddenRows.add(number);
  }

  private endRow(): void {
    this.inRow = false;
    this.handOn(this.row);
  }

  private handOn(row: number): void {
    const { scanner } = this;
    scanner.line = row;
    if (scanner.cellCount > 0) this.fillTo(this.options.width);
    scanner.bytes[this.filled] = 0;
    scanner.filled = this.filled;
    scanner.terminated = true;
    scanner.endRow(this.filled, this.sink);
    this.filled = 0;
    this.numberCells.length = 0;
  }

  private beginCell(attributes: Attributes): void {
    const column = attributes.r === undefined ? this.column + 1 : columnOf(attributes.r);
    if (!this.inRow || column <= this.column) {
      throw damagedWorkbook(`a cell of row ${this.row} does not stand where its name says`);
    }
    this.column = column;
    this.kind = attributes.t ?? "n";
    this.style = Number(attributes.s ?? 0);
    this.value = null;
    this.formula = null;
  }

  private endCell(): void {
    const { value, formula } = this;
    this.inside = null;
    if (formula !== null && this.isWatched() && value !== null && value !== "") this.formulas.add(this.row);
    if (value === null || value === "") {
      // A formula that nobody computed is no value, and no empty cell either.
      if (formula !== null && this.kind !== "str") this.put(`=${formula === "" ? "…" : formula}`, false);
      return;
    }
    switch (this.kind) {
      case "n":
        this.putNumber(value.trim());
        break;
      case "s":
        this.put(this.sharedString(value), false);
        break;
      case "b":
        this.put(isOn(value.trim()) ? "TRUE" : "FALSE", false);
        break;
      case "d":
      case "e":
      case "str":
      case "inlineStr":
        this.put(value, false);
        break;
      default:
        throw damagedWorkbook(`a cell of row ${this.row} is of the unknown kind "${this.kind.slice(0, 20)}"`);
    }
  }

  private sharedString(value: string): string {
    const text = this.context.strings[Number(value)];
    if (text === undefined) throw damagedWorkbook(`row ${this.row} refers to a text that is not there`);
    return text;
  }

  private putNumber(stored: string): void {
    // What is no number is handed on as it is, and is no number to the reader either.
    if (!isPlain(stored) && !storedNumber.test(stored)) {
      this.put(stored, false);
      return;
    }
    const number = Number(stored);
    const kind = this.context.kinds[this.style] ?? null;
    if (kind !== null) {
      const text = serialText(number, kind, this.options.epoch);
      if (text !== null) {
        this.timeTolerance = Math.max(this.timeTolerance, serialTolerance(stored.split(".")[1]?.length ?? 0));
        this.put(text, false);
        return;
      }
    }
    // Seventeen digits of a double ("31.300000000000001") and its shortest spelling are the same number.
    const text = stored.length <= 15 || !Number.isFinite(number) ? stored : String(number);
    this.put(this.options.decimalMark === "," ? text.replace(".", ",") : text, true);
  }

  private put(text: string, isNumber: boolean): void {
    const { scanner, options } = this;
    const needed = this.filled + 3 * text.length + 1;
    if (needed > options.limits.maxRowBytes) {
      throw new SourceFileError(
        "line-too-long",
        `Row ${this.row} of the sheet holds more than ${Math.round(options.limits.maxRowBytes / 2 ** 20)} MiB of text. Choose another sheet, or export the recording as CSV.`,
        { line: this.row },
      );
    }
    if (needed > scanner.bytes.length) {
      const grown = new Uint8Array(2 * needed);
      grown.set(scanner.bytes.subarray(0, this.filled));
      scanner.bytes = grown;
    }
    this.fillTo(this.column);
    scanner.cellStart = this.filled;
    this.filled = written(text, scanner.bytes, this.filled);
    scanner.endCell(this.filled);
    this.numberCells.push(isNumber);
  }

  /** Adds cells that hold nothing. */
  private fillTo(count: number): void {
    const { scanner } = this;
    while (scanner.cellCount < count) {
      scanner.cellStart = this.filled;
      scanner.endCell(this.filled);
      this.numberCells.push(false);
    }
  }

  private isWatched(): boolean {
    const { columns, firstRow } = this.options;
    return this.row >= firstRow && (columns === null || columns.has(this.column));
  }

  private noteColumns(attributes: Attributes): void {
    if (!isOn(attributes.hidden)) return;
    const from = Number(attributeOf(attributes, "min")) - 1;
    const to = Number(attributeOf(attributes, "max")) - 1;
    for (const column of this.options.columns ?? []) {
      if (column >= from && column <= to) this.hiddenColumns.add(0);
    }
  }

  private noteMerged(reference: string): void {
    const range = rangeOf(reference);
    if (range === null) return;
    if (this.merged.length >= mostMerged) {
      throw damagedWorkbook(`its sheet has more than ${mostMerged} merged ranges`);
    }
    this.merged.push(range);
  }
}

const POINT = 46;
const MINUS = 45;

/** Digits with one point or none, perhaps negative: what nearly every cell stores, told without a pattern. */
function isPlain(text: string): boolean {
  let points = 0;
  const first = text.charCodeAt(0) === MINUS ? 1 : 0;
  for (let i = first; i < text.length; i++) {
    const code = text.charCodeAt(i);
    if (code === POINT && i > first && i < text.length - 1) points++;
    else if (code < 48 || code > 57) return false;
  }
  return points < 2 && text.length > first;
}

/** Writes a text as UTF-8 and returns where it ends; most cells are ASCII and short. */
function written(text: string, bytes: Uint8Array, from: number): number {
  for (let i = 0; i < text.length; i++) {
    const code = text.charCodeAt(i);
    if (code > 127) return from + encoder.encodeInto(text, bytes.subarray(from)).written;
    bytes[from + i] = code;
  }
  return from + text.length;
}
