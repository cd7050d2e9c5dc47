import { AnalysisError } from "../analysis-error";
import { square } from "../elementary";
import { chiSquaredQuantile } from "./distributions/chi-squared";
import { noncentralTUpperQuantile } from "./distributions/noncentral-t";
import { normalQuantile } from "./distributions/normal";
import { checkLevel } from "./numeric/check-option";
import { meanOf, varianceOf } from "./numeric/moments";
import { usablePairs } from "./numeric/usable-values";
import type { Interval } from "./result";
import { tInterval } from "./t-interval";

interface Estimated {
  readonly estimate: number;
  readonly interval: Interval;
}

export interface LimitsOfAgreement {
  readonly method: string;
  /** Mean difference, first minus second. */
  readonly bias: Estimated;
  readonly lowerLimit: Estimated;
  readonly upperLimit: Estimated;
  /** Standard deviation of single differences. */
  readonly standardDeviation: number;
  /** Share of differences that the limits enclose. */
  readonly share: number;
  /** Pairs of values. */
  readonly n: number;
  readonly volunteers: number;
  readonly missing: number;
}

export interface AgreementInput {
  readonly first: ArrayLike<number>;
  readonly second: ArrayLike<number>;
  /** Share of differences between the limits; 0.95 unless given. */
  readonly share?: number;
  readonly level?: number;
}

/**
 * Limits of agreement of two methods or occasions, one pair per volunteer (Bland & Altman 1986, Lancet 327:307-310), with
 * exact intervals of the limits by the noncentral t distribution (Carkeet 2015, Optometry and Vision Science 92:e71-e80).
 * @throws AnalysisError `too few` below two pairs, `not finite`, `unequal lengths`, `constant`, `out of range`.
 */
export function limitsOfAgreement(input: AgreementInput): LimitsOfAgreement {
  const { share = 0.95, level = 0.95 } = input;
  checkOptions(share, level, "limitsOfAgreement");
  const { x, y, missing } = usablePairs(input.first, input.second, "first", "second", "limitsOfAgreement", 2);
  const differences = x.map((value, i) => value - (y[i] as number));
  const n = differences.length;
  const bias = meanOf(differences);
  const deviation = Math.sqrt(varianceOf(differences, bias));
  if (!(deviation > 0)) {
    throw new AnalysisError("constant", "limitsOfAgreement", "first", "differences that are not all equal");
  }
  const z = normalQuantile((1 - share) / 2, true);
  const root = Math.sqrt(n);
  const outside = (1 - level) / 2;
  const near = noncentralTUpperQuantile(1 - outside, n - 1, z * root) / root;
  const far = noncentralTUpperQuantile(outside, n - 1, z * root) / root;
  return {
    method: "limits of agreement, exact intervals by the noncentral t",
    bias: { estimate: bias, interval: tInterval(bias, deviation / root, n - 1, level) },
    lowerLimit: {
      estimate: bias - z * deviation,
      interval: { lower: bias - far * deviation, upper: bias - near * deviation, level },
    },
    upperLimit: {
      estimate: bias + z * deviation,
      interval: { lower: bias + near * deviation, upper: bias + far * deviation, level },
    },
    standardDeviation: deviation,
    share,
    n,
    volunteers: n,
    missing,
  };
}

/**
 * Limits of agreement when volunteers give several pairs and their true value varies between pairs (Bland & Altman 2007,
 * Journal of Biopharmaceutical Statistics 17:571-582): variance of the volunteers' mean differences plus
 * (1 - 1 / harmonic mean number of pairs) times the variance within volunteers; intervals by recovered variance
 * estimates (Zou 2013, Statistical Methods in Medical Research 22:630-642).
 * @param input.volunteers whose pair it is, parallel to `first` and `second`
 * @throws AnalysisError `too few` below two volunteers or without a repeated pair, and as `limitsOfAgreement`.
 */
