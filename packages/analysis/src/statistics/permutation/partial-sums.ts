import { GROUP } from "./subset-patterns";

/**
 * For every group of eight volunteers the 256 sums, point by point, that its choices lead to: a chosen volunteer adds
 * -`share` times its values, another `share` times. The sum of a rearrangement is then one row of each group, which is what
 * makes ten thousand rearrangements cheap.
 * @param values one array of points per volunteer
 * @param into receives group after group, choice after choice, `points` sums each
 */
export function partialSums(
  values: readonly Float64Array[],
  points: number,
  share: number,
  into: Float64Array,
): void {
  const groups = Math.ceil(values.length / GROUP);
  for (let g = 0; g < groups; g++) {
    const base = (g << GROUP) * points;
    const members = values.slice(g * GROUP, (g + 1) * GROUP);
    into.fill(0, base, base + points);
    for (const member of members) {
      for (let i = 0; i < points; i++)
        into[base + i] = (into[base + i] as number) + share * (member[i] as number);
    }
    // Each choice differs from one listed before in its highest member.
    for (let choice = 1; choice < 1 << members.length; choice++) {
      const highest = 31 - Math.clz32(choice);
      const from = base + (choice ^ (1 << highest)) * points;
      const to = base + choice * points;
      const member = members[highest] as Float64Array;
      for (let i = 0; i < points; i++) {
        into[to + i] = (into[from + i] as number) - 2 * share * (member[i] as number);
      }
    }
  }
}

/** Room for the partial sums of so many volunteers. */
export function partialSumsRoom(volunteers: number, points: number): Float64Array {
  return new Float64Array((Math.ceil(volunteers / GROUP) << GROUP) * points);
}
