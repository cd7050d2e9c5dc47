import { AnalysisError } from "../analysis-error";
import { noncentralityForUpperTail } from "./distributions/noncentral-t";
import { normalLowerTail } from "./distributions/normal";
import { studentTLowerTail } from "./distributions/student-t";
import { checkFinite, checkLevel } from "./numeric/check-option";
import { meanOf, varianceOf } from "./numeric/moments";
import { usableValues } from "./numeric/usable-values";
import type { Alternative, Interval } from "./result";
import { tPValue } from "./t-p-value";

export interface SingleCaseResult {
  readonly method: string;
  /** The case in standard deviations of the controls. */
  readonly estimate: number;
  /** Interval for `estimate` of the population. */
  readonly interval: Interval;
  readonly statistic: number;
  readonly degreesOfFreedom: number;
  readonly p: number;
  /** Point estimate of the share of the population that lies below the case, with its interval. */
  readonly shareBelow: { readonly estimate: number; readonly interval: Interval };
  readonly alternative: Alternative;
  readonly n: number;
  readonly missing: number;
}

/**
 * One volunteer against a small cohort: the modified t test of Crawford & Howell 1998 (Clinical Neuropsychologist
 * 12:482-486), with the interval for the share of the population below the case by the noncentral t (Crawford &
 * Garthwaite 2002, Neuropsychologia 40:1196-1208).
 * @throws AnalysisError `too few` below two controls, `constant`, `not finite`, `out of range`.
 */
export function singleCaseTest(input: {
  readonly case: number;
  readonly controls: ArrayLike<number>;
  readonly alternative?: Alternative;
  readonly level?: number;
}): SingleCaseResult {
  const { alternative = "two-sided", level = 0.95 } = input;
  checkLevel(level, "singleCaseTest");
  checkFinite(input.case, "case", "singleCaseTest");
  const { values, missing } = usableValues(input.controls, "controls", "singleCaseTest", 2);
  const n = values.length;
  const mean = meanOf(values);
  const deviation = Math.sqrt(varianceOf(values, mean));
  if (!(deviation > 10 * Number.EPSILON * Math.abs(mean))) {
    throw new AnalysisError("constant", "singleCaseTest", "controls", "controls that vary");
  }
  const estimate = (input.case - mean) / deviation;
  const statistic = estimate / Math.sqrt(1 + 1 / n);
  const degreesOfFreedom = n - 1;
  const root = Math.sqrt(n);
  const outside = (1 - level) / 2;
  const lower = noncentralityForUpperTail(estimate * root, degreesOfFreedom, outside) / root;
  const upper = noncentralityForUpperTail(estimate * root, degreesOfFreedom, 1 - outside) / root;
  return {
    method: "single case against controls (Crawford & Howell), interval by the noncentral t",
    estimate,
    interval: { lower, upper, level },
    statistic,
    degreesOfFreedom,
    p: tPValue(statistic, degreesOfFreedom, alternative),
    shareBelow: {
      estimate: studentTLowerTail(statistic, degreesOfFreedom),
      interval: { lower: normalLowerTail(lower), upper: normalLowerTail(upper), level },
    },
    alternative,
    n,
    missing,
  };
}
