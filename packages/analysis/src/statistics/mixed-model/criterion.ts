import { log, square } from "../../elementary";
import { cholesky, choleskyInverse, choleskyLogDeterminant, choleskySolve } from "../numeric/small-matrix";

/** All that the likelihood needs of the data: cross products of each volunteer's rows. */
export interface CrossProducts {
  /** Random effects per volunteer: 1 (intercept) or 2 (intercept and slope). */
  readonly q: number;
  /** Fixed effects. */
  readonly p: number;
  readonly volunteers: number;
  readonly rows: number;
  /** Z'Z, Z'X and Z'y of each volunteer, one after the other, row by row. */
  readonly zz: Float64Array;
  readonly zx: Float64Array;
  readonly zy: Float64Array;
  readonly xx: Float64Array;
  readonly xy: Float64Array;
  readonly yy: number;
}

export interface CriterionValue {
  /** -2 log likelihood (restricted for REML) up to a constant, the residual variance at its best. */
  readonly value: number;
  /** Generalised residual sum of squares. */
  readonly residual: number;
  readonly coefficients: Float64Array;
  /** (X'V^-1 X)^-1, V relative to the residual variance. */
  readonly inverse: Float64Array;
  /** Sum over volunteers of Z'V^-1 Z, less its part that goes with X for REML. */
  readonly spread: Float64Array;
  /** Sum over volunteers of the outer products of `scores`. */
  readonly scoreSquares: Float64Array;
  /** Z'V^-1 (y - X b) of each volunteer. */
  readonly scores: Float64Array;
  /** Z'V^-1 X of each volunteer, row by row. */
  readonly weightedZx: Float64Array;
}

/**
 * Profiled criterion of a linear mixed model and what its derivatives are made of (Bates, Maechler, Bolker & Walker 2015,
 * Journal of Statistical Software 67(1), section 3; derivatives from the same expressions). `factor` is the lower Cholesky
 * factor of the covariance of the random effects relative to the residual variance.
 */
