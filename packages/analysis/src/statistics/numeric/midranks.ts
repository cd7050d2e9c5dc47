export interface Midranks {
  /** Rank of each value, 1 for the smallest; equal values share the mean of their ranks. */
  readonly ranks: Float64Array;
  /** Sizes of the groups of equal values that hold more than one. */
  readonly ties: readonly number[];
}

/** Ranks with ties at their mean rank. */
export function midranks(values: ArrayLike<number>): Midranks {
  const n = values.length;
  const order = Array.from({ length: n }, (_, i) => i).sort(
    (a, b) => (values[a] as number) - (values[b] as number),
  );
  const ranks = new Float64Array(n);
  const ties: number[] = [];
  for (let start = 0; start < n; ) {
    let end = start + 1;
    while (end < n && values[order[end] as number] === values[order[start] as number]) end++;
    const rank = (start + 1 + end) / 2;
    for (let i = start; i < end; i++) ranks[order[i] as number] = rank;
    if (end - start > 1) ties.push(end - start);
    start = end;
  }
  return { ranks, ties };
}

/** Sum of t^3 - t over the groups of ties, by which ties shrink the variance of rank statistics. */
export function tieTerm(ties: readonly number[]): number {
  return ties.reduce((total, size) => total + (size * size * size - size), 0);
}
