import { GROUP } from "./subset-patterns";

/**
 * For every group of eight volunteers the 256 sums, point by point, that its choices lead to: a chosen volunteer adds
 * `whenChosen` times its values, another `otherwise` times. The sum of a rearrangement is then one row of each group, which
 * is what makes ten thousand rearrangements cheap.
 * @param values one array of points per volunteer
 * @returns group after group, choice after choice, `points` sums each
 */
export function partialSums(
  values: readonly Float64Array[],
  points: number,
  whenChosen: number,
  otherwise: number,
): Float64Array {
  const groups = Math.ceil(values.length / GROUP);
  const choices = 1 << GROUP;
  const sums = new Float64Array(groups * choices * points);
  for (let g = 0; g < groups; g++) {
    const base = g * choices * points;
    const members = values.slice(g * GROUP, (g + 1) * GROUP);
    for (const member of members) {
      for (let i = 0; i < points; i++)
        sums[base + i] = (sums[base + i] as number) + otherwise * (member[i] as number);
    }
    // Each choice differs from one listed before in its highest member.
    for (let choice = 1; choice < 1 << members.length; choice++) {
      const highest = 31 - Math.clz32(choice);
      const from = base + (choice ^ (1 << highest)) * points;
      const to = base + choice * points;
      const member = members[highest] as Float64Array;
      for (let i = 0; i < points; i++) {
        sums[to + i] = (sums[from + i] as number) + (whenChosen - otherwise) * (member[i] as number);
      }
    }
  }
  return sums;
}
