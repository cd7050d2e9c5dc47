import { AnalysisError } from "../analysis-error";

export interface DrawnTrace {
  readonly times: Float64Array;
  /** NaN marks a gap, at which a drawn line is to break. */
  readonly values: Float64Array;
  /** Whether points were left out. Every minimum and maximum per column is kept. */
  readonly reduced: boolean;
}

/**
 * Reduces a trace for drawing to at most `maximumPoints` points: the time span is cut into half as many equal columns,
 * and of each column the lowest and the highest value are kept, in order of time, as they are. A column without any value
 * becomes one NaN, and so do two or more columns without any sample, so that the line breaks. Nothing is averaged or invented, and a trace that is short enough comes back
 * whole.
 *
 * @param times never decreasing
 * @param values as long as times
 * @param maximumPoints at least 4; twice the width in pixels shows every extreme
 */
export function reduceForDrawing(
  times: Float64Array,
  values: Float64Array,
  maximumPoints: number,
): DrawnTrace {
  const name = "reduceForDrawing";
  if (times.length !== values.length) {
    const requirement = `as many times as values; it was given ${times.length} and ${values.length}`;
    throw new AnalysisError("unequal lengths", name, "values", requirement);
  }
  if (!Number.isInteger(maximumPoints) || maximumPoints < 4) {
    throw new AnalysisError(
      "out of range",
      name,
      "maximumPoints",
      `a whole number of at least 4, not ${maximumPoints}`,
    );
  }
  if (values.length <= maximumPoints) {
    return { times: Float64Array.from(times), values: Float64Array.from(values), reduced: false };
  }
  const columns = Math.floor(maximumPoints / 2);
  const firstTime = times[0] as number;
  const span = (times[times.length - 1] as number) - firstTime;
  const keptTimes: number[] = [];
  const keptValues: number[] = [];
  const keep = (i: number) => {
    keptTimes.push(times[i] as number);
    keptValues.push(values[i] as number);
  };
  let lastColumn = 0;
  let start = 0;
  while (start < values.length) {
    let lowest = -1;
    let highest = -1;
    let i = start;
    const column = columnOf(times[start] as number);
    if (column > lastColumn + 2) {
      keptTimes.push(((times[start - 1] as number) + (times[start] as number)) / 2);
      keptValues.push(Number.NaN);
    }
    lastColumn = column;
    for (; i < values.length && columnOf(times[i] as number) === column; i++) {
      const value = values[i] as number;
      if (!Number.isFinite(value)) continue;
      if (lowest < 0 || value < (values[lowest] as number)) lowest = i;
      if (highest < 0 || value > (values[highest] as number)) highest = i;
    }
    if (lowest < 0) {
      keptTimes.push(times[start] as number);
      keptValues.push(Number.NaN);
    } else {
      keep(Math.min(lowest, highest));
      if (lowest !== highest) keep(Math.max(lowest, highest));
    }
    start = i;
  }
  return { times: Float64Array.from(keptTimes), values: Float64Array.from(keptValues), reduced: true };

  function columnOf(time: number): number {
    const at = span > 0 ? Math.floor(((time - firstTime) / span) * columns) : 0;
    return Math.min(columns - 1, at);
  }
}
