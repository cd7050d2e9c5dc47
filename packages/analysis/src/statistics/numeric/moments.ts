import { sum } from "./sum";

/** Mean with a second pass that removes what rounding left over. `values` holds at least one number. */
export function meanOf(values: ArrayLike<number>): number {
  const n = values.length;
  const first = sum(values) / n;
  let rest = 0;
  for (let i = 0; i < n; i++) rest += (values[i] as number) - first;
  return first + rest / n;
}

/**
 * Sum of squared deviations from the mean by the corrected two-pass method (Chan, Golub & LeVeque 1983, American
 * Statistician 37:242-247, equation 1.7).
 */
export function sumOfSquares(values: ArrayLike<number>, mean: number = meanOf(values)): number {
  let squares = 0;
  let rest = 0;
  for (let i = 0; i < values.length; i++) {
    const deviation = (values[i] as number) - mean;
    squares += deviation * deviation;
    rest += deviation;
  }
  return values.length === 0 ? 0 : squares - (rest * rest) / values.length;
}

/** Sample variance with n - 1. `values` holds at least two numbers. */
export function varianceOf(values: ArrayLike<number>, mean: number = meanOf(values)): number {
  return Math.max(0, sumOfSquares(values, mean)) / (values.length - 1);
}

/** Sum of products of the deviations of two parallel arrays from their means. */
export function sumOfProducts(
  x: ArrayLike<number>,
  y: ArrayLike<number>,
  meanX = meanOf(x),
  meanY = meanOf(y),
): number {
  let products = 0;
  let restX = 0;
  let restY = 0;
  for (let i = 0; i < x.length; i++) {
    const dx = (x[i] as number) - meanX;
    const dy = (y[i] as number) - meanY;
    products += dx * dy;
    restX += dx;
    restY += dy;
  }
  return x.length === 0 ? 0 : products - (restX * restY) / x.length;
}
