/**
 * Lower end of the set of shifts that an exact test does not reject at `outside`, and the probability actually left out.
 * @param candidates all values at which the p value can change, ascending, repeated as often as they occur
 * @param upperTailAt probability of a statistic at least as large as observed under a shift; grows with the shift
 */
export function exactShiftEnd(
  candidates: Float64Array,
  upperTailAt: (shift: number) => number,
  outside: number,
): { readonly end: number; readonly outside: number } {
  const allowed = outside + 10 * Number.EPSILON;
  const steps = candidates.filter((value, i) => i === 0 || value !== candidates[i - 1]);
  let reached = upperTailAt((steps[0] as number) - 1);
  if (reached > allowed) return { end: Number.NEGATIVE_INFINITY, outside: 0 };
  // Halve to the first gap between neighbours in which the test does not reject.
  let rejected = 0;
  let accepted = steps.length;
  while (accepted - rejected > 1) {
    const middle = (rejected + accepted) >> 1;
    const tail = upperTailAt(((steps[middle - 1] as number) + (steps[middle] as number)) / 2);
    if (tail > allowed) accepted = middle;
    else {
      rejected = middle;
      reached = tail;
    }
  }
  const end = steps[accepted - 1] as number;
  // A candidate that occurs more than once is a step of its own, on which ties have their own p value.
  if (candidates.indexOf(end) !== candidates.lastIndexOf(end)) {
    const tail = upperTailAt(end);
    if (tail <= allowed) reached = tail;
  }
  return { end, outside: reached };
}

/**
 * The same where no values are tied: the end is the candidate of the critical rank, and what is left out follows from the
 * distribution without ties, also where several candidates happen to be equal (the rule of R 4.6).
 * @param candidates all of them, ascending
 * @param atMost probability of a statistic of at most so much
 */
export function untiedShiftEnd(
  candidates: Float64Array,
  atMost: (statistic: number) => number,
  outside: number,
): { readonly end: number; readonly outside: number } {
  const allowed = outside + 10 * Number.EPSILON;
  if (atMost(0) > allowed) return { end: Number.NEGATIVE_INFINITY, outside: 0 };
  let rejected = 0;
  let accepted = candidates.length;
  while (accepted - rejected > 1) {
    const middle = (rejected + accepted) >> 1;
    if (atMost(middle) > allowed) accepted = middle;
    else rejected = middle;
  }
  return { end: candidates[accepted - 1] as number, outside: atMost(rejected) };
}
