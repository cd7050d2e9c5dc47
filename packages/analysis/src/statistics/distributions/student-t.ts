import betaln from "@stdlib/math-base-special-betaln";
import { exp, log } from "../../elementary";
import { betaLowerTail } from "./beta";
import { normalQuantile, normalUpperTail } from "./normal";
import { positiveQuantile } from "./positive-quantile";

/** P(T > t) for Student's t. Infinite degrees of freedom mean the normal distribution. */
export function studentTUpperTail(t: number, degreesOfFreedom: number): number {
  if (Number.isNaN(t) || !(degreesOfFreedom > 0)) return Number.NaN;
  if (t < 0) return 1 - studentTUpperTail(-t, degreesOfFreedom);
  if (degreesOfFreedom === Number.POSITIVE_INFINITY) return normalUpperTail(t);
  if (t === Number.POSITIVE_INFINITY) return 0;
  const scaled = t / Math.sqrt(degreesOfFreedom);
  if (scaled > 1e100) {
    // The leading term of the tail; the square of t would overflow.
    return exp(-degreesOfFreedom * log(scaled) - log(degreesOfFreedom) - betaln(degreesOfFreedom / 2, 0.5));
  }
  const square = scaled * scaled;
  return betaLowerTail(1 / (1 + square), square / (1 + square), degreesOfFreedom / 2, 0.5) / 2;
}

/** P(T < t) for Student's t. */
export function studentTLowerTail(t: number, degreesOfFreedom: number): number {
  return studentTUpperTail(-t, degreesOfFreedom);
}

/** Value below which (above which, when `upper`) `probability` of Student's t lies. */
export function studentTQuantile(probability: number, degreesOfFreedom: number, upper = false): number {
  if (degreesOfFreedom === Number.POSITIVE_INFINITY) return normalQuantile(probability, upper);
  if (probability === 0.5) return 0;
  if (probability > 0.5) return -studentTQuantile(1 - probability, degreesOfFreedom, upper);
  const distance = positiveQuantile(
    (t) => 1 - studentTUpperTail(t, degreesOfFreedom),
    (t) => studentTUpperTail(t, degreesOfFreedom),
    probability,
    true,
  );
  return upper ? distance : -distance;
}
