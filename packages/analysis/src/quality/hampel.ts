import { AnalysisError } from "../analysis-error";
import { medianInPlace } from "./robust";

export interface HampelOptions {
  /** Samples on either side of each; default 5. */
  readonly halfWidth?: number;
  /** Threshold in robust standard deviations; default 3. */
  readonly nSigma?: number;
  /** What is done within halfWidth of an end: leave those samples alone, or take the window that there is (default). */
  readonly edges?: "untouched" | "truncated";
  /** A smaller deviation never counts, in the unit of the values; default 0. */
  readonly smallest?: number;
}

export interface HampelResult {
  /** The values with each outlier replaced by the median of its window. */
  readonly filtered: Float64Array;
  /** Indexes of outliers. */
  readonly outliers: readonly number[];
}

/**
 * Hampel identifier: a value is an outlier where it differs from the median of its window by more than nSigma times 1.4826
 * times the window's median absolute deviation (Hampel 1974, J Am Stat Assoc 69:383–393). Windows are of the original
 * values; missing values are left out of them and stay missing. Where more than half of a window is one number, every
 * other number in its middle is an outlier, unless `smallest` says otherwise.
 */
export function hampel(values: ArrayLike<number>, options: HampelOptions = {}): HampelResult {
  const { halfWidth = 5, nSigma = 3, edges = "truncated", smallest = 0 } = options;
  if (!Number.isInteger(halfWidth) || halfWidth < 1) {
    const requirement = `a whole number of at least 1, not ${halfWidth}`;
    throw new AnalysisError("out of range", "hampel", "halfWidth", requirement);
  }
  if (!(nSigma >= 0))
    throw new AnalysisError("out of range", "hampel", "nSigma", `a number of zero or more, not ${nSigma}`);
  const n = values.length;
  const filtered = Float64Array.from(values);
  const outliers: number[] = [];
  const window = new Float64Array(2 * halfWidth + 1);
  const [first, last] = edges === "untouched" ? [halfWidth, n - halfWidth] : [0, n];
  for (let i = first; i < last; i++) {
    const value = values[i] as number;
    if (!Number.isFinite(value)) continue;
    const from = Math.max(0, i - halfWidth);
    const to = Math.min(n - 1, i + halfWidth);
    // Where more than half of a full window is within `smallest`, so is the median: most values end here.
    let near = 0;
    for (let j = from; j <= to && near <= halfWidth; j++) {
      if (Math.abs((values[j] as number) - value) <= smallest) near++;
    }
    if (near > halfWidth) continue;
    let count = 0;
    for (let j = from; j <= to; j++) {
      const neighbour = values[j] as number;
      if (Number.isFinite(neighbour)) window[count++] = neighbour;
    }
    const middle = medianOfFew(window, count);
    const deviation = Math.abs(value - middle);
    if (deviation <= smallest) continue;
    for (let j = 0; j < count; j++) window[j] = Math.abs((window[j] as number) - middle);
    if (deviation > nSigma * 1.4826 * medianOfFew(window, count)) {
      outliers.push(i);
      filtered[i] = middle;
    }
  }
  return { filtered, outliers };
}

/** Insertion sort is quicker than the general sort for the few numbers of a window. */
function medianOfFew(values: Float64Array, count: number): number {
  if (count > 40) return medianInPlace(values, count);
  for (let i = 1; i < count; i++) {
    const value = values[i] as number;
    let j = i - 1;
    while (j >= 0 && (values[j] as number) > value) {
      values[j + 1] = values[j] as number;
      j--;
    }
    values[j + 1] = value;
  }
  const middle = count >> 1;
  const upper = values[middle] as number;
  return count % 2 === 1 ? upper : ((values[middle - 1] as number) + upper) / 2;
}
