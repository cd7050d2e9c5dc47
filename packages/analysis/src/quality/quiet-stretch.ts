import { quantileOfSorted } from "../statistics/numeric/quantile";

/** Over this many seconds the regions' changes are compared. */
const lookBackS = 120;
/** Regions whose changes over it scatter by more than this (standard deviation by the 10th and 90th percentile) answer to something. */
const quietScatterC = 0.2;

/**
 * Until when, in s from the start, all regions keep quiet: nobody has to say when exercise began for its beginning to be seen,
 * because regions answer to it differently. Up to the moment before their changes over two minutes first scatter by more than 0.2 °C
 * (common practice); the whole length where they never do.
 *
 * @param smoothed courses of at least three regions in bins of `binS` from the start
 */
export function quietUntil(smoothed: readonly Float64Array[], binS: number): number {
  const length = smoothed[0]?.length ?? 0;
  const back = Math.round(lookBackS / binS);
  for (let i = back; i < length; i++) {
    const changes = smoothed
      .map((values) => (values[i] as number) - (values[i - back] as number))
      .filter((change) => Number.isFinite(change))
      .sort((a, b) => a - b);
    if (changes.length < 3) continue;
    const scatter = (quantileOfSorted(changes, 0.9) - quantileOfSorted(changes, 0.1)) / 2.563;
    if (scatter > quietScatterC) return (i - back) * binS;
  }
  return length * binS;
}
