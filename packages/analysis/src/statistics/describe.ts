import { AnalysisError } from "../analysis-error";
import { checkLevel } from "./numeric/check-option";
import { meanOf, varianceOf } from "./numeric/moments";
import { quantileOfSorted } from "./numeric/quantile";
import { usableValues } from "./numeric/usable-values";
import type { Interval } from "./result";
import { tInterval } from "./t-interval";

export interface Description {
  readonly n: number;
  /** Entries that were NaN and left out. */
  readonly missing: number;
  readonly mean: number | null;
  readonly variance: number | null;
  readonly standardDeviation: number | null;
  readonly standardError: number | null;
  /** t interval for the mean. */
  readonly interval: Interval | null;
  readonly minimum: number | null;
  readonly lowerQuartile: number | null;
  readonly median: number | null;
  readonly upperQuartile: number | null;
  readonly maximum: number | null;
  /** Median absolute deviation from the median times 1.4826, which estimates the standard deviation of normal values. */
  readonly medianAbsoluteDeviation: number | null;
}

/**
 * Describes values. What does not exist is null: everything at n = 0, and what needs a spread at n = 1. Quartiles are
 * type 7 of Hyndman & Fan 1996; variance and standard deviation divide by n - 1.
 * @throws AnalysisError `not finite` for an infinite entry, `out of range` for `level`.
 */
export function describe(values: ArrayLike<number>, options: { readonly level?: number } = {}): Description {
  const { level = 0.95 } = options;
  checkLevel(level, "describe");
  const usable = usableValues(values, "values", "describe");
  const sorted = usable.values.slice().sort();
  const n = sorted.length;
  const some = n >= 1;
  const mean = some ? meanOf(usable.values) : null;
  const variance = n >= 2 && mean !== null ? varianceOf(usable.values, mean) : null;
  const standardDeviation = variance === null ? null : Math.sqrt(variance);
  const standardError = standardDeviation === null ? null : standardDeviation / Math.sqrt(n);
  const median = some ? quantileOfSorted(sorted, 0.5) : null;
  return {
    n,
    missing: usable.missing,
    mean,
    variance,
    standardDeviation,
    standardError,
    interval: mean === null || standardError === null ? null : tInterval(mean, standardError, n - 1, level),
    minimum: some ? (sorted[0] as number) : null,
    lowerQuartile: some ? quantileOfSorted(sorted, 0.25) : null,
    median,
    upperQuartile: some ? quantileOfSorted(sorted, 0.75) : null,
    maximum: some ? (sorted[n - 1] as number) : null,
    medianAbsoluteDeviation:
      median === null
        ? null
        : 1.4826 * quantileOfSorted(sorted.map((value) => Math.abs(value - median)).sort(), 0.5),
  };
}

/**
 * Quantiles of values (type 7 of Hyndman & Fan 1996); missing values are left out.
 * @throws AnalysisError `empty` without a usable value, `out of range` for a share outside [0, 1].
 */
export function quantiles(values: ArrayLike<number>, shares: readonly number[]): number[] {
  const sorted = usableValues(values, "values", "quantiles", 1).values.sort();
  for (const share of shares) checkShare(share);
  return shares.map((share) => quantileOfSorted(sorted, share));
}

function checkShare(share: number): void {
  if (share >= 0 && share <= 1) return;
  throw new AnalysisError("out of range", "quantiles", "shares", `shares between 0 and 1, not ${share}`);
}
