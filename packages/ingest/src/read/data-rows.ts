import type { ColumnMap } from "../column-map";
import { cellEncoding } from "../decode/text-bytes";
import type { ReadLimits } from "../limits";
import { TimeReader } from "../parse/time-reader";
import type { ReadTrace, ReadWarning, RowReason, WarningKind } from "../read-result";
import type { RowScanner, RowSink } from "../scan/row-scanner";
import { SourceFileError } from "../source-file-error";
import { composeNames } from "./compose-names";
import { LineTally, RowTally } from "./row-tally";
import type { ValueColumn } from "./value-cells";

/** What a layout does with the rows that have a time. */
export interface RowBody {
  readonly wanted: readonly ValueColumn[];
  /** Takes the values of a row; a reason when it used none of them. */
  take(row: RowScanner, seconds: number): RowReason | null;
  /** Whether consecutive rows are consecutive in time. */
  readonly inTimeOrder: boolean;
  finish(): { times: Float64Array; traces: ReadTrace[] };
}

const warningTexts: Record<Exclude<WarningKind, "text in a number column">, string> = {
  "time repeated": "have the same time as the row before them",
  "time runs backwards": "have an earlier time than the row before them",
  "past midnight": "begin a new day: their clock time lies half a day before the row above",
  "fewer cells than columns":
    "have fewer cells than the file has columns; what is not there counts as missing",
  "more cells than columns": "have more cells than the file has columns; what is beyond was not read",
  "last row may be cut off":
    "end without a line break and with fewer decimals than all others: the last number may be cut off",
  "header repeated": "repeat the header in the middle of the data",
};

/** Sorts rows into preamble, header, blank lines and data, reads the time of each, and counts what is not used. */
export class DataRows implements RowSink {
  rowsRead = 0;
  rowsUsed = 0;
  lastLine = 0;
  readonly tally: RowTally;
  readonly time: TimeReader;
  private readonly warnings = new Map<Exclude<WarningKind, "text in a number column">, LineTally>();
  private readonly encoding: ReturnType<typeof cellEncoding>;
  private readonly headerRows: string[][] = [];
  private readonly headerLines: ReadonlySet<number>;
  private readonly timeColumn: number;
  private readonly expectedCells: number;
  private headerChecked = false;
  private previousCells = 0;
  private previousSeconds = Number.NaN;
  private firstUnreadable = "";

  constructor(
    private readonly map: ColumnMap,
    private readonly body: RowBody,
    private readonly limits: ReadLimits,
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
    this.encoding = cellEncoding(map.encoding);
    this.headerLines = new Set(map.headerLines);
    this.time = new TimeReader(map);
    this.expectedCells = Math.max(...map.columns.map((column) => column.index)) + 1;
  }

  row(row: RowScanner): void {
    const { line } = row;
    this.lastLine = line;
    if (line < this.map.firstDataLine) {
      this.beforeData(row);
      return;
    }
    if (!this.headerChecked) this.checkHeader();
    if (row.isBlank()) {
      this.tally.add("blank", line);
      return;
    }
    this.rowsRead++;
    const reason = this.useRow(row);
    if (reason !== null) this.tally.add(reason, line);
    else this.rowsUsed++;
    this.previousCells = row.cellCount;
  }

  finish(): void {
    if (!this.headerChecked) this.checkHeader();
    if (this.rowsUsed > 0) return;
    const unreadable = this.tally.countOf("time could not be read");
    const line = this.tally.firstLineOf("time could not be read");
    if (unreadable > 0 && line !== undefined) {
      throw new SourceFileError(
        "no-data-rows",
        `No row could be used: in ${unreadable} of ${this.rowsRead} rows the time cannot be read as "${this.map.time.format}". The first is on line ${line}: "${this.firstUnreadable}". Choose another time format or time column.`,
        { line, column: this.timeColumn + 1 },
      );
    }
    throw new SourceFileError(
      "no-data-rows",
      this.rowsRead === 0
        ? `There is no row of data from line ${this.map.firstDataLine} on. Check the first data line in the column map, or export the file again.`
        : `None of the ${this.rowsRead} rows from line ${this.map.firstDataLine} on holds a time and a value. Check the time column and the first data line in the column map.`,
      { line: this.map.firstDataLine },
    );
  }

