import { atanh, square, tanh } from "../elementary";
import { normalQuantile } from "./distributions/normal";
import type { Interval } from "./result";

export interface RankBiserial {
  readonly estimate: number;
  /** Normal interval on Fisher's z scale; null at -1 and 1, where it has no width. */
  readonly interval: Interval | null;
}

/**
 * Matched-pairs rank-biserial correlation: (positive - negative rank sum) over their total (Kerby 2014, Comprehensive
 * Psychology 3:11.IT.3.1). Standard error of z from the null variance of the rank sum, as in the R package effectsize.
 */
export function pairedRankBiserial(
  positive: number,
  negative: number,
  n: number,
  level: number,
): RankBiserial {
  const estimate = (positive - negative) / (positive + negative);
  const standardError = Math.sqrt((2 * n * n * n + 3 * n * n + n) / 6) / ((square(n) + n) / 2);
  return { estimate, interval: fisherInterval(estimate, standardError, level) };
}

/**
 * Rank-biserial correlation of two samples: 2 U / (n1 n2) - 1 (Cureton 1956, Psychometrika 21:287-290), which is the
 * share of pairs in which the first is larger less the share in which it is smaller.
 */
export function independentRankBiserial(u: number, n1: number, n2: number, level: number): RankBiserial {
  const estimate = (2 * u) / (n1 * n2) - 1;
  return { estimate, interval: fisherInterval(estimate, Math.sqrt((n1 + n2 + 1) / (3 * n1 * n2)), level) };
}

function fisherInterval(estimate: number, standardError: number, level: number): Interval | null {
  if (Math.abs(estimate) >= 1) return null;
  const z = atanh(estimate);
  const reach = normalQuantile((1 - level) / 2, true) * standardError;
  return { lower: tanh(z - reach), upper: tanh(z + reach), level };
}
