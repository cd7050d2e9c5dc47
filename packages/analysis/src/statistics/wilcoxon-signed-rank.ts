import { AnalysisError } from "../analysis-error";
import { normalQuantile } from "./distributions/normal";
import { signedRankTails } from "./distributions/signed-rank";
import { exactShiftEnd, untiedShiftEnd } from "./exact-shift-end";
import { checkFinite, checkLevel } from "./numeric/check-option";
import { midranks, tieTerm } from "./numeric/midranks";
import { smallestWithCount, walshAveragesAtMost } from "./numeric/smallest-pair-value";
import { usablePairs, usableValues } from "./numeric/usable-values";
import { pairedRankBiserial, type RankBiserial } from "./rank-biserial";
import { continuityCorrected, exactP, normalP, stepCrossing } from "./rank-test-parts";
import type { Alternative, Interval } from "./result";

export type WilcoxonSignedRankInput = {
  readonly hypothesis?: number;
  readonly alternative?: Alternative;
  readonly level?: number;
  /** Exact distribution or normal approximation; exact below 50 values unless given. */
  readonly exact?: boolean;
  /** Continuity correction of the normal approximation; on unless given. */
  readonly correct?: boolean;
} & (
  | { readonly values: ArrayLike<number> }
  | { readonly first: ArrayLike<number>; readonly second: ArrayLike<number> }
);

export interface WilcoxonSignedRankResult {
  readonly method: string;
  /** Hodges-Lehmann estimate: median of the means of all pairs of values (of differences, when paired). */
  readonly estimate: number;
  /** Its level is the one that the exact distribution reaches, at least the one asked for where that is possible. */
  readonly interval: Interval;
  /** Sum of the ranks of the positive differences from the hypothesis. */
  readonly statistic: number;
  readonly p: number;
  readonly rankBiserial: RankBiserial;
  readonly alternative: Alternative;
  readonly hypothesis: number;
  readonly n: number;
  readonly zeros: number;
  readonly missing: number;
}

/**
 * Wilcoxon's signed-rank test (Wilcoxon 1945, Biometrics Bulletin 1:80-83), with the rules of R 4.6: below 50 values the
 * exact distribution of the signs given the ranks, ties included, zero differences ranked but given no sign (Pratt 1959,
 * JASA 54:655-667); from 50 values on the normal approximation, zeros dropped, variance corrected for ties, corrected for
 * continuity.
 * @throws AnalysisError `empty`, `constant` when every difference is zero, `not finite`, `unequal lengths`, `out of range`.
 */
export function wilcoxonSignedRank(input: WilcoxonSignedRankInput): WilcoxonSignedRankResult {
  const { hypothesis = 0, alternative = "two-sided", level = 0.95, correct = true } = input;
  checkLevel(level, "wilcoxonSignedRank");
  checkFinite(hypothesis, "hypothesis", "wilcoxonSignedRank");
  const { values, missing, argument } = differencesOf(input);
  const n = values.length;
  const shifted = values.map((value) => value - hypothesis);
  const zeros = shifted.filter((value) => value === 0).length;
  if (zeros === n) {
    throw new AnalysisError("constant", "wilcoxonSignedRank", argument, "differences that are not all zero");
  }
  const { exact = n < 50 } = input;
  const sorted = values.slice().sort();
  const parts = exact ? signedRanks(shifted) : signedRanks(shifted.filter((value) => value !== 0));
  const p = exact
    ? exactP(signedRankTails(parts.nonZeroRanks, parts.positive), alternative)
    : normalP(zScore(parts, alternative, correct), alternative);
  const approximation = correct ? "normal approximation, continuity correction" : "normal approximation";
  return {
    method: `Wilcoxon signed-rank test, ${exact ? "exact" : approximation}`,
    estimate: pseudoMedian(sorted),
    interval: exact
      ? exactInterval(sorted, level, alternative, zeros > 0 || parts.ties.length > 0)
      : approximateInterval(sorted, level, alternative, correct),
    statistic: parts.positive,
    p,
    rankBiserial: pairedRankBiserial(parts.positive, parts.negative, n - zeros, level),
    alternative,
    hypothesis,
    n,
    zeros,
    missing,
  };
}

function differencesOf(input: WilcoxonSignedRankInput) {
  if ("values" in input) {
    return { ...usableValues(input.values, "values", "wilcoxonSignedRank", 1), argument: "values" };
  }
  const pairs = usablePairs(input.first, input.second, "first", "second", "wilcoxonSignedRank", 1);
  return {
    values: pairs.x.map((value, i) => value - (pairs.y[i] as number)),
    missing: pairs.missing,
    argument: "first",
  };
}

