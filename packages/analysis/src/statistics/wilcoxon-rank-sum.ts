import { AnalysisError } from "../analysis-error";
import { normalQuantile } from "./distributions/normal";
import { rankSumTails } from "./distributions/signed-rank";
import { exactShiftEnd, untiedShiftEnd } from "./exact-shift-end";
import { checkFinite, checkLevel } from "./numeric/check-option";
import { midranks, tieTerm } from "./numeric/midranks";
import { differencesAtMost, smallestWithCount } from "./numeric/smallest-pair-value";
import { usableValues } from "./numeric/usable-values";
import { independentRankBiserial, type RankBiserial } from "./rank-biserial";
import { continuityCorrected, exactP, normalP, stepCrossing } from "./rank-test-parts";
import type { Alternative, Interval } from "./result";

export interface WilcoxonRankSumInput {
  readonly first: ArrayLike<number>;
  readonly second: ArrayLike<number>;
  /** Shift of first against second under the hypothesis; 0 unless given. */
  readonly hypothesis?: number;
  readonly alternative?: Alternative;
  readonly level?: number;
  /** Exact distribution or normal approximation; exact below 50 values in each sample unless given. */
  readonly exact?: boolean;
  /** Continuity correction of the normal approximation; on unless given. */
  readonly correct?: boolean;
}

export interface WilcoxonRankSumResult {
  readonly method: string;
  /** Hodges-Lehmann estimate: median of all differences first minus second. */
  readonly estimate: number;
  /** Its level is the one that the exact distribution reaches, at least the one asked for where that is possible. */
  readonly interval: Interval;
  /** Mann-Whitney U of the first sample: pairs in which first is larger, equal pairs counting one half. */
  readonly statistic: number;
  readonly p: number;
  readonly rankBiserial: RankBiserial;
  readonly alternative: Alternative;
  readonly hypothesis: number;
  readonly n: number;
  readonly sizes: readonly [number, number];
  readonly missing: number;
}

/**
 * Wilcoxon's rank-sum test, also known by the names of Mann and Whitney (1947), with the rules of R 4.6: below 50 values
 * in each sample the exact distribution given the ranks, ties included; otherwise the normal approximation, corrected for
 * ties and continuity.
 * @throws AnalysisError `empty`, `constant` when all values are equal, `not finite`, `out of range`.
 */
export function wilcoxonRankSum(input: WilcoxonRankSumInput): WilcoxonRankSumResult {
  const { hypothesis = 0, alternative = "two-sided", level = 0.95, correct = true } = input;
  checkLevel(level, "wilcoxonRankSum");
  checkFinite(hypothesis, "hypothesis", "wilcoxonRankSum");
  const first = usableValues(input.first, "first", "wilcoxonRankSum", 1);
  const second = usableValues(input.second, "second", "wilcoxonRankSum", 1);
  const n1 = first.values.length;
  const n2 = second.values.length;
  const { exact = n1 < 50 && n2 < 50 } = input;
  const x = first.values.sort();
  const y = second.values.sort();
  const ranked = ranksOf(x, y, hypothesis);
  if (ranked.ties[0] === n1 + n2) {
    throw new AnalysisError("constant", "wilcoxonRankSum", "first", "values that are not all equal");
  }
  const p = exact
    ? exactP(rankSumTails(ranked.ranks, n1, ranked.rankSum), alternative)
    : normalP(zScore(ranked, alternative, correct), alternative);
  const approximation = correct ? "normal approximation, continuity correction" : "normal approximation";
  return {
    method: `Wilcoxon rank-sum test, ${exact ? "exact" : approximation}`,
    estimate: medianDifference(x, y),
    interval: exact
      ? exactInterval(x, y, level, alternative, ranked.ties.length > 0)
      : approximateInterval(x, y, level, alternative, correct),
    statistic: ranked.u,
    p,
    rankBiserial: independentRankBiserial(ranked.u, n1, n2, level),
    alternative,
    hypothesis,
    n: n1 + n2,
    sizes: [n1, n2],
    missing: first.missing + second.missing,
  };
}

