import { describe } from "@acral/analysis/statistics";

/** How values over trials or volunteers are told in a sentence, and how it is told that some are not there. */

export const notRecorded = "not recorded";

/** What is summed over, and how many there are of it. */
export interface Over {
  readonly what: "trial" | "volunteer";
  readonly total: number;
}

/**
 * Mean ± standard deviation with lowest and highest value, "23.1 ± 0.2 °C (22.8 to 23.5)", and for how many nothing was
 * recorded. Where all values are the same, that value with its own digits.
 */
export function spread(values: readonly (number | null)[], unit: string, digits: number, of: Over): string {
  const there = values.filter((value) => value !== null);
  const { mean, standardDeviation, minimum, maximum } = describe(there);
  if (mean === null || minimum === null || maximum === null) return notRecorded;
  const missing = gap(values.length - there.length, of);
  const after = unit === "" || unit === "°" ? unit : ` ${unit}`;
  if (minimum === maximum || standardDeviation === null) return `${plain(minimum)}${after}${missing}`;
  const say = (value: number) => value.toFixed(digits).replace("-", "−");
  return `${say(mean)} ± ${say(standardDeviation)}${after} (${say(minimum)} to ${say(maximum)})${missing}`;
}

/** The tail of a sentence; empty when nothing is missing. */
export function gap(missing: number, { what, total: of }: Over): string {
  return missing === 0 ? "" : `, ${notRecorded} for ${missing} of ${count(of, what)}`;
}

export interface Tally {
  readonly value: string;
  readonly n: number;
}

/** How often each text occurs, the most frequent first. */
export function tally(values: readonly string[]): Tally[] {
  const counts = new Map<string, number>();
  for (const value of values) counts.set(value, (counts.get(value) ?? 0) + 1);
  return [...counts].map(([value, n]) => ({ value, n })).sort((a, b) => b.n - a.n);
}

export function total(counts: readonly Tally[]): number {
  return counts.reduce((sum, { n }) => sum + n, 0);
}

/** "1 trial", "3 trials" */
export function count(n: number, what: string): string {
  return `${n} ${what}${n === 1 ? "" : "s"}`;
}

/** A number with its own digits and a true minus. */
export function plain(value: number): string {
  return String(Number(value.toPrecision(12))).replace("-", "−");
}
