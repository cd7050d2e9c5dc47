import type { ColumnMap } from "../column-map";
import { cellEncoding } from "../decode/text-bytes";
import type { ReadLimits } from "../limits";
import { TimeReader } from "../parse/time-reader";
import type { ReadTrace, ReadWarning, RowReason } from "../read-result";
import type { RowScanner, RowSink } from "../scan/row-scanner";
import { SourceFileError } from "../source-file-error";
import { BlockTitle } from "./block-title";
import { HeaderRows } from "./header-rows";
import { type LineTally, RowTally } from "./row-tally";
import type { ValueColumn } from "./value-cells";
import { type RowWarning, Warnings } from "./warnings";

const lackingReason = "cells missing, and spaces do not say which" satisfies RowReason;

/** What a layout does with the rows that have a time. */
export interface RowBody {
  readonly wanted: readonly ValueColumn[];
  /** Takes the values of a row; a reason when it used none of them. */
  take(row: RowScanner, seconds: number): RowReason | null;
  /** Whether consecutive rows are consecutive in time. */
  readonly inTimeOrder: boolean;
  /** Layout in blocks: a block begins, under this title and these names of the columns. */
  beginBlock?(title: string, names: readonly string[]): void;
  finish(): { times: Float64Array; traces: ReadTrace[] };
}

/** Sorts rows into preamble, header, blank lines and data, reads the time of each, and counts what is not used. */
export class DataRows implements RowSink {
  rowsRead = 0;
  rowsUsed = 0;
  lastLine = 0;
  readonly tally: RowTally;
  readonly time: TimeReader;
  private readonly warnings: Warnings;
  private readonly encoding: ReturnType<typeof cellEncoding>;
  private readonly header: HeaderRows;
  private readonly title = new BlockTitle();
  private readonly headerLines: ReadonlySet<number>;
  private readonly timeColumn: number;
  private readonly expectedCells: number;
  /** Whether a missing cell leaves nothing behind: what follows it would be read as another column. */
  private readonly spaced: boolean;
  private previousCells = 0;
  private previousSeconds = Number.NaN;
  private firstUnreadable = "";
  /** Line of a repeated header since which no row was used. */
  private repeatedOn: number | null = null;

  constructor(
    private readonly map: ColumnMap,
    private readonly body: RowBody,
    limits: ReadLimits,
  ) {
    this.tally = new RowTally(limits.maxListedLines);
    const timeColumn = map.time.columns[0];
    if (timeColumn === undefined) {
      throw new SourceFileError(
        "no-time-column",
        "No column holds the time of the rows. Choose the time column in the column map, or export the file with its times.",
      );
    }
    this.timeColumn = timeColumn;
    this.warnings = new Warnings(map, limits);
    this.encoding = cellEncoding(map.encoding);
    this.headerLines = new Set(map.headerLines);
    this.header = new HeaderRows(map);
    this.time = new TimeReader(map);
    this.spaced = map.sheet === null && (map.delimiter === "spaces" || map.delimiter === "wide spaces");
    this.expectedCells = Math.max(...map.columns.map((column) => column.index)) + 1;
  }

  row(row: RowScanner): void {
    const { line } = row;
    this.lastLine = line;
    if (line < this.map.firstDataLine) {
      this.beforeData(row);
      return;
    }
    if (!this.header.checked) this.beginData();
    if (row.isBlank()) {
      this.tally.add("blank", line);
      return;
    }
    this.rowsRead++;
    const reason = this.useRow(row);
    if (reason !== null) this.tally.add(reason, line);
    else if (!this.title.isHeld(line)) this.rowsUsed++;
    this.previousCells = row.cellCount;
  }

  finish(): void {
    if (!this.header.checked) this.beginData();
    this.noTitle();
    if (this.rowsUsed > 0) return;
    const { place } = this.warnings;
    const unreadable = this.tally.countOf("time could not be read");
    const line = this.tally.firstLineOf("time could not be read");
    if (unreadable > 0 && line !== undefined) {
      throw new SourceFileError(
        "no-data-rows",
        `No row could be used: in ${unreadable} of ${this.rowsRead} rows the time cannot be read as "${this.map.time.format}". The first is on ${place} ${line}: "${this.firstUnreadable}". Choose another time format or time column.`,
        { line, column: this.timeColumn + 1 },
      );
    }
    const lacking = this.tally.firstLineOf(lackingReason);
    if (lacking !== undefined) {
      throw new SourceFileError(
        "no-data-rows",
        `No row could be used: the rows have fewer cells than the header has names, first on ${place} ${lacking}, and between spaces nobody can tell which are missing. Choose another delimiter, or export the file with commas, semicolons or tabs.`,
        { line: lacking },
      );
    }
    throw new SourceFileError(
      "no-data-rows",
      this.rowsRead === 0
        ? `There is no row of data from ${place} ${this.map.firstDataLine} on. Check the first data line in the column map, or export the file again.`
        : `None of the ${this.rowsRead} rows from ${place} ${this.map.firstDataLine} on holds a time and a value. Check the time column and the first data line in the column map.`,
      { line: this.map.firstDataLine },
    );
  }

