import gammainc from "@stdlib/math-base-special-gammainc";
import { exp, log1p } from "../../elementary";

/** Above this shape the library is wrong near its median (by 4e-4 at shape 5000), and the sums below are used. */
const LARGE_SHAPE = 150;

/** P(X < x) for the gamma distribution with unit scale. */
export function gammaLowerTail(x: number, shape: number): number {
  if (Number.isNaN(x)) return Number.NaN;
  if (x <= 0) return 0;
  if (x === Number.POSITIVE_INFINITY) return 1;
  if (shape <= LARGE_SHAPE) return gammainc(x, shape, true, false);
  return x < shape ? lowerSeries(x, shape) : 1 - upperFraction(x, shape);
}

/** P(X > x) for the gamma distribution with unit scale. */
export function gammaUpperTail(x: number, shape: number): number {
  if (Number.isNaN(x)) return Number.NaN;
  if (x <= 0) return 1;
  if (x === Number.POSITIVE_INFINITY) return 0;
  if (shape <= LARGE_SHAPE) return gammainc(x, shape, true, true);
  return x < shape ? 1 - lowerSeries(x, shape) : upperFraction(x, shape);
}

/** NIST DLMF 8.7.1: sum of x^k / (shape + 1)_k. */
function lowerSeries(x: number, shape: number): number {
  let term = 1;
  let series = 1;
  for (let k = 1; term > 1e-17 * series; k++) {
    term *= x / (shape + k);
    series += term;
  }
  return density(x, shape) * (x / shape) * series;
}

/** NIST DLMF 8.9.2, evaluated by Lentz's method. */
function upperFraction(x: number, shape: number): number {
  let b = x + 1 - shape;
  let c = 1e300;
  let d = 1 / b;
  let fraction = d;
  for (let k = 1; k < 1e6; k++) {
    const a = k * (shape - k);
    b += 2;
    d = 1 / (a * d + b);
    c = b + a / c;
    const factor = c * d;
    fraction *= factor;
    if (Math.abs(factor - 1) < 1e-16) break;
  }
  return density(x, shape) * x * fraction;
}

/** x^(shape-1) e^-x / Gamma(shape), arranged around x = shape so that a large shape costs no digits. */
function density(x: number, shape: number): number {
  const inverse = 1 / shape;
  // Stirling's series (NIST DLMF 5.11.1).
  const correction = inverse * (1 / 12 - inverse * inverse * (1 / 360 - (inverse * inverse) / 1260));
  const exponent = shape * logMinusDeviation((x - shape) / shape) - correction;
  return (exp(exponent) * Math.sqrt(shape / (2 * Math.PI))) / x;
}

/** log(1 + u) - u without cancellation for small u. */
function logMinusDeviation(u: number): number {
  if (Math.abs(u) > 0.2) return log1p(u) - u;
  // log(1 + u) = 2 artanh(r) with r = u / (2 + u), and u = 2 r + u r.
  const r = u / (2 + u);
  const square = r * r;
  let power = r * square;
  let series = 0;
  for (let k = 3; Math.abs(power) > 1e-18 * Math.abs(series); k += 2) {
    series += power / k;
    power *= square;
    if (power === 0) break;
  }
  return 2 * series - u * r;
}
