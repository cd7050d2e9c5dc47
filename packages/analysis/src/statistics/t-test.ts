import { AnalysisError } from "../analysis-error";
import { square } from "../elementary";
import { checkFinite, checkLevel } from "./numeric/check-option";
import { meanOf, varianceOf } from "./numeric/moments";
import { usablePairs, usableValues } from "./numeric/usable-values";
import type { Alternative, Interval } from "./result";
import { tInterval } from "./t-interval";
import { tPValue } from "./t-p-value";

interface TTestOptions {
  /** Mean, or difference of means, under the hypothesis; 0 unless given. */
  readonly hypothesis?: number;
  readonly alternative?: Alternative;
  /** Confidence level; 0.95 unless given. */
  readonly level?: number;
}

export type TTestInput = TTestOptions &
  (
    | { readonly kind: "one-sample"; readonly values: ArrayLike<number> }
    | { readonly kind: "paired"; readonly first: ArrayLike<number>; readonly second: ArrayLike<number> }
    | {
        readonly kind: "welch" | "pooled";
        readonly first: ArrayLike<number>;
        readonly second: ArrayLike<number>;
      }
  );

export interface TTestResult {
  readonly method: string;
  /** The mean (one-sample), the mean of first minus second (paired), or the difference of the means. */
  readonly estimate: number;
  readonly standardError: number;
  readonly interval: Interval;
  readonly statistic: number;
  readonly degreesOfFreedom: number;
  readonly p: number;
  readonly alternative: Alternative;
  readonly hypothesis: number;
  /** Values (one-sample), pairs (paired), or values of both groups together. */
  readonly n: number;
  /** The means that were compared: one, or first and second. */
  readonly means: readonly number[];
  /** Values in each sample; one entry for one-sample and paired. */
  readonly sizes: readonly number[];
  /** Entries or pairs left out because of NaN. */
  readonly missing: number;
}

/**
 * Student's t test: of one sample, of paired samples, of two samples without (Welch 1947, Biometrika 34:28-35) or with
 * (pooled) the assumption of equal variances. Missing values (NaN) are left out, in pairs where paired.
 * @throws AnalysisError `too few`, `constant` when the standard error vanishes beside the means, `not finite`,
 * `unequal lengths` (paired), `out of range`.
 */
export function tTest(input: TTestInput): TTestResult {
  const { hypothesis = 0, alternative = "two-sided", level = 0.95 } = input;
  checkLevel(level, "tTest");
  checkFinite(hypothesis, "hypothesis", "tTest");
  const core = compare(input);
  const statistic = (core.estimate - hypothesis) / core.standardError;
  return {
    ...core,
    interval: tInterval(core.estimate, core.standardError, core.degreesOfFreedom, level, alternative),
    statistic,
    p: tPValue(statistic, core.degreesOfFreedom, alternative),
    alternative,
    hypothesis,
  };
}

type Core = Pick<
  TTestResult,
  "method" | "estimate" | "standardError" | "degreesOfFreedom" | "n" | "means" | "sizes" | "missing"
>;

function compare(input: TTestInput): Core {
  switch (input.kind) {
    case "one-sample": {
      const { values, missing } = usableValues(input.values, "values", "tTest", 2);
      return { method: "one-sample t test", ...ofOne(values, "values"), missing };
    }
    case "paired": {
      const { x, y, missing } = usablePairs(input.first, input.second, "first", "second", "tTest", 2);
      const differences = x.map((value, i) => value - (y[i] as number));
      const core = ofOne(differences, "first");
      return { method: "paired t test", ...core, means: [meanOf(x), meanOf(y)], missing };
    }
    case "welch":
    case "pooled":
      return ofTwo(input.first, input.second, input.kind);
  }
}

function ofOne(values: Float64Array, argument: string): Omit<Core, "method" | "missing"> {
  const n = values.length;
  const estimate = meanOf(values);
  const standardError = Math.sqrt(varianceOf(values, estimate) / n);
  requireVariation(standardError, estimate, argument);
  return { estimate, standardError, degreesOfFreedom: n - 1, n, means: [estimate], sizes: [n] };
}

function ofTwo(
  firstValues: ArrayLike<number>,
  secondValues: ArrayLike<number>,
  kind: "welch" | "pooled",
): Core {
  const atLeast = kind === "welch" ? 2 : 1;
  const first = usableValues(firstValues, "first", "tTest", atLeast);
  const second = usableValues(secondValues, "second", "tTest", atLeast);
  const n1 = first.values.length;
  const n2 = second.values.length;
  if (n1 + n2 < 3) {
    throw new AnalysisError(
      "too few",
      "tTest",
      "first",
      "at least three usable values in first and second together",
    );
  }
  const mean1 = meanOf(first.values);
  const mean2 = meanOf(second.values);
  const variance1 = n1 > 1 ? varianceOf(first.values, mean1) : 0;
  const variance2 = n2 > 1 ? varianceOf(second.values, mean2) : 0;
  let standardError: number;
  let degreesOfFreedom: number;
  if (kind === "welch") {
    const share1 = variance1 / n1;
    const share2 = variance2 / n2;
    standardError = Math.sqrt(share1 + share2);
    degreesOfFreedom = square(share1 + share2) / (square(share1) / (n1 - 1) + square(share2) / (n2 - 1));
  } else {
    degreesOfFreedom = n1 + n2 - 2;
    const pooled = ((n1 - 1) * variance1 + (n2 - 1) * variance2) / degreesOfFreedom;
    standardError = Math.sqrt(pooled * (1 / n1 + 1 / n2));
  }
  requireVariation(standardError, Math.max(Math.abs(mean1), Math.abs(mean2)), "first");
  return {
    method: kind === "welch" ? "Welch two-sample t test" : "two-sample t test with pooled variance",
    estimate: mean1 - mean2,
    standardError,
    degreesOfFreedom,
    n: n1 + n2,
    means: [mean1, mean2],
    sizes: [n1, n2],
    missing: first.missing + second.missing,
  };
}

/** The bound of R's t.test, below which a spread is rounding and not data. */
function requireVariation(standardError: number, size: number, argument: string): void {
  if (standardError > 0 && standardError >= 10 * Number.EPSILON * Math.abs(size)) return;
  throw new AnalysisError(
    "constant",
    "tTest",
    argument,
    `values that vary; the spread in ${argument} is nil`,
  );
}
