/**
 * Quantile of ascending values by linear interpolation of order statistics, type 7 of Hyndman & Fan 1996 (American
 * Statistician 50:361-365), the default of R. `sorted` holds at least one number, `share` lies in [0, 1].
 */
export function quantileOfSorted(sorted: ArrayLike<number>, share: number): number {
  const position = (sorted.length - 1) * share;
  // The fuzz of R: a position that is whole but for rounding takes the order statistic itself.
  const fuzz = 4 * Number.EPSILON;
  const below = Math.floor(position + fuzz);
  const fraction = position - below;
  const low = sorted[below] as number;
  if (Math.abs(fraction) < fuzz || below + 1 >= sorted.length) return low;
  const high = sorted[below + 1] as number;
  return low === high ? low : (1 - fraction) * low + fraction * high;
}
