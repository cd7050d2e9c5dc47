import { AnalysisError } from "../analysis-error";
import { square } from "../elementary";
import { type FTest, fTest } from "./model/linear-model";
import { meanOf, sumOfSquares } from "./numeric/moments";
import { usableValues } from "./numeric/usable-values";

export interface OneWayAnalysis extends FTest {
  readonly method: string;
  readonly sumOfSquaresBetween: number;
  readonly sumOfSquaresWithin: number;
  /** Share of the variation that lies between groups. */
  readonly etaSquared: number;
  /** The same test without the assumption of equal variances (Welch 1951, Biometrika 38:330-336); null where a group has none. */
  readonly welch: FTest | null;
  readonly means: readonly number[];
  readonly sizes: readonly number[];
  readonly n: number;
  readonly missing: number;
}

/**
 * One-way analysis of variance (Fisher 1925). Missing values are left out.
 * @param groups the values of each group
 * @throws AnalysisError `too few` below two groups or one degree of freedom within, `constant` without variation within,
 * `empty`, `not finite`.
 */
export function oneWayAnalysis(groups: readonly ArrayLike<number>[]): OneWayAnalysis {
  if (groups.length < 2) {
    throw new AnalysisError(
      "too few",
      "oneWayAnalysis",
      "groups",
      `at least two groups, not ${groups.length}`,
    );
  }
  const usable = groups.map((group, i) => usableValues(group, `groups[${i}]`, "oneWayAnalysis", 1));
  const sizes = usable.map(({ values }) => values.length);
  const n = sizes.reduce((total, size) => total + size, 0);
  const k = groups.length;
  if (n - k < 1) throw new AnalysisError("too few", "oneWayAnalysis", "groups", "more values than groups");
  // Deviations from the first value, so that a common offset costs no digits.
  const origin = usable[0]?.values[0] ?? 0;
  const shifted = usable.map(({ values }) => values.map((value) => value - origin));
  const means = shifted.map((values) => meanOf(values));
  const squares = shifted.map((values, i) => Math.max(0, sumOfSquares(values, means[i] as number)));
  const grand = means.reduce((total, mean, i) => total + mean * (sizes[i] as number), 0) / n;
  const between = means.reduce((total, mean, i) => total + (sizes[i] as number) * square(mean - grand), 0);
  const within = squares.reduce((total, value) => total + value, 0);
  const largest = Math.max(...usable.map(({ values }) => Math.max(...values.map(Math.abs))));
  if (!(Math.sqrt(within / (n - k)) > 10 * Number.EPSILON * largest)) {
    throw new AnalysisError("constant", "oneWayAnalysis", "groups", "values that vary within groups");
  }
  const variances = squares.map((value, i) => value / ((sizes[i] as number) - 1));
  return {
    method: "one-way analysis of variance",
    ...fTest(between / (k - 1) / (within / (n - k)), k - 1, n - k),
    sumOfSquaresBetween: between,
    sumOfSquaresWithin: within,
    etaSquared: between / (between + within),
    welch: variances.every((variance) => variance > 0) ? welchTest(means, variances, sizes) : null,
    means: means.map((mean) => origin + mean),
    sizes,
    n,
    missing: usable.reduce((total, { missing }) => total + missing, 0),
  };
}

function welchTest(means: readonly number[], variances: readonly number[], sizes: readonly number[]): FTest {
  const k = means.length;
  const weights = sizes.map((size, i) => size / (variances[i] as number));
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  const centre = weights.reduce((sum, weight, i) => sum + weight * (means[i] as number), 0) / total;
  const imbalance =
    weights.reduce((sum, weight, i) => sum + square(1 - weight / total) / ((sizes[i] as number) - 1), 0) /
    (k * k - 1);
  const between = weights.reduce((sum, weight, i) => sum + weight * square((means[i] as number) - centre), 0);
  return fTest(between / ((k - 1) * (1 + 2 * (k - 2) * imbalance)), k - 1, 1 / (3 * imbalance));
}
