import { type TimeBase, timeAt } from "../course";
import type { Finding, QualityTrace } from "./finding";

export interface ConstantRunSettings {
  /** Shortest run of one value that can be stuck, in s; default 20. */
  readonly shortestStuckS: number;
  /** Shortest run of one value that can be stuck, in samples; default 10. */
  readonly fewestStuck: number;
  /** Shortest run at the trace's extreme that can be saturated, in samples; default 5. */
  readonly fewestSaturated: number;
  /** How many times the longest run expected by chance; default 3. */
  readonly factor: number;
  /** The instrument's range in °C where it is known: values at or beyond its ends are saturated. */
  readonly rangeC: readonly [number, number] | null;
}

export const constantRunDefaults: ConstantRunSettings = {
  shortestStuckS: 20,
  fewestStuck: 10,
  fewestSaturated: 5,
  factor: 3,
  rangeC: null,
};

interface Run {
  readonly from: number;
  readonly length: number;
  readonly value: number;
}

/** Runs of one value in order; missing values end a run. */
function runsOf(values: Float64Array): Run[] {
  const runs: Run[] = [];
  let from = 0;
  for (let i = 1; i <= values.length; i++) {
    if (i < values.length && values[i] === values[from]) continue;
    if (Number.isFinite(values[from])) runs.push({ from, length: i - from, value: values[from] as number });
    from = i;
  }
  return runs;
}

/**
 * The longest run of one value that chance explains: with a share p of equal neighbours among n, runs of about
 * log n / −log p occur. Coarse resolution has a large p, so that a slow trace in steps of 0.1 °C is not called stuck. The
 * longest run itself is left out of p, so that it does not excuse itself.
 */
function longestByChance(runs: readonly Run[]): number {
  const longest = Math.max(...runs.map(({ length }) => length));
  let skipped = false;
  let pairs = 0;
  let equal = 0;
  for (const { length } of runs) {
    if (length === longest && !skipped) {
      skipped = true;
      continue;
    }
    pairs += length;
    equal += length - 1;
  }
  if (equal === 0) return 1;
  return Math.log(Math.max(2, pairs)) / -Math.log(equal / pairs);
}

/**
 * Runs of one and the same value: stuck (a frozen image, a lost sensor), or saturated where the value is the trace's
 * highest or lowest or lies at an end of the instrument's range. How long a run must be is judged against the trace's own
 * share of equal neighbours.
 */
export function constantRuns(
  timeBase: TimeBase,
  trace: QualityTrace,
  settings: Partial<ConstantRunSettings> = {},
): Finding[] {
  const used = { ...constantRunDefaults, ...settings };
  const { regionId, statistic, values } = trace;
  const runs = runsOf(values);
  if (runs.length === 0) return [];
  const chance = used.factor * longestByChance(runs);
  const highest = runs.reduce((most, { value }) => Math.max(most, value), Number.NEGATIVE_INFINITY);
  const lowest = runs.reduce((least, { value }) => Math.min(least, value), Number.POSITIVE_INFINITY);
  const findings: Finding[] = [];
  for (const { from, length, value } of runs) {
    const fromS = timeAt(timeBase, from);
    const toS = timeAt(timeBase, from + length - 1);
    const outOfRange = used.rangeC !== null && (value <= used.rangeC[0] || value >= used.rangeC[1]);
    const atExtreme = runs.length > 1 && (value === highest || value === lowest);
    const saturated = outOfRange || (atExtreme && length >= Math.max(used.fewestSaturated, chance));
    const stuck = length >= Math.max(used.fewestStuck, chance) && toS - fromS >= used.shortestStuckS;
    if (!saturated && !stuck) continue;
    const kind = saturated ? "saturated" : "stuck";
    findings.push({
      kind,
      fromS,
      toS,
      traces: [{ regionId, statistic }],
      size: toS - fromS,
      unit: "s",
      count: length,
      confidence: outOfRange || runs.length === 1 ? "sure" : "likely",
      message:
        kind === "saturated"
          ? `${length} samples stand at ${value} °C, ${outOfRange ? "an end of the instrument's range" : "the trace's extreme"}: the skin may have gone beyond it.`
          : `${length} samples are exactly ${value} °C: a frozen image or a lost sensor. Mask this stretch.`,
    });
  }
  return findings;
}