interface SignedRanks {
  readonly positive: number;
  readonly negative: number;
  readonly nonZeroRanks: Float64Array;
  readonly ties: readonly number[];
  readonly n: number;
}

function signedRanks(differences: Float64Array): SignedRanks {
  const { ranks, ties } = midranks(differences.map(Math.abs));
  let positive = 0;
  let negative = 0;
  differences.forEach((difference, i) => {
    if (difference > 0) positive += ranks[i] as number;
    if (difference < 0) negative += ranks[i] as number;
  });
  return {
    positive,
    negative,
    nonZeroRanks: ranks.filter((_, i) => differences[i] !== 0),
    ties,
    n: differences.length,
  };
}

function zScore({ positive, ties, n }: SignedRanks, alternative: Alternative, correct: boolean): number {
  const deviation = Math.sqrt((n * (n + 1) * (2 * n + 1)) / 24 - tieTerm(ties) / 48);
  return continuityCorrected(positive - (n * (n + 1)) / 4, alternative, correct) / deviation;
}

function pseudoMedian(sorted: Float64Array): number {
  const count = (sorted.length * (sorted.length + 1)) / 2;
  const at = (k: number) => walshAverage(sorted, k);
  return count % 2 === 1 ? at((count + 1) / 2) : (at(count / 2) + at(count / 2 + 1)) / 2;
}

/** The k-th smallest mean of two values. */
function walshAverage(sorted: Float64Array, k: number): number {
  return smallestWithCount(
    (limit) => walshAveragesAtMost(sorted, limit),
    k,
    sorted[0] as number,
    sorted[sorted.length - 1] as number,
  );
}

/** The shifts that the exact test does not reject, found among the means of pairs, where its p value changes. */
function exactInterval(
  sorted: Float64Array,
  level: number,
  alternative: Alternative,
  tied: boolean,
): Interval {
  const outside = alternative === "two-sided" ? (1 - level) / 2 : 1 - level;
  const lower = alternative === "less" ? null : exactLowerEnd(sorted, outside, tied);
  const mirrored = sorted.map((value) => -value).reverse();
  const upper = alternative === "greater" ? null : exactLowerEnd(mirrored, outside, tied);
  return {
    lower: lower?.end ?? Number.NEGATIVE_INFINITY,
    upper: upper ? -upper.end : Number.POSITIVE_INFINITY,
    level: 1 - (lower?.outside ?? 0) - (upper?.outside ?? 0),
  };
}

function exactLowerEnd(
  sorted: Float64Array,
  outside: number,
  tied: boolean,
): { end: number; outside: number } {
  const averages = new Float64Array((sorted.length * (sorted.length + 1)) / 2);
  let count = 0;
  for (let i = 0; i < sorted.length; i++) {
    for (let j = i; j < sorted.length; j++)
      averages[count++] = ((sorted[i] as number) + (sorted[j] as number)) / 2;
  }
  averages.sort();
  if (!tied) {
    const ranks = Float64Array.from(sorted, (_, i) => i + 1);
    return untiedShiftEnd(averages, (sum) => signedRankTails(ranks, sum).atMost, outside);
  }
  const upperTailAt = (shift: number) => {
    const parts = signedRanks(sorted.map((value) => value - shift));
    return signedRankTails(parts.nonZeroRanks, parts.positive).atLeast;
  };
  return exactShiftEnd(averages, upperTailAt, outside);
}

function approximateInterval(
  sorted: Float64Array,
  level: number,
  alternative: Alternative,
  correct: boolean,
): Interval {
  const outside = alternative === "two-sided" ? (1 - level) / 2 : 1 - level;
  const z = normalQuantile(outside, true);
  const score = (shift: number) => {
    const parts = signedRanks(sorted.map((value) => value - shift).filter((value) => value !== 0));
    return zScore(parts, alternative, correct);
  };
  const low = sorted[0] as number;
  const high = sorted[sorted.length - 1] as number;
  return {
    lower: alternative === "less" ? Number.NEGATIVE_INFINITY : stepCrossing((d) => score(d) - z, low, high),
    upper:
      alternative === "greater" ? Number.POSITIVE_INFINITY : stepCrossing((d) => score(d) + z, low, high),
    level,
  };
}
