import { cholesky, choleskySolve } from "../numeric/small-matrix";
import { type CriterionValue, type CrossProducts, criterionAt } from "./criterion";
import { type CriterionFit, type FreeEntries, factorOf, gradientOf } from "./fit-criterion";

/** Turns a contrast of the fixed effects into its variance and Satterthwaite degrees of freedom. */
export type ContrastVariance = (contrast: ArrayLike<number>) => {
  readonly variance: number;
  /** Null where the covariance parameters have no estimated covariance: at the edge of their range. */
  readonly degreesOfFreedom: number | null;
};

/**
 * Satterthwaite 1946 (Biometrics Bulletin 2:110-114) for linear mixed models (Giesbrecht & Burns 1985, Biometrics
 * 41:477-486): twice the squared variance of the contrast over the variance of that variance, which comes from the
 * second derivatives of the criterion in the covariance parameters and the logarithm of the residual variance.
 */
export function contrastVariance(
  data: CrossProducts,
  free: FreeEntries,
  restricted: boolean,
  fit: CriterionFit,
  singular: boolean,
): ContrastVariance {
  const { q, p, volunteers } = data;
  const { at } = fit;
  const degrees = restricted ? data.rows - p : data.rows;
  const variance = at.residual / degrees;
  const factor = factorOf(fit.parameters, free, q);
  const lower = singular ? null : informationFactor(data, free, restricted, fit, variance, degrees);
  return (contrast) => {
    const weights = new Float64Array(p);
    for (let j = 0; j < p; j++) {
      for (let k = 0; k < p; k++) {
        weights[j] = (weights[j] as number) + (at.inverse[j * p + k] as number) * (contrast[k] as number);
      }
    }
    const relative = weights.reduce((total, weight, j) => total + weight * (contrast[j] as number), 0);
    const own = variance * relative;
    if (lower === null) return { variance: own, degreesOfFreedom: null };
    const outer = new Float64Array(q * q);
    const part = new Float64Array(q);
    for (let g = 0; g < volunteers; g++) {
      for (let a = 0; a < q; a++) {
        let value = 0;
        for (let j = 0; j < p; j++)
          value += (at.weightedZx[(g * q + a) * p + j] as number) * (weights[j] as number);
        part[a] = value;
      }
      for (let a = 0; a < q; a++) {
        for (let b = 0; b < q; b++) {
          outer[a * q + b] = (outer[a * q + b] as number) + (part[a] as number) * (part[b] as number);
        }
      }
    }
    const count = free.length;
    const slopes = new Float64Array(count + 1);
    free.forEach(([row, column], i) => {
      for (let k = 0; k < q; k++) {
        slopes[i] =
          (slopes[i] as number) +
          2 * variance * (outer[row * q + k] as number) * (factor[k * q + column] as number);
      }
    });
    slopes[count] = own;
    const solved = choleskySolve(lower, count + 1, slopes);
    const spread = 2 * slopes.reduce((total, slope, i) => total + slope * (solved[i] as number), 0);
    return { variance: own, degreesOfFreedom: (2 * own * own) / spread };
  };
}

/** Cholesky factor of the second derivatives of the criterion; null unless they are positive definite. */
function informationFactor(
  data: CrossProducts,
  free: FreeEntries,
  restricted: boolean,
  { parameters, at }: CriterionFit,
  variance: number,
  degrees: number,
): Float64Array | null {
  const { q } = data;
  const count = free.length;
  const order = count + 1;
  const information = new Float64Array(order * order);
  const slope = (moved: Float64Array): Float64Array | null => {
    const factor = factorOf(moved, free, q);
    const there: CriterionValue | null = criterionAt(data, factor, restricted);
    return there && gradientOf(there, 1 / variance, factor, free, q);
  };
  for (let j = 0; j < count; j++) {
    const step = 1e-3 * Math.max(0.01, Math.abs(parameters[j] as number));
    const at = (multiple: number) =>
      slope(parameters.map((value, i) => (i === j ? value + multiple * step : value)));
    const [before2, before, after, after2] = [at(-2), at(-1), at(1), at(2)];
    if (!before2 || !before || !after || !after2) return null;
    // Central difference of fourth order.
    for (let i = 0; i < count; i++) {
      information[i * order + j] =
        (8 * ((after[i] as number) - (before[i] as number)) -
          ((after2[i] as number) - (before2[i] as number))) /
        (12 * step);
    }
  }
  const factor = factorOf(parameters, free, q);
  free.forEach(([row, column], i) => {
    let mixed = 0;
    for (let k = 0; k < q; k++) {
      mixed += (2 / variance) * (at.scoreSquares[row * q + k] as number) * (factor[k * q + column] as number);
    }
    information[i * order + count] = mixed;
    information[count * order + i] = mixed;
  });
  information[count * order + count] = degrees;
  for (let i = 0; i < count; i++) {
    for (let j = 0; j < i; j++) {
      const mean = ((information[i * order + j] as number) + (information[j * order + i] as number)) / 2;
      information[i * order + j] = mean;
      information[j * order + i] = mean;
    }
  }
  return cholesky(information, order);
}
