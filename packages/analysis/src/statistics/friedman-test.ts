import { AnalysisError } from "../analysis-error";
import { square } from "../elementary";
import { chiSquaredUpperTail } from "./distributions/chi-squared";
import { completeRows } from "./numeric/complete-rows";
import { midranks, tieTerm } from "./numeric/midranks";

export interface FriedmanResult {
  readonly method: string;
  readonly statistic: number;
  readonly degreesOfFreedom: number;
  readonly p: number;
  /** Mean rank of each condition. */
  readonly meanRanks: readonly number[];
  /** Kendall's coefficient of concordance W, the effect size that goes with the test. */
  readonly estimate: number;
  readonly interval: null;
  readonly n: number;
  readonly missing: number;
}

/**
 * Friedman's test of conditions within volunteers by ranks (Friedman 1937, JASA 32:675-701), corrected for ties, by the
 * chi-squared approximation.
 * @param rows one row per volunteer, one column per condition; a row with NaN is left out
 * @throws AnalysisError `too few` below two complete rows or two conditions, `constant` when every row is all ties.
 */
export function friedmanTest(rows: readonly ArrayLike<number>[]): FriedmanResult {
  const { complete, missing, columns: k } = completeRows(rows, "rows", "friedmanTest", 2, 2);
  const n = complete.length;
  const rankSums = new Float64Array(k);
  let ties = 0;
  for (const row of complete) {
    const ranked = midranks(row);
    ties += tieTerm(ranked.ties);
    ranked.ranks.forEach((rank, j) => {
      rankSums[j] = (rankSums[j] as number) + rank;
    });
  }
  const scale = n * k * (k + 1) - ties / (k - 1);
  if (!(scale > 0)) {
    throw new AnalysisError(
      "constant",
      "friedmanTest",
      "rows",
      "at least one row whose values are not all equal",
    );
  }
  const squares = rankSums.reduce((total, sum) => total + square(sum - (n * (k + 1)) / 2), 0);
  const statistic = (12 * squares) / scale;
  return {
    method: "Friedman rank-sum test, corrected for ties",
    statistic,
    degreesOfFreedom: k - 1,
    p: chiSquaredUpperTail(statistic, k - 1),
    meanRanks: Array.from(rankSums, (sum) => sum / n),
    estimate: statistic / (n * (k - 1)),
    interval: null,
    n,
    missing,
  };
}