export function criterionAt(
  data: CrossProducts,
  factor: Float64Array,
  restricted: boolean,
): CriterionValue | null {
  const { q, p, volunteers } = data;
  const information = Float64Array.from(data.xx);
  const right = Float64Array.from(data.xy);
  let squares = data.yy;
  let logDeterminant = 0;
  const spread = new Float64Array(q * q);
  const weightedZx = new Float64Array(volunteers * q * p);
  const weightedZy = new Float64Array(volunteers * q);
  const projection = new Float64Array(q * q);
  for (let g = 0; g < volunteers; g++) {
    const zz = g * q * q;
    const zx = g * q * p;
    const zy = g * q;
    // P = (I + Z'Z D)^-1 turns Z'a into Z'V^-1 a; its determinant is that of V inverted.
    const determinant = project(data.zz, zz, factor, q, projection);
    if (!(determinant > 0)) return null;
    logDeterminant += log(determinant);
    for (let a = 0; a < q; a++) {
      let own = 0;
      for (let b = 0; b < q; b++) own += (projection[a * q + b] as number) * (data.zy[zy + b] as number);
      weightedZy[zy + a] = own;
      for (let j = 0; j < p; j++) {
        let value = 0;
        for (let b = 0; b < q; b++)
          value += (projection[a * q + b] as number) * (data.zx[zx + b * p + j] as number);
        weightedZx[zx + a * p + j] = value;
      }
      for (let b = 0; b < q; b++) {
        let value = 0;
        for (let c = 0; c < q; c++)
          value += (projection[a * q + c] as number) * (data.zz[zz + c * q + b] as number);
        spread[a * q + b] = (spread[a * q + b] as number) + value;
      }
    }
    // X'V^-1 X = X'X - (Z'X)' D Z'V^-1 X, and likewise for y.
    for (let a = 0; a < q; a++) {
      for (let b = 0; b < q; b++) {
        let d = 0;
        for (let c = 0; c <= Math.min(a, b); c++)
          d += (factor[a * q + c] as number) * (factor[b * q + c] as number);
        if (d === 0) continue;
        const dy = d * (weightedZy[zy + b] as number);
        squares -= (data.zy[zy + a] as number) * dy;
        for (let j = 0; j < p; j++) {
          const left = data.zx[zx + a * p + j] as number;
          right[j] = (right[j] as number) - left * dy;
          const scaled = left * d;
          for (let k = 0; k <= j; k++) {
            information[j * p + k] =
              (information[j * p + k] as number) - scaled * (weightedZx[zx + b * p + k] as number);
          }
        }
      }
    }
  }
  const lower = cholesky(information, p);
  if (lower === null) return null;
  const coefficients = choleskySolve(lower, p, right);
  const residual =
    squares - coefficients.reduce((total, value, j) => total + value * (right[j] as number), 0);
  if (!(residual > 0)) return null;
  const inverse = choleskyInverse(lower, p);
  const scores = new Float64Array(volunteers * q);
  const scoreSquares = new Float64Array(q * q);
  for (let g = 0; g < volunteers; g++) {
    for (let a = 0; a < q; a++) {
      let score = weightedZy[g * q + a] as number;
      for (let j = 0; j < p; j++)
        score -= (weightedZx[(g * q + a) * p + j] as number) * (coefficients[j] as number);
      scores[g * q + a] = score;
    }
    for (let a = 0; a < q; a++) {
      for (let b = 0; b < q; b++) {
        scoreSquares[a * q + b] =
          (scoreSquares[a * q + b] as number) + (scores[g * q + a] as number) * (scores[g * q + b] as number);
        if (!restricted) continue;
        let shared = 0;
        for (let j = 0; j < p; j++) {
          const left = weightedZx[(g * q + a) * p + j] as number;
          for (let k = 0; k < p; k++) {
            shared += left * (inverse[j * p + k] as number) * (weightedZx[(g * q + b) * p + k] as number);
          }
        }
        spread[a * q + b] = (spread[a * q + b] as number) - shared;
      }
    }
  }
  const degrees = restricted ? data.rows - p : data.rows;
  return {
    value: degrees * log(residual) + logDeterminant + (restricted ? choleskyLogDeterminant(lower, p) : 0),
    residual,
    coefficients,
    inverse,
    spread,
    scoreSquares,
    scores,
    weightedZx,
  };
}

/** Writes (I + K L L')^-1 for one volunteer's K = Z'Z and returns the determinant of I + K L L'. */
function project(zz: Float64Array, at: number, factor: Float64Array, q: number, out: Float64Array): number {
  if (q === 1) {
    const scale = 1 + (zz[at] as number) * square(factor[0] as number);
    out[0] = 1 / scale;
    return scale;
  }
  const [k11, k12, k22] = [zz[at] as number, zz[at + 1] as number, zz[at + 3] as number];
  const [l11, l21, l22] = [factor[0] as number, factor[2] as number, factor[3] as number];
  // M = I + L'KL is symmetric; (I + K L L')^-1 = I - K L M^-1 L'.
  const kl11 = k11 * l11 + k12 * l21;
  const kl12 = k12 * l22;
  const kl21 = k12 * l11 + k22 * l21;
  const kl22 = k22 * l22;
  const m11 = 1 + l11 * kl11 + l21 * kl21;
  const m12 = l11 * kl12 + l21 * kl22;
  const m22 = 1 + l22 * kl22;
  const determinant = m11 * m22 - m12 * m12;
  const i11 = m22 / determinant;
  const i12 = -m12 / determinant;
  const i22 = m11 / determinant;
  // N = M^-1 L'
  const n11 = i11 * l11;
  const n12 = i11 * l21 + i12 * l22;
  const n21 = i12 * l11;
  const n22 = i12 * l21 + i22 * l22;
  out[0] = 1 - (kl11 * n11 + kl12 * n21);
  out[1] = -(kl11 * n12 + kl12 * n22);
  out[2] = -(kl21 * n11 + kl22 * n21);
  out[3] = 1 - (kl21 * n12 + kl22 * n22);
  return determinant;
}
