import erfc from "@stdlib/math-base-special-erfc";
import erfcinv from "@stdlib/math-base-special-erfcinv";
import { log, log1p } from "../../elementary";

/** P(Z > z) for the standard normal distribution. */
export function normalUpperTail(z: number): number {
  return erfc(z * Math.SQRT1_2) / 2;
}

/** P(Z < z) for the standard normal distribution. */
export function normalLowerTail(z: number): number {
  return erfc(-z * Math.SQRT1_2) / 2;
}

/** Value below which (above which, when `upper`) `probability` of the standard normal distribution lies. */
export function normalQuantile(probability: number, upper = false): number {
  if (probability === 0.5) return 0;
  // The smaller side is asked for: twice a probability near one would leave the reach of the inverse.
  const z =
    probability > 0.5 ? -Math.SQRT2 * erfcinv(2 * (1 - probability)) : Math.SQRT2 * erfcinv(2 * probability);
  return upper ? z : -z;
}

const LOG_SQRT_2_PI = 0.9189385332046728;

/** Logarithm of P(Z < z), also where the probability itself would underflow. */
export function logNormalLowerTail(z: number): number {
  if (z > -30) return z > 5 ? log1p(-normalUpperTail(z)) : log(normalLowerTail(z));
  // Asymptotic series of the Mills ratio (NIST DLMF 7.12.1); at z = -30 its terms fall below 1e-16 before they grow.
  const inverse = 1 / (z * z);
  let term = 1;
  let series = 1;
  for (let k = 1; k <= 12; k++) {
    term *= -(2 * k - 1) * inverse;
    series += term;
  }
  return -0.5 * z * z - LOG_SQRT_2_PI - log(-z) + log(series);
}
