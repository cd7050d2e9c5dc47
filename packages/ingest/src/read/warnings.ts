import type { ColumnMap } from "../column-map";
import type { ReadLimits } from "../limits";
import type { ReadWarning, WarningKind } from "../read-result";
import { LineTally } from "./row-tally";
import type { ValueColumn } from "./value-cells";

/** Warnings about rows; those about cells come from the columns themselves. */
export type RowWarning = Exclude<WarningKind, "text in a number column">;

const texts: Readonly<Record<RowWarning, readonly [one: string, many: string]>> = {
  "time repeated": [
    "1 row has the same time as the row before it",
    "# rows have the same time as the row before them",
  ],
  "time runs backwards": [
    "1 row has an earlier time than the row before it",
    "# rows have an earlier time than the row before them",
  ],
  "past midnight": [
    "1 row begins a new day: its clock time lies half a day before the row above",
    "# rows begin a new day: their clock time lies half a day before the row above",
  ],
  "fewer cells than columns": [
    "1 row has fewer cells than the file has columns; what is not there counts as missing",
    "# rows have fewer cells than the file has columns; what is not there counts as missing",
  ],
  "more cells than columns": [
    "1 row has more cells than the file has columns; what is beyond was not read",
    "# rows have more cells than the file has columns; what is beyond was not read",
  ],
  "last row may be cut off": [
    "The last row ends without a line break and with fewer decimals than all others: its last number may be cut off",
    "# rows end without a line break and with fewer decimals than all others: the last number may be cut off",
  ],
  "header repeated": [
    "1 row repeats the header in the middle of the data",
    "# rows repeat the header in the middle of the data",
  ],
  "columns appear": [
    "1 repeated header names columns that the first one does not; they hold nothing above it",
    "# repeated headers name columns that the first one does not; they hold nothing above them",
  ],
  "clock changed": [
    "The clock was put forward or back by an hour in 1 place while the samples went on as before; the time that passed was counted through",
    "The clock was put forward or back by an hour in # places while the samples went on as before; the time that passed was counted through",
  ],
  "clock may have changed": [
    "In 1 place an hour is missing or comes twice: the clock may have been changed, or the recording was interrupted. The times were kept as they stand",
    "In # places an hour is missing or comes twice: the clock may have been changed, or the recording was interrupted. The times were kept as they stand",
  ],
  formula: [
    "1 cell holds a formula; the value that the workbook computed last was read",
    "# cells hold formulas; the values that the workbook computed last were read",
  ],
  "hidden row": [
    "1 row is hidden in the workbook and was read all the same",
    "# rows are hidden in the workbook and were read all the same",
  ],
  "hidden column": [
    "1 column that was read is hidden in the workbook",
    "# columns that were read are hidden in the workbook",
  ],
  "merged cells": [
    "1 cell is merged with another and holds no value of its own; it counts as missing",
    "# cells are merged with others and hold no values of their own; they count as missing",
  ],
};

/** Counts what a person should know of rows that were read, and says it. */
export class Warnings {
  /** What the numbers of places count. */
  readonly place: "line" | "row";
  private readonly byKind = new Map<RowWarning, LineTally>();

  constructor(
    map: ColumnMap,
    private readonly limits: ReadLimits,
  ) {
    this.place = map.sheet === null ? "line" : "row";
  }

  add(kind: RowWarning, line: number): void {
    let tally = this.byKind.get(kind);
    if (tally === undefined) {
      tally = new LineTally(this.limits.maxListedLines);
      this.byKind.set(kind, tally);
    }
    tally.add(line);
  }

  /** Takes over what was counted elsewhere; nothing counted is no warning. */
  take(kind: RowWarning, tally: LineTally): void {
    if (tally.count > 0) this.byKind.set(kind, tally);
  }

  list(columns: readonly ValueColumn[]): ReadWarning[] {
    const list: ReadWarning[] = [...this.byKind].map(([kind, { count, lines }]) => {
      const [one, many] = texts[kind];
      const where = lines[0] === undefined ? "" : ` (first on ${this.place} ${lines[0]})`;
      return {
        kind,
        message: `${count === 1 ? one : many.replace("#", String(count))}${where}.`,
        count,
        lines,
      };
    });
    for (const { column, name, unreadable, unreadableCells } of columns) {
      const first = unreadableCells[0];
      if (first === undefined) continue;
      list.push({
        kind: "text in a number column",
        message: `Column ${column + 1} ("${name}") holds something other than a number in ${unreadable === 1 ? "1 cell" : `${unreadable} cells`}, first "${first.text}" on ${this.place} ${first.line}; it counts as missing.`,
        count: unreadable,
        lines: unreadableCells.map((cell) => cell.line),
      });
    }
    return list;
  }
}
