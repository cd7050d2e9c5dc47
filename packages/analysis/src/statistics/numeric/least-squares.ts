import { log, square } from "../../elementary";
export interface LeastSquares {
  readonly coefficients: Float64Array;
  readonly fitted: Float64Array;
  readonly residuals: Float64Array;
  readonly residualSumOfSquares: number;
  /** (X'X)^-1, row by row. */
  readonly inverse: Float64Array;
  /** Logarithm of the determinant of X'X. */
  readonly logDeterminant: number;
}

/** Why there is no solution: the column that the columns before it already determine. */
export interface Deficient {
  readonly deficientColumn: number;
}

/**
 * Least squares by Householder reflections on columns scaled to length one (Golub & Van Loan 2013, Matrix Computations,
 * 5.3), with two steps of refinement whose residuals are formed in doubled precision (Bjoerck 1967, BIT 7:257-278), so
 * that nearly collinear columns keep their digits.
 * @param columns the columns of X, at least one, none longer than y
 */
export function leastSquares(
  columns: readonly Float64Array[],
  y: ArrayLike<number>,
): LeastSquares | Deficient {
  const n = y.length;
  const p = columns.length;
  const scales = columns.map((column) =>
    Math.sqrt(column.reduce((total, value) => total + value * value, 0)),
  );
  const empty = scales.findIndex((scale) => !(scale > 0));
  if (empty >= 0) return { deficientColumn: empty };
  const work = columns.map((column, j) => column.map((value) => value / (scales[j] as number)));
  const diagonal = new Float64Array(p);
  for (let j = 0; j < p; j++) {
    const column = work[j] as Float64Array;
    let norm = 0;
    for (let i = j; i < n; i++) norm += square(column[i] as number);
    norm = Math.sqrt(norm);
    if (!(norm > 1e-9)) return { deficientColumn: j };
    const head = column[j] as number;
    const pivot = head > 0 ? -norm : norm;
    // The reflection is kept in the column, scaled so that its product with itself is 2 |pivot| times its head.
    column[j] = head - pivot;
    diagonal[j] = pivot;
    for (let k = j + 1; k < p; k++) reflect(column, j, pivot, work[k] as Float64Array);
  }
  const solve = (target: ArrayLike<number>): Float64Array => {
    const rotated = Float64Array.from(target);
    for (let j = 0; j < p; j++) reflect(work[j] as Float64Array, j, diagonal[j] as number, rotated);
    for (let j = p - 1; j >= 0; j--) {
      let value = rotated[j] as number;
      for (let k = j + 1; k < p; k++)
        value -= ((work[k] as Float64Array)[j] as number) * (rotated[k] as number);
      rotated[j] = value / (diagonal[j] as number);
    }
    return rotated.slice(0, p).map((value, j) => value / (scales[j] as number));
  };
  const coefficients = solve(y);
  let residuals = residualsOf(columns, coefficients, y);
  for (let step = 0; step < 2; step++) {
    const change = solve(residuals);
    change.forEach((value, j) => {
      coefficients[j] = (coefficients[j] as number) + value;
    });
    residuals = residualsOf(columns, coefficients, y);
  }
  return {
    coefficients,
    fitted: residuals.map((residual, i) => (y[i] as number) - residual),
    residuals,
    residualSumOfSquares: residuals.reduce((total, residual) => total + residual * residual, 0),
    inverse: invertedCrossProduct(work, diagonal, scales),
    logDeterminant: diagonal.reduce(
      (total, pivot, j) => total + 2 * log(Math.abs(pivot) * (scales[j] as number)),
      0,
    ),
  };
}

/** Applies the reflection that is kept in a column from row j on. */
function reflect(column: Float64Array, j: number, pivot: number, target: Float64Array): void {
  let product = 0;
  for (let i = j; i < target.length; i++) product += (column[i] as number) * (target[i] as number);
  const factor = product / (pivot * (column[j] as number));
  for (let i = j; i < target.length; i++) target[i] = (target[i] as number) + factor * (column[i] as number);
}

function invertedCrossProduct(
  work: readonly Float64Array[],
  diagonal: Float64Array,
  scales: readonly number[],
): Float64Array {
  const p = diagonal.length;
  // Rows of R^-1, then (X'X)^-1 = R^-1 R^-T.
  const inverseR = new Float64Array(p * p);
  for (let column = 0; column < p; column++) {
    for (let row = column; row >= 0; row--) {
      let value = row === column ? 1 : 0;
      for (let k = row + 1; k <= column; k++) {
        value -= ((work[k] as Float64Array)[row] as number) * (inverseR[k * p + column] as number);
      }
      inverseR[row * p + column] = value / (diagonal[row] as number);
    }
  }
  const inverse = new Float64Array(p * p);
  for (let a = 0; a < p; a++) {
    for (let b = 0; b < p; b++) {
      let value = 0;
      for (let k = Math.max(a, b); k < p; k++) {
        value += (inverseR[a * p + k] as number) * (inverseR[b * p + k] as number);
      }
      inverse[a * p + b] = value / ((scales[a] as number) * (scales[b] as number));
    }
  }
  return inverse;
}

/** y - X b with products and sums carried in doubled precision (Dekker 1971, Numerische Mathematik 18:224-242). */
function residualsOf(
  columns: readonly Float64Array[],
  coefficients: Float64Array,
  y: ArrayLike<number>,
): Float64Array {
  const residuals = new Float64Array(y.length);
  for (let i = 0; i < y.length; i++) {
    let high = y[i] as number;
    let low = 0;
    for (let j = 0; j < columns.length; j++) {
      const a = -(coefficients[j] as number);
      const b = (columns[j] as Float64Array)[i] as number;
      const product = a * b;
      const splitA = 134217729 * a;
      const topA = splitA - (splitA - a);
      const splitB = 134217729 * b;
      const topB = splitB - (splitB - b);
      const error = (a - topA) * (b - topB) - (product - topA * topB - (a - topA) * topB - topA * (b - topB));
      const next = high + product;
      const back = next - high;
      low += high - (next - back) + (product - back) + error;
      high = next;
    }
    residuals[i] = high + low;
  }
  return residuals;
}