export function limitsOfAgreementRepeated(
  input: AgreementInput & { readonly volunteers: readonly string[] },
): LimitsOfAgreement {
  const { share = 0.95, level = 0.95 } = input;
  checkOptions(share, level, "limitsOfAgreementRepeated");
  const groups = groupDifferences(input);
  const means = groups.map((differences) => meanOf(differences));
  const k = groups.length;
  const pairs = groups.reduce((total, group) => total + group.length, 0);
  if (k < 2) {
    throw new AnalysisError(
      "too few",
      "limitsOfAgreementRepeated",
      "volunteers",
      `at least two volunteers, not ${k}`,
    );
  }
  if (pairs === k) {
    throw new AnalysisError(
      "too few",
      "limitsOfAgreementRepeated",
      "volunteers",
      "a volunteer with more than one pair",
    );
  }
  const within =
    groups.reduce((total, group, i) => {
      const mean = means[i] as number;
      return total + group.reduce((squares, difference) => squares + square(difference - mean), 0);
    }, 0) /
    (pairs - k);
  const bias = meanOf(means);
  const between = varianceOf(means, bias);
  const harmonic = k / groups.reduce((total, group) => total + 1 / group.length, 0);
  const withinPart = (1 - 1 / harmonic) * within;
  const variance = between + withinPart;
  const deviation = Math.sqrt(variance);
  if (!(deviation > 0)) {
    throw new AnalysisError(
      "constant",
      "limitsOfAgreementRepeated",
      "first",
      "differences that are not all equal",
    );
  }
  const outside = (1 - level) / 2;
  const shrink = (df: number, upper: boolean) => df / chiSquaredQuantile(outside, df, upper);
  const lowVariance =
    variance - length(between * (1 - shrink(k - 1, true)), withinPart * (1 - shrink(pairs - k, true)));
  const highVariance =
    variance + length(between * (shrink(k - 1, false) - 1), withinPart * (shrink(pairs - k, false) - 1));
  const z = normalQuantile((1 - share) / 2, true);
  const confidence = normalQuantile(outside, true);
  const ofBias = confidence * Math.sqrt(between / k);
  const outer = length(ofBias, z * (Math.sqrt(highVariance) - deviation));
  const inner = length(ofBias, z * (deviation - Math.sqrt(Math.max(0, lowVariance))));
  const lower = bias - z * deviation;
  const upper = bias + z * deviation;
  return {
    method: "limits of agreement with repeated pairs, intervals by recovered variance estimates",
    bias: { estimate: bias, interval: tInterval(bias, Math.sqrt(between / k), k - 1, level) },
    lowerLimit: { estimate: lower, interval: { lower: lower - outer, upper: lower + inner, level } },
    upperLimit: { estimate: upper, interval: { lower: upper - inner, upper: upper + outer, level } },
    standardDeviation: deviation,
    share,
    n: pairs,
    volunteers: k,
    missing: input.first.length - pairs,
  };
}

function groupDifferences(input: AgreementInput & { readonly volunteers: readonly string[] }): number[][] {
  const { first, second, volunteers } = input;
  if (volunteers.length !== first.length) {
    throw new AnalysisError(
      "unequal lengths",
      "limitsOfAgreementRepeated",
      "volunteers",
      `a volunteer for each pair; there are ${volunteers.length} for ${first.length} pairs`,
    );
  }
  // Checks lengths and refuses infinite values.
  usablePairs(first, second, "first", "second", "limitsOfAgreementRepeated");
  const groups = new Map<string, number[]>();
  volunteers.forEach((volunteer, i) => {
    const difference = (first[i] as number) - (second[i] as number);
    if (Number.isNaN(difference)) return;
    const group = groups.get(volunteer);
    if (group) group.push(difference);
    else groups.set(volunteer, [difference]);
  });
  return [...groups.values()];
}

function checkOptions(share: number, level: number, functionName: string): void {
  checkLevel(level, functionName);
  if (share > 0 && share < 1) return;
  throw new AnalysisError("out of range", functionName, "share", `share between 0 and 1, not ${share}`);
}

function length(a: number, b: number): number {
  return Math.sqrt(a * a + b * b);
}
