import gammaln from "@stdlib/math-base-special-gammaln";
import { AnalysisError } from "../analysis-error";
import { exp } from "../elementary";
import { noncentralityForUpperTail } from "./distributions/noncentral-t";
import { checkLevel } from "./numeric/check-option";
import { meanOf, sumOfSquares } from "./numeric/moments";
import { usablePairs, usableValues } from "./numeric/usable-values";
import type { Interval } from "./result";

export interface StandardisedDifference {
  readonly method: string;
  readonly estimate: number;
  readonly interval: Interval;
  readonly degreesOfFreedom: number;
  readonly n: number;
  readonly missing: number;
}

/**
 * Cohen's d of two independent samples: difference of the means over the pooled standard deviation (Cohen 1988), with
 * the interval that inverts the noncentral t distribution (Steiger & Fouladi 1997).
 * @throws AnalysisError `too few`, `constant`, `not finite`, `out of range`.
 */
export function cohensD(input: TwoSamples): StandardisedDifference {
  return independent(input, "cohensD");
}

/**
 * Hedges' g: Cohen's d and its interval times the exact correction for small samples,
 * J = gamma(df / 2) / (sqrt(df / 2) gamma((df - 1) / 2)) (Hedges 1981, Journal of Educational Statistics 6:107-128).
 */
export function hedgesG(input: TwoSamples): StandardisedDifference {
  const d = independent(input, "hedgesG");
  const correction = hedgesCorrection(d.degreesOfFreedom);
  return {
    ...d,
    method:
      "Hedges' g (pooled standard deviation, exact small-sample correction), interval by the noncentral t",
    estimate: d.estimate * correction,
    interval: {
      lower: d.interval.lower * correction,
      upper: d.interval.upper * correction,
      level: d.interval.level,
    },
  };
}

/**
 * Cohen's dz of paired samples, or of one sample of differences: their mean over their standard deviation, with the
 * interval that inverts the noncentral t distribution.
 * @throws AnalysisError `too few`, `constant`, `not finite`, `unequal lengths`, `out of range`.
 */
export function cohensDz(
  input: { readonly level?: number } & (
    | { readonly differences: ArrayLike<number> }
    | { readonly first: ArrayLike<number>; readonly second: ArrayLike<number> }
  ),
): StandardisedDifference {
  const { level = 0.95 } = input;
  checkLevel(level, "cohensDz");
  let differences: Float64Array;
  let missing: number;
  if ("differences" in input) {
    ({ values: differences, missing } = usableValues(input.differences, "differences", "cohensDz", 2));
  } else {
    const pairs = usablePairs(input.first, input.second, "first", "second", "cohensDz", 2);
    differences = pairs.x.map((value, i) => value - (pairs.y[i] as number));
    missing = pairs.missing;
  }
  const n = differences.length;
  const mean = meanOf(differences);
  const deviation = Math.sqrt(Math.max(0, sumOfSquares(differences, mean)) / (n - 1));
  requireVariation(deviation, mean, "cohensDz", "differences" in input ? "differences" : "first");
  const estimate = mean / deviation;
  return {
    method: "Cohen's dz (standard deviation of the differences), interval by the noncentral t",
    estimate,
    interval: noncentralInterval(estimate, Math.sqrt(n), n - 1, level),
    degreesOfFreedom: n - 1,
    n,
    missing,
  };
}

export interface TwoSamples {
  readonly first: ArrayLike<number>;
  readonly second: ArrayLike<number>;
  readonly level?: number;
}

/** J of Hedges 1981; 1 at infinitely many degrees of freedom. Needs more than one degree of freedom. */
function hedgesCorrection(degreesOfFreedom: number): number {
  const half = degreesOfFreedom / 2;
  // Beyond this the difference of the logarithms has fewer good digits than the series in 1 / df.
  if (half > 5e4) return 1 - 3 / (4 * degreesOfFreedom - 1);
  return exp(gammaln(half) - gammaln(half - 0.5)) / Math.sqrt(half);
}

function independent(input: TwoSamples, functionName: string): StandardisedDifference {
  const { level = 0.95 } = input;
  checkLevel(level, functionName);
  const first = usableValues(input.first, "first", functionName, 1);
  const second = usableValues(input.second, "second", functionName, 1);
  const n1 = first.values.length;
  const n2 = second.values.length;
  const degreesOfFreedom = n1 + n2 - 2;
  if (degreesOfFreedom < 2) {
    throw new AnalysisError(
      "too few",
      functionName,
      "first",
      "at least four usable values in both samples together",
    );
  }
  const mean1 = meanOf(first.values);
  const mean2 = meanOf(second.values);
  const squares = sumOfSquares(first.values, mean1) + sumOfSquares(second.values, mean2);
  const deviation = Math.sqrt(Math.max(0, squares) / degreesOfFreedom);
  requireVariation(deviation, Math.max(Math.abs(mean1), Math.abs(mean2)), functionName, "first");
  const estimate = (mean1 - mean2) / deviation;
  return {
    method: "Cohen's d (pooled standard deviation), interval by the noncentral t",
    estimate,
    interval: noncentralInterval(estimate, Math.sqrt((n1 * n2) / (n1 + n2)), degreesOfFreedom, level),
    degreesOfFreedom,
    n: n1 + n2,
    missing: first.missing + second.missing,
  };
}

function noncentralInterval(
  estimate: number,
  scale: number,
  degreesOfFreedom: number,
  level: number,
): Interval {
  const t = estimate * scale;
  const outside = (1 - level) / 2;
  return {
    lower: noncentralityForUpperTail(t, degreesOfFreedom, outside) / scale,
    upper: noncentralityForUpperTail(t, degreesOfFreedom, 1 - outside) / scale,
    level,
  };
}

function requireVariation(deviation: number, size: number, functionName: string, argument: string): void {
  if (deviation > 0 && deviation >= 10 * Number.EPSILON * Math.abs(size)) return;
  throw new AnalysisError(
    "constant",
    functionName,
    argument,
    `values that vary; the spread in ${argument} is nil`,
  );
}
