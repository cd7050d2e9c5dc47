import { log, square } from "../../elementary";
/** Small dense matrices, row by row in one array. */

/** Lower Cholesky factor of a symmetric matrix of order n, or null unless positive definite. */
export function cholesky(matrix: ArrayLike<number>, n: number): Float64Array | null {
  const lower = new Float64Array(n * n);
  for (let j = 0; j < n; j++) {
    let pivot = matrix[j * n + j] as number;
    for (let k = 0; k < j; k++) pivot -= square(lower[j * n + k] as number);
    if (!(pivot > 0)) return null;
    const root = Math.sqrt(pivot);
    lower[j * n + j] = root;
    for (let i = j + 1; i < n; i++) {
      let value = matrix[i * n + j] as number;
      for (let k = 0; k < j; k++) value -= (lower[i * n + k] as number) * (lower[j * n + k] as number);
      lower[i * n + j] = value / root;
    }
  }
  return lower;
}

/** Solves L L' x = b for the lower factor L. */
export function choleskySolve(lower: ArrayLike<number>, n: number, b: ArrayLike<number>): Float64Array {
  const x = Float64Array.from(b);
  for (let i = 0; i < n; i++) {
    let value = x[i] as number;
    for (let k = 0; k < i; k++) value -= (lower[i * n + k] as number) * (x[k] as number);
    x[i] = value / (lower[i * n + i] as number);
  }
  for (let i = n - 1; i >= 0; i--) {
    let value = x[i] as number;
    for (let k = i + 1; k < n; k++) value -= (lower[k * n + i] as number) * (x[k] as number);
    x[i] = value / (lower[i * n + i] as number);
  }
  return x;
}

/** Inverse of L L'. */
export function choleskyInverse(lower: ArrayLike<number>, n: number): Float64Array {
  const inverse = new Float64Array(n * n);
  const unit = new Float64Array(n);
  for (let j = 0; j < n; j++) {
    unit.fill(0);
    unit[j] = 1;
    const column = choleskySolve(lower, n, unit);
    for (let i = 0; i < n; i++) inverse[i * n + j] = column[i] as number;
  }
  return inverse;
}

/** Logarithm of the determinant of L L'. */
export function choleskyLogDeterminant(lower: ArrayLike<number>, n: number): number {
  let total = 0;
  for (let i = 0; i < n; i++) total += 2 * log(lower[i * n + i] as number);
  return total;
}
