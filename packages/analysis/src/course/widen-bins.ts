import { AnalysisError } from "../analysis-error";
import type { AlignedTrace } from "./align-trace";

/** A course on a grid: one value per bin, bin 0 beginning at the origin. */
export type BinnedCourse = Pick<AlignedTrace, "binS" | "firstBin" | "values">;

/** A spacing that at least this share of neighbours have is no accident of a lost sample (common practice). */
const usualShare = 0.05;

/**
 * How far neighbouring filled bins usually lie apart, in bins: the smallest whole number of bins that, taken together, are
 * not left empty by the sampling itself. A file that was sampled every 10 s fills every second bin of 5 s and gives 2; one
 * sampled every 7 s leaves some of them empty and gives 2 as well; gaps and single lost samples change nothing. Even
 * sampling leaves only two spacings, m and m + 1 bins, so that this is the median, or one more where at least a twentieth of
 * the spacings are.
 *
 * @param values one value per bin; NaN and infinite values count as empty
 * @returns a whole number from 1 on; NaN for fewer than two filled bins
 */
export function usualBinSpacing(values: ArrayLike<number>): number {
  const spacings: number[] = [];
  let last = -1;
  for (let i = 0; i < values.length; i++) {
    if (!Number.isFinite(values[i])) continue;
    if (last >= 0) spacings.push(i - last);
    last = i;
  }
  if (spacings.length === 0) return Number.NaN;
  spacings.sort((a, b) => a - b);
  const median = spacings[(spacings.length - 1) >> 1] as number;
  const next = spacings.filter((spacing) => spacing === median + 1).length;
  return next >= usualShare * spacings.length ? median + 1 : median;
}

/**
 * The same course in bins `factor` times as wide: the mean of the filled bins, each counting alike, NaN where none is filled.
 * Bin 0 still begins at the origin, so that courses with different first bins stay on one grid. Coverage is not carried
 * along: it counts the samples expected in a narrow bin, of which a coarsely sampled file has none in some.
 *
 * @param factor whole number from 1 on
 * @throws AnalysisError `out of range` for another factor
 */
export function widenBins(course: BinnedCourse, factor: number): BinnedCourse {
  if (!Number.isInteger(factor) || factor < 1) {
    throw new AnalysisError("out of range", "widenBins", "factor", `a whole factor from 1 on, not ${factor}`);
  }
  const { binS, firstBin, values } = course;
  const first = Math.floor(firstBin / factor);
  const end = Math.ceil((firstBin + values.length) / factor);
  const wide = new Float64Array(values.length === 0 ? 0 : end - first);
  for (let k = 0; k < wide.length; k++) {
    const from = Math.max(0, (first + k) * factor - firstBin);
    const to = Math.min(values.length, (first + k + 1) * factor - firstBin);
    wide[k] = meanOfFilled(values, from, to);
  }
  return { binS: binS * factor, firstBin: first, values: wide };
}

/** Departures from the first filled bin are summed, so that nothing is lost to a large common level. */
function meanOfFilled(values: Float64Array, from: number, to: number): number {
  let reference = Number.NaN;
  let sum = 0;
  let filled = 0;
  for (let i = from; i < to; i++) {
    const value = values[i] as number;
    if (!Number.isFinite(value)) continue;
    if (filled === 0) reference = value;
    sum += value - reference;
    filled++;
  }
  return filled === 0 ? Number.NaN : reference + sum / filled;
}