interface Ranked {
  readonly ranks: Float64Array;
  readonly ties: readonly number[];
  readonly rankSum: number;
  readonly u: number;
  readonly n1: number;
  readonly n2: number;
}

function ranksOf(x: Float64Array, y: Float64Array, shift: number): Ranked {
  const all = new Float64Array(x.length + y.length);
  x.forEach((value, i) => {
    all[i] = value - shift;
  });
  all.set(y, x.length);
  const { ranks, ties } = midranks(all);
  let rankSum = 0;
  for (let i = 0; i < x.length; i++) rankSum += ranks[i] as number;
  return { ranks, ties, rankSum, u: rankSum - (x.length * (x.length + 1)) / 2, n1: x.length, n2: y.length };
}

function zScore({ u, ties, n1, n2 }: Ranked, alternative: Alternative, correct: boolean): number {
  const n = n1 + n2;
  const deviation = Math.sqrt(((n1 * n2) / 12) * (n + 1 - tieTerm(ties) / (n * (n - 1))));
  return continuityCorrected(u - (n1 * n2) / 2, alternative, correct) / deviation;
}

function medianDifference(x: Float64Array, y: Float64Array): number {
  const lowest = (x[0] as number) - (y[y.length - 1] as number);
  const highest = (x[x.length - 1] as number) - (y[0] as number);
  const at = (k: number) => smallestWithCount((limit) => differencesAtMost(x, y, limit), k, lowest, highest);
  const count = x.length * y.length;
  return count % 2 === 1 ? at((count + 1) / 2) : (at(count / 2) + at(count / 2 + 1)) / 2;
}

/** The shifts that the exact test does not reject, found among the differences, where its p value changes. */
function exactInterval(
  x: Float64Array,
  y: Float64Array,
  level: number,
  alternative: Alternative,
  tied: boolean,
): Interval {
  const outside = alternative === "two-sided" ? (1 - level) / 2 : 1 - level;
  const lower = alternative === "less" ? null : exactLowerEnd(x, y, outside, tied);
  const upper = alternative === "greater" ? null : exactLowerEnd(y, x, outside, tied);
  return {
    lower: lower?.end ?? Number.NEGATIVE_INFINITY,
    upper: upper ? -upper.end : Number.POSITIVE_INFINITY,
    level: 1 - (lower?.outside ?? 0) - (upper?.outside ?? 0),
  };
}

function exactLowerEnd(
  x: Float64Array,
  y: Float64Array,
  outside: number,
  tied: boolean,
): { end: number; outside: number } {
  const differences = new Float64Array(x.length * y.length);
  x.forEach((a, i) => {
    y.forEach((b, j) => {
      differences[i * y.length + j] = a - b;
    });
  });
  differences.sort();
  if (!tied) {
    const ranks = Float64Array.from({ length: x.length + y.length }, (_, i) => i + 1);
    const lowest = (x.length * (x.length + 1)) / 2;
    return untiedShiftEnd(differences, (u) => rankSumTails(ranks, x.length, lowest + u).atMost, outside);
  }
  const upperTailAt = (shift: number) => {
    const ranked = ranksOf(x, y, shift);
    return rankSumTails(ranked.ranks, x.length, ranked.rankSum).atLeast;
  };
  return exactShiftEnd(differences, upperTailAt, outside);
}

function approximateInterval(
  x: Float64Array,
  y: Float64Array,
  level: number,
  alternative: Alternative,
  correct: boolean,
): Interval {
  const outside = alternative === "two-sided" ? (1 - level) / 2 : 1 - level;
  const z = normalQuantile(outside, true);
  const score = (shift: number) => zScore(ranksOf(x, y, shift), alternative, correct);
  const low = (x[0] as number) - (y[y.length - 1] as number);
  const high = (x[x.length - 1] as number) - (y[0] as number);
  return {
    lower: alternative === "less" ? Number.NEGATIVE_INFINITY : stepCrossing((d) => score(d) - z, low, high),
    upper:
      alternative === "greater" ? Number.POSITIVE_INFINITY : stepCrossing((d) => score(d) + z, low, high),
    level,
  };
}
