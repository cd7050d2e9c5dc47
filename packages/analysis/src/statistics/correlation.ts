import { AnalysisError } from "../analysis-error";
import { atanh, square, tanh } from "../elementary";
import { concordantPairTails } from "./distributions/kendall";
import { normalQuantile } from "./distributions/normal";
import type { Tails } from "./distributions/signed-rank";
import { rankDifferenceTails } from "./distributions/spearman";
import { checkLevel } from "./numeric/check-option";
import { midranks } from "./numeric/midranks";
import { meanOf, sumOfProducts, sumOfSquares } from "./numeric/moments";
import { usablePairs } from "./numeric/usable-values";
import { exactP, normalP } from "./rank-test-parts";
import type { Alternative, Interval } from "./result";
import { tPValue } from "./t-p-value";

export interface CorrelationInput {
  readonly x: ArrayLike<number>;
  readonly y: ArrayLike<number>;
  readonly alternative?: Alternative;
  readonly level?: number;
}

export interface CorrelationResult {
  readonly method: string;
  readonly estimate: number;
  /** Null where the method gives none: rank correlations, fewer than four pairs, a perfect correlation. */
  readonly interval: Interval | null;
  /** t (Pearson, Spearman with ties), sum of squared rank differences (Spearman), concordant pairs or z (Kendall). */
  readonly statistic: number;
  readonly degreesOfFreedom: number | null;
  readonly p: number;
  readonly alternative: Alternative;
  readonly n: number;
  readonly missing: number;
}

/**
 * Pearson's product-moment correlation with its t test and the interval on Fisher's z scale (Fisher 1921, Metron 1:3-32).
 * @throws AnalysisError `too few` below three pairs, `constant`, `not finite`, `unequal lengths`, `out of range`.
 */
export function pearsonCorrelation(input: CorrelationInput): CorrelationResult {
  const { alternative = "two-sided", level = 0.95 } = input;
  const { x, y, missing } = pairsOf(input, "pearsonCorrelation", 3);
  const n = x.length;
  const estimate = productMoment(x, y);
  const degreesOfFreedom = n - 2;
  const statistic = (Math.sqrt(degreesOfFreedom) * estimate) / Math.sqrt((1 - estimate) * (1 + estimate));
  return {
    method: "Pearson's product-moment correlation, interval on Fisher's z scale",
    estimate,
    interval: n > 3 && Math.abs(estimate) < 1 ? fisherInterval(estimate, n, level, alternative) : null,
    statistic,
    degreesOfFreedom,
    p: tPValue(statistic, degreesOfFreedom, alternative),
    alternative,
    n,
    missing,
  };
}

/**
 * Spearman's rank correlation. Without ties p comes from the sum of squared rank differences (counted up to nine pairs,
 * beyond by an Edgeworth series, as in R); with ties, or above 1290 pairs, from the t approximation.
 * @throws AnalysisError `too few` below two pairs, `constant`, `not finite`, `unequal lengths`, `out of range`.
 */
export function spearmanCorrelation(input: CorrelationInput): CorrelationResult {
  const { alternative = "two-sided" } = input;
  const { x, y, missing } = pairsOf(input, "spearmanCorrelation", 2);
  const n = x.length;
  const rankedX = midranks(x);
  const rankedY = midranks(y);
  const estimate = productMoment(rankedX.ranks, rankedY.ranks);
  const shared = { estimate, interval: null, alternative, n, missing };
  if (rankedX.ties.length === 0 && rankedY.ties.length === 0 && n <= 1290) {
    const sum = rankedX.ranks.reduce(
      (total, rank, i) => total + square(rank - (rankedY.ranks[i] as number)),
      0,
    );
    // A small sum means a positive correlation.
    const { atMost, atLeast } = rankDifferenceTails(n, sum);
    return {
      ...shared,
      method: `Spearman's rank correlation, ${n <= 9 ? "exact" : "Edgeworth series"}`,
      statistic: sum,
      degreesOfFreedom: null,
      p: exactP({ atMost: atLeast, atLeast: atMost }, alternative),
    };
  }
  if (n < 3) {
    throw new AnalysisError(
      "too few",
      "spearmanCorrelation",
      "x",
      "at least three pairs when there are ties",
    );
  }
  const statistic = estimate / Math.sqrt(((1 - estimate) * (1 + estimate)) / (n - 2));
  return {
    ...shared,
    method: "Spearman's rank correlation, t approximation",
    statistic,
    degreesOfFreedom: n - 2,
    p: tPValue(statistic, n - 2, alternative),
  };
}

