import { AnalysisError } from "../analysis-error";
import { square } from "../elementary";
import { studentTQuantile } from "./distributions/student-t";
import { checkLevel } from "./numeric/check-option";

export interface MeanCourse {
  readonly method: string;
  /** One entry per bin in every array. NaN where no volunteer has a value, or (spread and band) fewer than two have. */
  readonly mean: Float64Array;
  readonly standardDeviation: Float64Array;
  readonly lower: Float64Array;
  readonly upper: Float64Array;
  /** How many volunteers have a value in the bin. */
  readonly n: Uint32Array;
  readonly level: number;
  readonly volunteers: number;
}

/**
 * Mean over volunteers in every bin, with the t interval for the mean of that bin taken alone (the band holds each
 * bin with the stated confidence, not the whole course at once).
 * @param courses one array per volunteer, all on the same grid; NaN where a volunteer has no value
 * @throws AnalysisError `empty` without a course, `unequal lengths`, `not finite`, `out of range`.
 */
export function meanCourse(
  courses: readonly ArrayLike<number>[],
  options: { readonly level?: number } = {},
): MeanCourse {
  const { level = 0.95 } = options;
  checkLevel(level, "meanCourse");
  const bins = courses[0]?.length;
  if (bins === undefined) throw new AnalysisError("empty", "meanCourse", "courses", "at least one course");
  for (const course of courses) {
    if (course.length !== bins) {
      throw new AnalysisError(
        "unequal lengths",
        "meanCourse",
        "courses",
        `courses with the same number of bins, not ${bins} and ${course.length}`,
      );
    }
  }
  const mean = new Float64Array(bins).fill(Number.NaN);
  const standardDeviation = new Float64Array(bins).fill(Number.NaN);
  const lower = new Float64Array(bins).fill(Number.NaN);
  const upper = new Float64Array(bins).fill(Number.NaN);
  const n = new Uint32Array(bins);
  const reach = new Map<number, number>();
  const column = new Float64Array(courses.length);
  for (let bin = 0; bin < bins; bin++) {
    const count = gather(courses, bin, column);
    n[bin] = count;
    if (count === 0) continue;
    // Deviations from the first value keep the digits that a common offset would cost.
    const origin = column[0] as number;
    let total = 0;
    for (let i = 0; i < count; i++) total += (column[i] as number) - origin;
    const shift = total / count;
    mean[bin] = origin + shift;
    if (count === 1) continue;
    let squares = 0;
    for (let i = 0; i < count; i++) squares += square((column[i] as number) - origin - shift);
    const deviation = Math.sqrt(squares / (count - 1));
    let factor = reach.get(count);
    if (factor === undefined) {
      factor = studentTQuantile((1 - level) / 2, count - 1, true) / Math.sqrt(count);
      reach.set(count, factor);
    }
    standardDeviation[bin] = deviation;
    lower[bin] = origin + shift - factor * deviation;
    upper[bin] = origin + shift + factor * deviation;
  }
  return {
    method: "mean over volunteers per bin with pointwise t interval",
    mean,
    standardDeviation,
    lower,
    upper,
    n,
    level,
    volunteers: courses.length,
  };
}

function gather(courses: readonly ArrayLike<number>[], bin: number, column: Float64Array): number {
  let count = 0;
  for (const course of courses) {
    const value = course[bin] as number;
    if (Number.isNaN(value)) continue;
    if (!Number.isFinite(value)) {
      throw new AnalysisError(
        "not finite",
        "meanCourse",
        "courses",
        `finite values or NaN; bin ${bin} holds ${value}`,
      );
    }
    column[count++] = value;
  }
  return count;
}
