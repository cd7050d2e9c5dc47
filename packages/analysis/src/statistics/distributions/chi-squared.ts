import { gammaLowerTail, gammaUpperTail } from "./gamma";
import { positiveQuantile } from "./positive-quantile";

/** P(X > x) for the chi-squared distribution. */
export function chiSquaredUpperTail(x: number, degreesOfFreedom: number): number {
  return degreesOfFreedom > 0 ? gammaUpperTail(x / 2, degreesOfFreedom / 2) : Number.NaN;
}

/** P(X < x) for the chi-squared distribution. */
export function chiSquaredLowerTail(x: number, degreesOfFreedom: number): number {
  return degreesOfFreedom > 0 ? gammaLowerTail(x / 2, degreesOfFreedom / 2) : Number.NaN;
}

/** Value below which (above which, when `upper`) `probability` of the chi-squared distribution lies. */
export function chiSquaredQuantile(probability: number, degreesOfFreedom: number, upper = false): number {
  return positiveQuantile(
    (x) => chiSquaredLowerTail(x, degreesOfFreedom),
    (x) => chiSquaredUpperTail(x, degreesOfFreedom),
    probability,
    upper,
  );
}