/**
 * Kendall's rank correlation (tau-b with ties). Below 50 pairs without ties p is exact; otherwise from the normal
 * approximation with the variance corrected for ties, without continuity correction, as in R.
 * @throws AnalysisError `too few` below two pairs, `constant`, `not finite`, `unequal lengths`, `out of range`.
 */
export function kendallCorrelation(input: CorrelationInput): CorrelationResult {
  const { alternative = "two-sided" } = input;
  const { x, y, missing } = pairsOf(input, "kendallCorrelation", 2);
  const n = x.length;
  let score = 0;
  let untiedX = 0;
  let untiedY = 0;
  for (let i = 1; i < n; i++) {
    for (let j = 0; j < i; j++) {
      const signX = Math.sign((x[i] as number) - (x[j] as number));
      const signY = Math.sign((y[i] as number) - (y[j] as number));
      score += signX * signY;
      untiedX += Math.abs(signX);
      untiedY += Math.abs(signY);
    }
  }
  const estimate = score / (Math.sqrt(untiedX) * Math.sqrt(untiedY));
  const shared = { estimate, interval: null, degreesOfFreedom: null, alternative, n, missing };
  const pairs = (n * (n - 1)) / 2;
  if (untiedX === pairs && untiedY === pairs && n < 50) {
    const concordant = (score + pairs) / 2;
    const tails: Tails = concordantPairTails(n, concordant);
    return {
      ...shared,
      method: "Kendall's rank correlation, exact",
      statistic: concordant,
      p: exactP(tails, alternative),
    };
  }
  if (n < 3)
    throw new AnalysisError("too few", "kendallCorrelation", "x", "at least three pairs when there are ties");
  const z = score / Math.sqrt(scoreVariance(n, midranks(x).ties, midranks(y).ties));
  return {
    ...shared,
    method: "Kendall's rank correlation, normal approximation",
    statistic: z,
    p: normalP(z, alternative),
  };
}

/** Variance of Kendall's score with ties in both variables (Kendall 1970, Rank Correlation Methods, equation 4.4). */
function scoreVariance(n: number, tiesX: readonly number[], tiesY: readonly number[]): number {
  const total = (ties: readonly number[], f: (size: number) => number) =>
    ties.reduce((sum, t) => sum + f(t), 0);
  const long = (t: number) => t * (t - 1) * (2 * t + 5);
  const two = (t: number) => t * (t - 1);
  const three = (t: number) => t * (t - 1) * (t - 2);
  return (
    (long(n) - total(tiesX, long) - total(tiesY, long)) / 18 +
    (total(tiesX, two) * total(tiesY, two)) / (2 * n * (n - 1)) +
    (total(tiesX, three) * total(tiesY, three)) / (9 * n * (n - 1) * (n - 2))
  );
}

function pairsOf(input: CorrelationInput, functionName: string, atLeast: number) {
  checkLevel(input.level ?? 0.95, functionName);
  const pairs = usablePairs(input.x, input.y, "x", "y", functionName, atLeast);
  for (const argument of ["x", "y"] as const) {
    const values = pairs[argument];
    if (values.some((value) => value !== values[0])) continue;
    throw new AnalysisError(
      "constant",
      functionName,
      argument,
      `values in ${argument} that are not all equal`,
    );
  }
  return pairs;
}

function productMoment(x: Float64Array, y: Float64Array): number {
  const meanX = meanOf(x);
  const meanY = meanOf(y);
  const r =
    sumOfProducts(x, y, meanX, meanY) / Math.sqrt(sumOfSquares(x, meanX)) / Math.sqrt(sumOfSquares(y, meanY));
  return Math.min(1, Math.max(-1, r));
}

function fisherInterval(estimate: number, n: number, level: number, alternative: Alternative): Interval {
  const z = atanh(estimate);
  const reach =
    normalQuantile(alternative === "two-sided" ? (1 - level) / 2 : 1 - level, true) / Math.sqrt(n - 3);
  return {
    lower: alternative === "less" ? -1 : tanh(z - reach),
    upper: alternative === "greater" ? 1 : tanh(z + reach),
    level,
  };
}
