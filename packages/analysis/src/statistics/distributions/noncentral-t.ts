import gammaln from "@stdlib/math-base-special-gammaln";
import { exp, expm1, log, log1p } from "../../elementary";
import { findRootFrom } from "../numeric/find-root";
import { logNormalLowerTail, normalLowerTail } from "./normal";
import { studentTUpperTail } from "./student-t";

/**
 * P(T > t) for the noncentral t distribution, from its definition T = (Z + ncp) / S with S = sqrt(chi-squared / df)
 * (Johnson, Kotz & Balakrishnan 1995, Continuous Univariate Distributions 2, chapter 31): the integral over S of
 * P(Z > t S - ncp). Every term is positive, so that both tails keep their relative accuracy, where the series in
 * common use (Lenth 1989, Applied Statistics 38:185-189, AS 243) loses it by cancellation. The trapezoidal rule on
 * log S converges geometrically because the integrand falls off at both ends.
 */
export function noncentralTUpperTail(t: number, degreesOfFreedom: number, noncentrality: number): number {
  if (!(degreesOfFreedom > 0) || Number.isNaN(t) || Number.isNaN(noncentrality)) return Number.NaN;
  if (noncentrality === 0) return studentTUpperTail(t, degreesOfFreedom);
  if (degreesOfFreedom === Number.POSITIVE_INFINITY) return normalLowerTail(noncentrality - t);
  if (t === 0) return normalLowerTail(noncentrality);
  const half = degreesOfFreedom / 2;
  const constant = Math.LN2 + half * log(half) - gammaln(half);
  // Log of the density of log S times P(Z > t S - ncp). Deviations from S = 1 go through expm1 to keep digits at large df.
  const logIntegrand = (logS: number) =>
    constant - half + half * (2 * logS - expm1(2 * logS)) + logNormalLowerTail(noncentrality - t * exp(logS));
  return exp(logIntegral(logIntegrand, 1 / Math.sqrt(2 * degreesOfFreedom)));
}

/** P(T < t) for the noncentral t distribution. */
export function noncentralTLowerTail(t: number, degreesOfFreedom: number, noncentrality: number): number {
  return noncentralTUpperTail(-t, degreesOfFreedom, -noncentrality);
}

/**
 * The noncentrality under which an observed t has `probability` above it: the inversion that gives intervals for
 * standardised effects (Steiger & Fouladi 1997).
 */
export function noncentralityForUpperTail(t: number, degreesOfFreedom: number, probability: number): number {
  const target = log(probability);
  const opposite = log1p(-probability);
  // The smaller tail is compared on the log scale, so that the search also works far from the start.
  return findRootFrom(
    (noncentrality: number) =>
      probability <= 0.5
        ? log(noncentralTUpperTail(t, degreesOfFreedom, noncentrality)) - target
        : opposite - log(noncentralTLowerTail(t, degreesOfFreedom, noncentrality)),
    t,
  );
}

/** Logarithm of the integral of exp(f) over the real line, for a unimodal f that falls off at both ends. */
function logIntegral(f: (x: number) => number, scale: number): number {
  let top = 0;
  let best = f(0);
  for (let step = 8 * scale; step > scale / 8; ) {
    const right = f(top + step);
    const left = f(top - step);
    if (right > best) {
      best = right;
      top += step;
    } else if (left > best) {
      best = left;
      top -= step;
    } else step /= 2;
  }
  if (best === Number.NEGATIVE_INFINITY) return best;
  const negligible = best - 42;
  let width = 4 * scale;
  while (f(top + width) > negligible || f(top - width) > negligible) width *= 1.25;
  let left = -width;
  let right = width;
  while (f(top + 0.95 * left) < negligible) left *= 0.95;
  while (f(top + 0.95 * right) < negligible) right *= 0.95;
  let intervals = 32;
  let step = (right - left) / intervals;
  let total = 0;
  for (let i = 0; i <= intervals; i++) total += exp(f(top + left + i * step) - best);
  for (let previous = Number.NaN; intervals <= 1 << 16; ) {
    const estimate = total * step;
    if (Math.abs(estimate - previous) <= 2e-15 * estimate) break;
    previous = estimate;
    for (let i = 0; i < intervals; i++) total += exp(f(top + left + (i + 0.5) * step) - best);
    intervals *= 2;
    step /= 2;
  }
  return best + log(total * step);
}

/** Value with `probability` of the noncentral t distribution above it. */
export function noncentralTUpperQuantile(
  probability: number,
  degreesOfFreedom: number,
  noncentrality: number,
): number {
  const distance = (t: number) =>
    probability <= 0.5
      ? log(probability) - log(noncentralTUpperTail(t, degreesOfFreedom, noncentrality))
      : log(noncentralTLowerTail(t, degreesOfFreedom, noncentrality)) - log1p(-probability);
  return findRootFrom(distance, noncentrality);
}
