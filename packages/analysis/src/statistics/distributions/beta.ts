import betainc from "@stdlib/math-base-special-betainc";
import betaln from "@stdlib/math-base-special-betaln";
import { exp, log } from "../../elementary";
import { findRootFrom } from "../numeric/find-root";

/**
 * Lower tail of the beta distribution at x, with `complement` = 1 - x given separately so that neither end loses
 * digits.
 */
export function betaLowerTail(x: number, complement: number, a: number, b: number): number {
  if (x <= 0) return 0;
  if (complement <= 0) return 1;
  if (isNearZero(x, b)) return nearZero(x, a, b);
  if (isNearZero(complement, a)) return 1 - nearZero(complement, b, a);
  return x <= complement ? betainc(x, a, b) : betainc(complement, b, a, true, true);
}

/** Upper tail of the beta distribution at x. */
export function betaUpperTail(x: number, complement: number, a: number, b: number): number {
  return betaLowerTail(complement, x, b, a);
}

/** Quantile of the beta distribution, searched on the log-odds of x so that both ends keep their digits. */
export function betaQuantile(probability: number, a: number, b: number, upper = false): number {
  if (!(probability >= 0 && probability <= 1)) return Number.NaN;
  if (probability === (upper ? 1 : 0)) return 0;
  if (probability === (upper ? 0 : 1)) return 1;
  const flipped = probability > 0.5;
  const target = log(flipped ? 1 - probability : probability);
  const tail = upper !== flipped ? betaUpperTail : betaLowerTail;
  const distance = (logOdds: number) =>
    Math.max(-1e300, log(tail(1 / (1 + exp(-logOdds)), 1 / (1 + exp(logOdds)), a, b))) - target;
  return 1 / (1 + exp(-findRootFrom(distance, log(a / b))));
}

/** The library loses digits for very small x (3e-9 at x = 1e-16, a = b = 0.5), where the power series needs few terms. */
function isNearZero(x: number, b: number): boolean {
  return x * Math.max(1, b) < 1e-2;
}

/** Power series of the incomplete beta function (NIST DLMF 8.17.7 with 15.2.1), for x * max(1, b) well below one. */
function nearZero(x: number, a: number, b: number): number {
  let term = 1;
  let series = 1 / a;
  for (let k = 1; k < 60; k++) {
    term *= ((k - b) / k) * x;
    const added = term / (a + k);
    series += added;
    if (Math.abs(added) < 1e-17 * series) break;
  }
  return exp(a * log(x) - betaln(a, b)) * series;
}
