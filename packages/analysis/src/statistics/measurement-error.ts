import { chiSquaredQuantile } from "./distributions/chi-squared";
import { normalQuantile } from "./distributions/normal";
import { checkLevel } from "./numeric/check-option";
import { completeRows } from "./numeric/complete-rows";
import type { Interval } from "./result";
import { twoWayMeanSquares } from "./two-way-mean-squares";

export interface MeasurementErrorResult {
  readonly method: string;
  /** Standard error of measurement: what one occasion differs from the volunteer's own level, systematic shifts removed. */
  readonly standardErrorOfMeasurement: { readonly estimate: number; readonly interval: Interval };
  /** The difference between two occasions of one volunteer that chance alone passes with probability 1 - level. */
  readonly smallestDetectableChange: { readonly estimate: number; readonly interval: Interval };
  /** Standard error of measurement with systematic differences between occasions included. */
  readonly agreementError: number;
  readonly degreesOfFreedom: number;
  readonly n: number;
  readonly occasions: number;
  readonly missing: number;
}

/**
 * Standard error of measurement as the root of the error mean square of volunteers by occasions, and the smallest
 * detectable change z sqrt(2) SEM (Weir 2005, Journal of Strength and Conditioning Research 19:231-240), with the
 * chi-squared interval of the error variance.
 * @param rows one row per volunteer, one column per occasion; a row with NaN is left out
 * @throws AnalysisError `too few` below two volunteers or occasions, `not finite`, `out of range`.
 */
export function measurementError(
  rows: readonly ArrayLike<number>[],
  options: { readonly level?: number } = {},
): MeasurementErrorResult {
  const { level = 0.95 } = options;
  checkLevel(level, "measurementError");
  const { complete, missing, columns: k } = completeRows(rows, "rows", "measurementError", 2, 2);
  const n = complete.length;
  const { error, occasions } = twoWayMeanSquares(complete);
  const degreesOfFreedom = (n - 1) * (k - 1);
  const outside = (1 - level) / 2;
  const sem = Math.sqrt(error);
  const lower = sem * Math.sqrt(degreesOfFreedom / chiSquaredQuantile(outside, degreesOfFreedom, true));
  const upper = sem * Math.sqrt(degreesOfFreedom / chiSquaredQuantile(outside, degreesOfFreedom));
  const toChange = normalQuantile(outside, true) * Math.SQRT2;
  return {
    method: "root of the error mean square of volunteers by occasions, chi-squared interval",
    standardErrorOfMeasurement: { estimate: sem, interval: { lower, upper, level } },
    smallestDetectableChange: {
      estimate: toChange * sem,
      interval: { lower: toChange * lower, upper: toChange * upper, level },
    },
    agreementError: Math.sqrt(Math.max(0, (occasions - error) / n) + error),
    degreesOfFreedom,
    n,
    occasions: k,
    missing,
  };
}