  warn(kind: Exclude<WarningKind, "text in a number column">, line: number): void {
    let tally = this.warnings.get(kind);
    if (tally === undefined) {
      tally = new LineTally(this.limits.maxListedLines);
      this.warnings.set(kind, tally);
    }
    tally.add(line);
  }

  listWarnings(): ReadWarning[] {
    const list: ReadWarning[] = [...this.warnings].map(([kind, { count, lines }]) => ({
      kind,
      message: `${count === 1 ? "1 row" : `${count} rows`} ${warningTexts[kind]} (first on line ${lines[0]}).`,
      count,
      lines,
    }));
    for (const { column, name, unreadable, unreadableCells } of this.body.wanted) {
      const first = unreadableCells[0];
      if (first === undefined) continue;
      list.push({
        kind: "text in a number column",
        message: `Column ${column + 1} ("${name}") holds something other than a number in ${unreadable === 1 ? "1 cell" : `${unreadable} cells`}, first "${first.text}" on line ${first.line}; it counts as missing.`,
        count: unreadable,
        lines: unreadableCells.map((cell) => cell.line),
      });
    }
    return list;
  }

  private beforeData(row: RowScanner): void {
    if (this.headerLines.has(row.line)) {
      this.headerRows.push(Array.from({ length: row.cellCount }, (_, i) => row.text(i, this.encoding)));
      this.tally.add("header", row.line);
    } else this.tally.add(row.isBlank() ? "blank" : "before the data", row.line);
  }

  private useRow(row: RowScanner): RowReason | null {
    if (!row.terminated && row.cellCount < this.previousCells) return "cut off";
    switch (this.time.read(row)) {
      case "empty":
        return "no time";
      case "unreadable":
        if (this.repeatsHeader(row)) {
          this.warn("header repeated", row.line);
          return "header repeated";
        }
        if (this.firstUnreadable === "")
          this.firstUnreadable = row.text(this.timeColumn, this.encoding).slice(0, 60);
        return "time could not be read";
      case "read":
        break;
    }
    const { seconds } = this.time;
    const reason = this.body.take(row, seconds);
    if (reason !== null) return reason;
    if (row.cellCount !== this.expectedCells) this.noteWidth(row);
    if (this.body.inTimeOrder) {
      if (seconds === this.previousSeconds) this.warn("time repeated", row.line);
      else if (seconds < this.previousSeconds) this.warn("time runs backwards", row.line);
      if (this.time.crossedMidnight) this.warn("past midnight", row.line);
    }
    this.previousSeconds = seconds;
    return null;
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

  private repeatsHeader(row: RowScanner): boolean {
    const text = row.text(this.timeColumn, this.encoding);
    return text !== "" && this.headerRows.some((cells) => cells[this.timeColumn] === text);
  }

  /** A column map is bound to the names it was made for: another header would put numbers under wrong regions. */
  private checkHeader(): void {
    this.headerChecked = true;
    if (this.map.headerLines.length === 0) return;
    const line = this.map.headerLines[0] ?? 1;
    if (this.headerRows.length < this.map.headerLines.length) {
      throw new SourceFileError(
        "header-differs",
        `The column map expects a header on line ${this.map.headerLines.join(" and ")}, but no row begins there. Detect the columns of this file anew.`,
        { line },
      );
    }
    const names = composeNames(this.headerRows);
    for (const { index, name, use } of this.map.columns) {
      if (use.kind === "ignore") continue;
      const found = names[index] ?? "";
      if (found !== name.replace(/\s+/g, " ").trim()) {
        throw new SourceFileError(
          "header-differs",
          `Column ${index + 1} is named "${found}" in this file, but "${name}" in the column map: the map belongs to another layout. Detect the columns of this file anew.`,
          { line, column: index + 1 },
        );
      }
    }
  }
}
