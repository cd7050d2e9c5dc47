import { cholesky, choleskySolve } from "../numeric/small-matrix";
import { type CriterionValue, type CrossProducts, criterionAt } from "./criterion";

/** Which entries of the lower factor are free: [row, column]. */
export type FreeEntries = readonly (readonly [number, number])[];

export function freeEntries(q: number, correlated: boolean): FreeEntries {
  if (q === 1) return [[0, 0]];
  return correlated
    ? [
        [0, 0],
        [1, 0],
        [1, 1],
      ]
    : [
        [0, 0],
        [1, 1],
      ];
}

export function factorOf(parameters: ArrayLike<number>, free: FreeEntries, q: number): Float64Array {
  const factor = new Float64Array(q * q);
  free.forEach(([row, column], i) => {
    factor[row * q + column] = parameters[i] as number;
  });
  return factor;
}

/**
 * Derivative of a criterion with respect to the free entries of the factor L, given its derivative G with respect to the
 * covariance L L': 2 G L. `weight` multiplies the outer products of the scores within G.
 */
export function gradientOf(
  at: CriterionValue,
  weight: number,
  factor: Float64Array,
  free: FreeEntries,
  q: number,
): Float64Array {
  return Float64Array.from(free, ([row, column]) => {
    let value = 0;
    for (let k = 0; k < q; k++) {
      const g = (at.spread[row * q + k] as number) - weight * (at.scoreSquares[row * q + k] as number);
      value += g * (factor[k * q + column] as number);
    }
    return 2 * value;
  });
}

export interface CriterionFit {
  readonly parameters: Float64Array;
  readonly at: CriterionValue;
}

/**
 * Minimises the criterion by Newton's method on its exact gradient, the second derivatives by differences, damped where
 * they do not point downhill (Levenberg 1944). Starts from several places when it ends on the edge, where a variance is nil.
 */
export function fitCriterion(
  data: CrossProducts,
  free: FreeEntries,
  restricted: boolean,
): CriterionFit | null {
  const starts = [1, 0.1, 4].map((size) =>
    Float64Array.from(free, ([row, column]) => (row === column ? size : 0)),
  );
  let best: CriterionFit | null = null;
  for (const start of starts) {
    const fit = descend(data, free, restricted, start);
    if (fit && (best === null || fit.at.value < best.at.value - 1e-9)) best = fit;
    const onEdge =
      best === null ||
      free.some(([row, column], i) => row === column && Math.abs(best?.parameters[i] ?? 0) < 1e-3);
    if (!onEdge) break;
  }
  return best;
}

function descend(
  data: CrossProducts,
  free: FreeEntries,
  restricted: boolean,
  start: Float64Array,
): CriterionFit | null {
  const { q } = data;
  const count = free.length;
  const degrees = restricted ? data.rows - data.p : data.rows;
  const evaluate = (parameters: Float64Array) => criterionAt(data, factorOf(parameters, free, q), restricted);
  const slope = (parameters: Float64Array, at: CriterionValue) =>
    gradientOf(at, degrees / at.residual, factorOf(parameters, free, q), free, q);
  let parameters = start;
  let at = evaluate(parameters);
  if (at === null) return null;
  let gradient = slope(parameters, at);
  let damping = 0;
  for (let iteration = 0; iteration < 200; iteration++) {
    const curvature = new Float64Array(count * count);
    for (let j = 0; j < count; j++) {
      const step = 1e-6 * Math.max(0.1, Math.abs(parameters[j] as number));
      const moved = Float64Array.from(parameters);
      moved[j] = (moved[j] as number) + step;
      const there = evaluate(moved);
      if (there === null) return { parameters, at };
      const change = slope(moved, there);
      for (let i = 0; i < count; i++) {
        curvature[i * count + j] = ((change[i] as number) - (gradient[i] as number)) / step;
      }
    }
    const scale = Math.max(
      ...Array.from({ length: count }, (_, i) => Math.abs(curvature[i * count + i] as number)),
      1e-12,
    );
    let improved = false;
    for (let attempt = 0; attempt < 60; attempt++) {
      const damped = Float64Array.from(curvature, (_, index) => {
        const i = Math.floor(index / count);
        const j = index % count;
        const symmetric = ((curvature[i * count + j] as number) + (curvature[j * count + i] as number)) / 2;
        return i === j ? symmetric + damping * scale : symmetric;
      });
      const lower = cholesky(damped, count);
      if (lower !== null) {
        const step = choleskySolve(lower, count, gradient);
        const moved = parameters.map((value, i) => value - (step[i] as number));
        const there = evaluate(moved);
        const small = step.every(
          (value, i) => Math.abs(value) <= 1e-11 * Math.max(1, Math.abs(parameters[i] as number)),
        );
        // At the bottom the criterion no longer tells points apart; the gradient still does.
        if (there !== null && (there.value < at.value || (small && there.value <= at.value + 1e-9))) {
          parameters = moved;
          at = there;
          gradient = slope(parameters, at);
          damping = damping < 1e-6 ? 0 : damping / 10;
          improved = !small;
          break;
        }
        if (there !== null && there.value <= at.value + 1e-10 * Math.abs(at.value)) {
          const next = slope(moved, there);
          const norm = (values: Float64Array) => values.reduce((total, value) => total + value * value, 0);
          if (norm(next) < 0.25 * norm(gradient)) {
            parameters = moved;
            at = there;
            gradient = next;
            improved = true;
            break;
          }
        }
      }
      damping = damping === 0 ? 1e-3 : damping * 10;
      if (damping > 1e12) break;
    }
    if (!improved) break;
  }
  return { parameters, at };
}