  warn(kind: RowWarning, line: number): void {
    this.warnings.add(kind, line);
  }

  warnOf(kind: RowWarning, tally: LineTally): void {
    this.warnings.take(kind, tally);
  }

  listWarnings(): ReadWarning[] {
    return this.warnings.list(this.body.wanted);
  }

  private beforeData(row: RowScanner): void {
    if (this.headerLines.has(row.line)) {
      this.header.add(this.textsOf(row));
      this.tally.add("header", row.line);
      return;
    }
    if (!row.isBlank()) this.title.see(row.line, this.textsOf(row));
    this.tally.add(row.isBlank() ? "blank" : "before the data", row.line);
  }

  private beginData(): void {
    this.header.check();
    this.body.beginBlock?.(this.title.take(), this.header.names);
  }

  private useRow(row: RowScanner): RowReason | null {
    if (!row.terminated && row.cellCount < this.previousCells) return "cut off";
    const lacking = this.spaced && row.cellCount < (this.header.width ?? this.expectedCells);
    if (lacking && this.map.layout !== "blocks" && this.beginsWithNumber(row)) return lackingReason;
    switch (this.time.read(row)) {
      case "empty":
        return this.withEmptyTime(row);
      case "unreadable":
        return this.withoutTime(row);
      case "read":
        break;
    }
    this.noTitle();
    if (lacking) return lackingReason;
    const { seconds } = this.time;
    if (this.repeatedOn !== null) this.afterRepeatedHeader(this.repeatedOn, seconds);
    const reason = this.body.take(row, seconds);
    if (reason !== null) return reason;
    if (row.cellCount !== this.expectedCells) this.noteWidth(row);
    if (this.body.inTimeOrder) {
      if (seconds === this.previousSeconds) this.warn("time repeated", row.line);
      else if (seconds < this.previousSeconds) this.warn("time runs backwards", row.line);
      if (this.time.crossedMidnight) this.warn("past midnight", row.line);
      if (this.time.clockChange === "corrected") this.warn("clock changed", row.line);
      else if (this.time.clockChange === "possible") this.warn("clock may have changed", row.line);
    }
    this.previousSeconds = seconds;
    return null;
  }

  private withEmptyTime(row: RowScanner): RowReason | null {
    if (this.title.isPossible(this.map, row)) return this.holdTitle(row);
    const upper = this.headerLines.size > 1 && this.header.repeatsUpper(row.line, this.textsOf(row));
    return upper ? "header repeated" : "no time";
  }

  private withoutTime(row: RowScanner): RowReason | null {
    if (this.header.isRepeatedBy(row.text(this.timeColumn, this.encoding), this.timeColumn)) {
      const { appeared } = this.header.repeat(row.line, this.textsOf(row));
      if (this.map.layout !== "blocks") this.warn("header repeated", row.line);
      if (appeared) this.warn("columns appear", row.line);
      this.title.follow((line) => this.tally.add("block title", line));
      this.body.beginBlock?.(this.title.take(), this.header.names);
      this.time.beginAnew();
      this.repeatedOn = row.line;
      return "header repeated";
    }
    if (this.title.isPossible(this.map, row)) return this.holdTitle(row);
    if (this.firstUnreadable === "")
      this.firstUnreadable = row.text(this.timeColumn, this.encoding).slice(0, 60);
    return "time could not be read";
  }

  /** What a row without a time is shows only when the next header follows, or does not. */
  private holdTitle(row: RowScanner): RowReason | null {
    this.noTitle();
    this.title.hold(row.line, this.textsOf(row));
    return null;
  }

  private noTitle(): void {
    this.title.drop((line) => this.tally.add("time could not be read", line));
  }

  /** A recording below another one counts from its own zero, and nothing says how long after the first it began. */
  private afterRepeatedHeader(line: number, seconds: number): void {
    this.repeatedOn = null;
    const { layout, time, sheet } = this.map;
    const counts = time.format === "number" || time.format === "elapsed" || time.format === "frame number";
    if (layout !== "wide" || !counts || !(seconds < this.previousSeconds)) return;
    const place = sheet === null ? "line" : "row";
    throw new SourceFileError(
      "blocks-differ",
      `The header comes again on ${place} ${line}, and the time begins anew there, at ${seconds} s after ${this.previousSeconds} s: the file holds several recordings below each other, and nothing says how much time lies between them. Split it there and upload its parts, each with its own start.`,
      { line },
    );
  }

  /** Not so a line of summary, a title or a header. */
  private beginsWithNumber(row: RowScanner): boolean {
    return /^[-+\u2212.,]?\d/.test(row.text(0, this.encoding));
  }

  private noteWidth(row: RowScanner): void {
    if (row.cellCount < this.expectedCells) {
      this.warn("fewer cells than columns", row.line);
      return;
    }
    for (let i = this.expectedCells; i < row.cellCount; i++) {
      if (row.text(i, this.encoding) !== "") {
        this.warn("more cells than columns", row.line);
        return;
      }
    }
  }

  private textsOf(row: RowScanner): string[] {
    return Array.from({ length: row.cellCount }, (_, i) => row.text(i, this.encoding));
  }
}
