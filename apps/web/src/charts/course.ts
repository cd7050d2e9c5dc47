import type { FigureTable } from "./figure-table";
import type { SeriesSign } from "./series-sign";

/** One line of a figure over time, as columns. Missing values are null and leave a gap. */
export interface CourseSeries {
  readonly id: string;
  readonly label: string;
  readonly sign: SeriesSign;
  /** Seconds, ascending. */
  readonly timesS: readonly number[];
  readonly values: readonly (number | null)[];
  /** Limits of the confidence band, together or not at all. */
  readonly low?: readonly (number | null)[];
  readonly high?: readonly (number | null)[];
}

export interface CoursePhase {
  readonly label: string;
  readonly startS: number;
  readonly endS: number;
}

export interface CourseMark {
  readonly label: string;
  readonly atS: number;
}

/** A stretch of time that a figure marks above its plotting area, under a number that a list beside it repeats. */
export interface CourseInterval {
  readonly id: string;
  /** The number under which a list beside the figure holds it. */
  readonly number: number;
  /** In full, for whoever reaches the mark with the keyboard: "1: common step, 10.0 min". */
  readonly label: string;
  readonly fromS: number;
  readonly toS: number;
  /** Settled marks are outlined, the others filled. */
  readonly settled: boolean;
}

/** A stretch of time on the axis, in seconds. */
export interface TimeSpan {
  readonly fromS: number;
  readonly toS: number;
}

/** As many points as a line may have: more are not seen, and make the page slow. */
export const mostPoints = 2000;

/** Throws when a series is not what a line can be drawn from: that is a mistake of the caller, not of the data. */
export function checkSeries(series: CourseSeries): void {
  const { timesS, values, low, high } = series;
  if (timesS.length > mostPoints) {
    throw new RangeError(
      `series "${series.label}" has ${timesS.length} points; reduce it to at most ${mostPoints} before drawing`,
    );
  }
  for (const column of [values, low, high]) {
    if (column !== undefined && column.length !== timesS.length) {
      throw new RangeError(`series "${series.label}" has ${timesS.length} times but ${column.length} values`);
    }
  }
  if ((low === undefined) !== (high === undefined)) {
    throw new RangeError(`series "${series.label}" has only one limit of its band`);
  }
}

export function extent(columns: Iterable<readonly (number | null)[] | undefined>): [number, number] | null {
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (const column of columns) {
    for (const value of column ?? []) {
      if (value === null || !Number.isFinite(value)) continue;
      if (value < low) low = value;
      if (value > high) high = value;
    }
  }
  return low <= high ? [low, high] : null;
}

/**
 * The part of a series that a stretch of time shows: its points in there and one on either side, so that a line runs to the
 * edge.
 */
export function withinSpan(series: CourseSeries, span: TimeSpan | null): CourseSeries {
  if (span === null) return series;
  const { timesS } = series;
  const first = timesS.findIndex((time) => time >= span.fromS);
  const last = timesS.findLastIndex((time) => time <= span.toS);
  const from = Math.max(0, (first < 0 ? timesS.length : first) - 1);
  const to = Math.min(timesS.length, last + 2);
  const cut = <Value>(column: readonly Value[]) => column.slice(from, Math.max(from, to));
  return {
    ...series,
    timesS: cut(timesS),
    values: cut(series.values),
    ...(series.low === undefined ? {} : { low: cut(series.low) }),
    ...(series.high === undefined ? {} : { high: cut(series.high) }),
  };
}

/** The point of a series nearest to a moment, within `reachS` seconds of it. */
export function nearest(series: CourseSeries, atS: number, reachS: number): number | null {
  const { timesS, values } = series;
  let from = 0;
  let to = timesS.length;
  while (from < to) {
    const middle = (from + to) >> 1;
    if ((timesS[middle] ?? 0) < atS) from = middle + 1;
    else to = middle;
  }
  const candidates = [from - 1, from].filter((index) => index >= 0 && index < timesS.length);
  let best: number | null = null;
  let distance = reachS;
  for (const index of candidates) {
    const away = Math.abs((timesS[index] ?? 0) - atS);
    if (away <= distance) {
      distance = away;
      best = values[index] ?? null;
    }
  }
  return best;
}

/** The numbers behind the lines: one row per moment at which any series has a point. */
export function courseTable(series: readonly CourseSeries[], unit: string, digits: number): FigureTable {
  const moments = new Map<number, (number | null)[]>();
  const columns: FigureTable["columns"][number][] = [{ label: "Time", unit: "s", digits: 1 }];
  for (const one of series) {
    const start = columns.length - 1;
    columns.push({ label: one.label, unit, digits });
    if (one.low !== undefined && one.high !== undefined) {
      columns.push({ label: `${one.label}, lower limit`, unit, digits });
      columns.push({ label: `${one.label}, upper limit`, unit, digits });
    }
    one.timesS.forEach((time, index) => {
      const row = moments.get(time) ?? [];
      row[start] = one.values[index] ?? null;
      if (one.low !== undefined && one.high !== undefined) {
        row[start + 1] = one.low[index] ?? null;
        row[start + 2] = one.high[index] ?? null;
      }
      moments.set(time, row);
    });
  }
  const width = columns.length - 1;
  const rows = [...moments.entries()]
    .sort(([a], [b]) => a - b)
    .map(([time, row]) => [time, ...Array.from({ length: width }, (_, index) => row[index] ?? null)]);
  return { columns, rows };
}
