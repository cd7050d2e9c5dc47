import type { TimeBase } from "@acral/analysis/course";
import type { Statistic } from "@acral/analysis/skin";
import type { Channel } from "./channels";

export type TraceTarget =
  | { kind: "region"; regionId: string; statistic: Statistic }
  | { kind: "channel"; channel: Channel };

/** One region × statistic, or one channel, as the file has it. */
export interface ReadTrace {
  target: TraceTarget;
  /** Unit of `values`: temperatures are always "°C"; see `channelUnits`. */
  unit: string;
  /** One value per time of the time base, in its order; missing is NaN. */
  values: Float64Array;
  /** Index of the column it was read from, counted from 0. */
  column: number;
  /** The column's name in the file (in a long layout the key texts, joined by a space). */
  name: string;
}

export type RowReason =
  | "before the data"
  | "header"
  | "header repeated"
  | "block title"
  | "blank"
  | "no time"
  | "time could not be read"
  | "no values"
  | "cells missing, and spaces do not say which"
  | "cut off"
  | "series left out"
  | "series not in the column map"
  | "series repeated at the same time";

export interface RowsNotUsed {
  reason: RowReason;
  count: number;
  /** Line numbers of the first `maxListedLines`. */
  lines: number[];
}

export interface CellPlace {
  line: number;
  text: string;
}

/** What one column (or series) lacks. `unreadable` is part of `missing`. */
export interface MissingValues {
  column: number;
  name: string;
  missing: number;
  sentinels: number;
  unreadable: number;
  /** The first 100 cells that held neither a number nor a missing-value word. */
  unreadableCells: CellPlace[];
}

export type WarningKind =
  | "time repeated"
  | "time runs backwards"
  | "past midnight"
  | "text in a number column"
  | "fewer cells than columns"
  | "more cells than columns"
  | "last row may be cut off"
  | "header repeated"
  | "columns appear"
  | "clock changed"
  | "clock may have changed"
  | "formula"
  | "hidden row"
  | "hidden column"
  | "merged cells";

export interface ReadWarning {
  kind: WarningKind;
  /** One sentence for a person. */
  message: string;
  count: number;
  /** Line numbers of the first 100. */
  lines: number[];
}

export interface ReadReport {
  /** Bytes as uploaded, and bytes of text after decompression. */
  bytes: number;
  textBytes: number;
  compressed: boolean;
  /** What the numbers in `lines` count: the lines of a text, or the rows of a workbook's sheet. */
  places: "line" | "row";
  /** How many lines or rows the file (or its sheet) has. */
  lines: number;
  /** Rows from the first data line on. */
  rowsRead: number;
  rowsUsed: number;
  /** Every row that was not used, by reason; reasons without rows are left out. */
  rowsNotUsed: RowsNotUsed[];
  missingValues: MissingValues[];
  warnings: ReadWarning[];
}

export interface ReadResult {
  /** Seconds from the file's own origin: its zero for elapsed times and frames, its first row for clock times and dates. */
  timeBase: TimeBase;
  /** The origin as ISO 8601, with offset if the zone is known, without if not; null if the file has no date. */
  startedAt: string | null;
  /** The origin's time of day (hh:mm:ss.fff) when the file has clock times; null otherwise. */
  startClock: string | null;
  traces: ReadTrace[];
  report: ReadReport;
}
