/** Median of the first `count` numbers of an array, which is sorted in place; NaN for none. */
export function medianInPlace(values: Float64Array, count: number = values.length): number {
  if (count === 0) return Number.NaN;
  const sorted = values.subarray(0, count).sort();
  const middle = count >> 1;
  const upper = sorted[middle] as number;
  return count % 2 === 1 ? upper : ((sorted[middle - 1] as number) + upper) / 2;
}

/** Median of the finite numbers; NaN for none. */
export function median(values: ArrayLike<number>): number {
  const finite = Float64Array.from(Array.from(values).filter((value) => Number.isFinite(value)));
  return medianInPlace(finite);
}

/** Median of up to `atMost` of the numbers, evenly chosen: near enough to judge a level by. NaN for none. */
export function roughMedian(values: Float64Array, atMost = 5000): number {
  const stride = Math.max(1, Math.floor(values.length / atMost));
  if (stride === 1) return median(values);
  const chosen: number[] = [];
  for (let i = 0; i < values.length; i += stride) chosen.push(values[i] as number);
  const rough = median(chosen);
  return Number.isNaN(rough) ? median(values) : rough;
}

/** 1.4826 times the median absolute deviation: the standard deviation of a normal distribution. NaN for none. */
export function robustSpread(values: ArrayLike<number>, centre: number = median(values)): number {
  return 1.4826 * median(Array.from(values, (value) => Math.abs(value - centre)));
}

/**
 * Noise of a trace, its slow course apart: 1.4826 times the median absolute difference of neighbours over √2. Up to
 * `atMost` differences, evenly chosen, are looked at.
 */
export function noiseOf(values: Float64Array, atMost = 5000): number {
  const stride = Math.max(1, Math.floor(values.length / atMost));
  const differences: number[] = [];
  for (let i = 1; i < values.length; i += stride) {
    const difference = Math.abs((values[i] as number) - (values[i - 1] as number));
    if (Number.isFinite(difference)) differences.push(difference);
  }
  return (1.4826 * median(differences)) / Math.SQRT2;
}
