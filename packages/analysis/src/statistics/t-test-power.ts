import { AnalysisError } from "../analysis-error";
import { noncentralTLowerTail, noncentralTUpperTail } from "./distributions/noncentral-t";
import { studentTQuantile } from "./distributions/student-t";
import { checkFinite, checkPositive } from "./numeric/check-option";
import { findRoot } from "./numeric/find-root";

export interface PowerInput {
  readonly kind: "one-sample" | "paired" | "two-sample";
  /** True difference that the study should find. */
  readonly difference: number;
  /** Of the values, or of the differences within pairs. */
  readonly standardDeviation: number;
  /** Significance level; 0.05 unless given. */
  readonly alpha?: number;
  readonly sided?: "two-sided" | "one-sided";
}

export interface PowerResult {
  readonly method: string;
  readonly power: number;
  readonly n: number;
}

export interface SampleSizeResult {
  readonly method: string;
  /** Volunteers (one-sample), pairs, or volunteers in each group: the smallest whole number that reaches the power. */
  readonly n: number;
  /** The fractional number at which the power is met exactly. */
  readonly exactN: number;
  /** Power at the whole number. */
  readonly power: number;
}

/**
 * Power of a t test by the noncentral t distribution, both tails counted when two-sided (R: `strict = TRUE`). `n` is the
 * number of volunteers, of pairs, or of volunteers in each group.
 * @throws AnalysisError `out of range`, `not finite`.
 */
export function tTestPower(input: PowerInput & { readonly n: number }): PowerResult {
  check(input, "tTestPower");
  if (!(input.n >= 2) || !Number.isFinite(input.n)) {
    throw new AnalysisError("out of range", "tTestPower", "n", `n of at least 2, not ${input.n}`);
  }
  return { method: methodOf(input), power: powerAt(input, input.n), n: input.n };
}

/**
 * How many volunteers (pairs, or volunteers in each group) the next study needs for a given power.
 * @throws AnalysisError `out of range` when the difference is zero or the power not between alpha and 1.
 */
export function tTestSampleSize(input: PowerInput & { readonly power: number }): SampleSizeResult {
  check(input, "tTestSampleSize");
  const { power, alpha = 0.05, sided = "two-sided" } = input;
  const effect = sided === "two-sided" ? Math.abs(input.difference) : input.difference;
  if (!(effect > 0)) {
    throw new AnalysisError(
      "out of range",
      "tTestSampleSize",
      "difference",
      "a difference other than zero, in the direction tested",
    );
  }
  if (!(power > alpha && power < 1)) {
    throw new AnalysisError(
      "out of range",
      "tTestSampleSize",
      "power",
      `power between alpha and 1, not ${power}`,
    );
  }
  const distance = (n: number) => powerAt(input, n) - power;
  if (distance(2) >= 0) return { method: methodOf(input), n: 2, exactN: 2, power: powerAt(input, 2) };
  let upper = 4;
  while (distance(upper) < 0) upper *= 2;
  const exactN = findRoot(distance, upper / 2, upper);
  const n = distance(Math.round(exactN)) >= 0 ? Math.round(exactN) : Math.ceil(exactN);
  const whole = n >= exactN ? n : n + 1;
  return { method: methodOf(input), n: whole, exactN, power: powerAt(input, whole) };
}

function powerAt(input: PowerInput, n: number): number {
  const { alpha = 0.05, sided = "two-sided" } = input;
  const samples = input.kind === "two-sample" ? 2 : 1;
  const degreesOfFreedom = (n - 1) * samples;
  const noncentrality = (Math.sqrt(n / samples) * input.difference) / input.standardDeviation;
  if (sided === "one-sided") {
    return noncentralTUpperTail(
      studentTQuantile(alpha, degreesOfFreedom, true),
      degreesOfFreedom,
      noncentrality,
    );
  }
  const critical = studentTQuantile(alpha / 2, degreesOfFreedom, true);
  return (
    noncentralTUpperTail(critical, degreesOfFreedom, noncentrality) +
    noncentralTLowerTail(-critical, degreesOfFreedom, noncentrality)
  );
}

function check(input: PowerInput, functionName: string): void {
  const { alpha = 0.05 } = input;
  checkFinite(input.difference, "difference", functionName);
  checkPositive(input.standardDeviation, "standardDeviation", functionName);
  if (!(alpha > 0 && alpha < 1)) {
    throw new AnalysisError("out of range", functionName, "alpha", `alpha between 0 and 1, not ${alpha}`);
  }
}

function methodOf({ kind, sided = "two-sided" }: PowerInput): string {
  return `${sided} ${kind} t test, noncentral t distribution`;
}
