/**
 * The k-th smallest of many numbers that are not listed but can be counted: halves the range between doubles until the
 * smallest one is left that at least k of them do not exceed. Gives that number exactly.
 */
export function smallestWithCount(
  countAtMost: (limit: number) => number,
  k: number,
  lowest: number,
  highest: number,
): number {
  let lower = lowest;
  let upper = highest;
  if (countAtMost(lower) >= k) return lower;
  for (;;) {
    const middle = lower + (upper - lower) / 2;
    if (middle <= lower || middle >= upper) return upper;
    if (countAtMost(middle) >= k) upper = middle;
    else lower = middle;
  }
}

/** How many Walsh averages (x[i] + x[j]) / 2, i <= j, of ascending values do not exceed a limit. */
export function walshAveragesAtMost(sorted: Float64Array, limit: number): number {
  let count = 0;
  let j = sorted.length - 1;
  for (let i = 0; i < sorted.length && i <= j; i++) {
    while (j >= i && ((sorted[i] as number) + (sorted[j] as number)) / 2 > limit) j--;
    if (j >= i) count += j - i + 1;
  }
  return count;
}

/** How many differences x[i] - y[j] of ascending values do not exceed a limit. */
export function differencesAtMost(x: Float64Array, y: Float64Array, limit: number): number {
  let count = 0;
  let j = 0;
  for (let i = 0; i < x.length; i++) {
    while (j < y.length && (x[i] as number) - (y[j] as number) > limit) j++;
    count += y.length - j;
  }
  return count;
}
