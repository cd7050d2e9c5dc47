import { exp, log, square } from "../../elementary";
import { chiSquaredUpperTail } from "../distributions/chi-squared";

export interface Mauchly {
  readonly statistic: number;
  readonly degreesOfFreedom: number;
  readonly p: number;
}

export interface Sphericity {
  /** Greenhouse & Geisser 1959 (Psychometrika 24:95-112). */
  readonly greenhouseGeisser: number;
  /** Huynh & Feldt 1976, in the form of Lecoutre 1991 for groups; may exceed 1, and counts as 1 when it does. */
  readonly huynhFeldt: number;
  readonly lowerBound: number;
  /** Mauchly 1940's test that no correction is needed; null when volunteers are too few for it. */
  readonly mauchly: Mauchly | null;
}

/**
 * How far the error covariance of orthonormal contrasts departs from sphericity.
 * @param cross cross products of the residuals of the contrasts, row by row
 * @param d number of contrasts
 * @param df degrees of freedom of the residuals
 */
export function sphericityOf(cross: Float64Array, d: number, df: number): Sphericity {
  let trace = 0;
  let squares = 0;
  for (let a = 0; a < d; a++) {
    trace += cross[a * d + a] as number;
    for (let b = 0; b < d; b++) squares += square(cross[a * d + b] as number);
  }
  const greenhouseGeisser = (trace * trace) / (d * squares);
  return {
    greenhouseGeisser,
    huynhFeldt: ((df + 1) * d * greenhouseGeisser - 2) / (d * (df - d * greenhouseGeisser)),
    lowerBound: 1 / d,
    mauchly: df >= d ? mauchly(cross, trace, d, df) : null,
  };
}

/** Mauchly's test with the second-order approximation of its distribution (Anderson 2003, section 10.7.4). */
function mauchly(cross: Float64Array, trace: number, d: number, df: number): Mauchly | null {
  const logDeterminant = logDeterminantOf(cross, d);
  if (logDeterminant === null) return null;
  const logW = logDeterminant - d * log(trace / d);
  const rho = 1 - (2 * d * d + d + 2) / (6 * d * df);
  const weight =
    ((d + 2) * (d - 1) * (d - 2) * (2 * d * d * d + 6 * d * d + 3 * d + 2)) / (288 * square(df * d * rho));
  const z = -df * rho * logW;
  const f = (d * (d + 1)) / 2 - 1;
  const first = chiSquaredUpperTail(z, f);
  const p = first + weight * (chiSquaredUpperTail(z, f + 4) - first);
  return { statistic: exp(logW), degreesOfFreedom: f, p: Math.min(1, Math.max(0, p)) };
}

/** By Cholesky's method; null unless positive definite. */
function logDeterminantOf(matrix: Float64Array, d: number): number | null {
  const lower = Float64Array.from(matrix);
  let total = 0;
  for (let j = 0; j < d; j++) {
    let pivot = lower[j * d + j] as number;
    const before = pivot;
    for (let k = 0; k < j; k++) pivot -= square(lower[j * d + k] as number);
    if (!(pivot > 1e-14 * before)) return null;
    const root = Math.sqrt(pivot);
    lower[j * d + j] = root;
    total += log(pivot);
    for (let i = j + 1; i < d; i++) {
      let value = lower[i * d + j] as number;
      for (let k = 0; k < j; k++) value -= (lower[i * d + k] as number) * (lower[j * d + k] as number);
      lower[i * d + j] = value / root;
    }
  }
  return total;
}
