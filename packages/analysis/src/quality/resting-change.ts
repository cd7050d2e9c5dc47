import { square } from "../elementary";
import { cholesky, choleskySolve } from "../statistics/numeric/small-matrix";
import { median } from "./robust";

/** Slope, bend and second bend: how a course over rest is summed up. */
export const bends = 3;

export interface RestingChange {
  /** Coefficients of the Legendre polynomials 1 to 3 over rest, common to the regions, °C. */
  readonly mean: Float64Array;
  /** Their covariance, row by row, °C². */
  readonly covariance: Float64Array;
  readonly regions: number;
  /** Share of regions that change from the beginning to the end of rest in the common direction. */
  readonly agreement: number;
}

/**
 * Spread of a region's own resting coefficients that is assumed beside what the regions themselves show, °C, weighing as much
 * as two regions: three regions that happen to agree are no proof. Common practice.
 */
const assumedSpreadC = [0.1, 0.04, 0.03] as const;
const assumedWeight = 2;

/** Freedom of the t distribution by which regions that go their own way lose weight. */
const freedom = 4;

/**
 * Covariance of the estimated mean over scatter, where the regions' coefficients are normal: E[w²d²]/p over the square of
 * E[w − 2(ν + p)d²/(p(ν + d²)²)], for ν = 4 and p = 3, worked out by drawing χ² with 3 degrees of freedom two million times.
 */
const covarianceFactor = 1.496;

/** Legendre polynomials 0 to 3 at x within −1 to 1. */
export function legendre(x: number): readonly [number, number, number, number] {
  return [1, x, (3 * x * x - 1) / 2, (x * (5 * x * x - 3)) / 2];
}

export interface RestingFit {
  /** Coefficients of the Legendre polynomials 1 to 3. */
  readonly coefficients: Float64Array;
  /** What the cubic leaves of each bin; NaN where there is no value. */
  readonly residuals: Float64Array;
}

/** The least-squares cubic through the first `bins` values; null where fewer than 80 % of them are there. */
export function restingFit(values: ArrayLike<number>, bins: number): RestingFit | null {
  const order = bends + 1;
  const products = new Float64Array(order * order);
  const right = new Float64Array(order);
  let reference = Number.NaN;
  let known = 0;
  for (let i = 0; i < bins; i++) {
    const value = values[i] as number;
    if (!Number.isFinite(value)) continue;
    if (known === 0) reference = value;
    known++;
    const basis = legendre((2 * (i + 0.5)) / bins - 1);
    for (let a = 0; a < order; a++) {
      right[a] = (right[a] as number) + (basis[a] as number) * (value - reference);
      for (let b = 0; b < order; b++) {
        products[a * order + b] =
          (products[a * order + b] as number) + (basis[a] as number) * (basis[b] as number);
      }
    }
  }
  if (known < 0.8 * bins) return null;
  const lower = cholesky(products, order);
  if (lower === null) return null;
  const all = choleskySolve(lower, order, right);
  const residuals = Float64Array.from({ length: bins }, (_, i) => {
    const basis = legendre((2 * (i + 0.5)) / bins - 1);
    let fitted = reference;
    for (let a = 0; a < order; a++) fitted += (all[a] as number) * (basis[a] as number);
    return (values[i] as number) - fitted;
  });
  return { coefficients: all.subarray(1), residuals };
}

/** Change from the beginning to the end of rest in °C by these coefficients. */
export function changeOverRest(coefficients: ArrayLike<number>): number {
  return 2 * ((coefficients[0] as number) + (coefficients[2] as number));
}

/**
 * What the regions' courses over rest have in common, with how well it is known from how they differ: mean and covariance of
 * their coefficients as of a multivariate t distribution (Lange, Little & Taylor 1989, J Am Stat Assoc 84:881–896), whose
 * weights take a hand that goes its own way out. What the regions share from moment to moment (a camera that wanders) does not show
 * in how they differ: it is taken from what all of them leave of their cubics, and adds to the covariance. Null with fewer than
 * three regions.
 */
export function restingChange(courses: readonly Float64Array[], bins: number): RestingChange | null {
  const fits = courses.flatMap((values) => restingFit(values, bins) ?? []);
  const rows = fits.map(({ coefficients }) => coefficients);
  const n = rows.length;
  if (n < 3) return null;
  const mean = Float64Array.from({ length: bends }, (_, a) => median(rows.map((row) => row[a] as number)));
  let scatter = new Float64Array(bends * bends);
  for (const [a, spread] of assumedSpreadC.entries()) scatter[a * bends + a] = spread * spread;
  let total = n;
  for (let round = 0; round < 25; round++) {
    const lower = cholesky(scatter, bends);
    if (lower === null) return null;
    const weights = rows.map((row) => {
      const apart = row.map((value, a) => value - (mean[a] as number));
      const solved = choleskySolve(lower, bends, apart);
      const distance = apart.reduce((sum, value, a) => sum + value * (solved[a] as number), 0);
      return (freedom + bends) / (freedom + distance);
    });
    total = weights.reduce((sum, weight) => sum + weight, 0);
    for (let a = 0; a < bends; a++) {
      mean[a] = rows.reduce((sum, row, k) => sum + (weights[k] as number) * (row[a] as number), 0) / total;
    }
    const next = new Float64Array(bends * bends);
    for (let a = 0; a < bends; a++) {
      for (let b = 0; b < bends; b++) {
        let sum = a === b ? assumedWeight * square(assumedSpreadC[a] as number) : 0;
        for (const [k, row] of rows.entries()) {
          sum +=
            (weights[k] as number) *
            ((row[a] as number) - (mean[a] as number)) *
            ((row[b] as number) - (mean[b] as number));
        }
        next[a * bends + b] = sum / (n + assumedWeight - 1);
      }
    }
    scatter = next;
  }
  const common = Math.sign(changeOverRest(mean));
  const alike = rows.filter((row) => Math.sign(changeOverRest(row)) === common).length;
  const covariance = scatter.map((value) => (covarianceFactor * value) / total);
  const shared = sharedVariance(fits.map(({ residuals }) => residuals));
  for (let a = 0; a < bends; a++) {
    covariance[a * bends + a] = (covariance[a * bends + a] as number) + (2 * a + 3) * shared;
  }
  return { mean, covariance, regions: n, agreement: alike / n };
}

/**
 * Variance that what the regions share from bin to bin adds to a coefficient, per 2k + 1: its own variance over the number of bins,
 * times (1 + φ)/(1 − φ) because neighbours are alike (an autoregressive course of the first order).
 */
function sharedVariance(residuals: readonly Float64Array[]): number {
  const bins = residuals[0]?.length ?? 0;
  const shared = Float64Array.from({ length: bins }, (_, i) =>
    median(residuals.map((one) => one[i] as number)),
  );
  let squares = 0;
  let products = 0;
  let n = 0;
  let pairs = 0;
  for (const [i, value] of shared.entries()) {
    if (!Number.isFinite(value)) continue;
    n++;
    squares += value * value;
    const next = shared[i + 1];
    if (next === undefined || !Number.isFinite(next)) continue;
    pairs++;
    products += value * next;
  }
  if (n <= bends + 1 || pairs === 0 || squares === 0) return 0;
  // Four coefficients were fitted, which takes variance and likeness out of what they leave: n − 4, and (1 + 4φ)/n back (Kendall 1954).
  const raw = products / pairs / (squares / n);
  const likeness = Math.min(0.95, Math.max(0, raw + (1 + 4 * Math.max(0, raw)) / n));
  return ((squares / (n - bends - 1)) * (1 + likeness)) / (1 - likeness) / n;
}
