import { type TimeBase, timeAt } from "../course";
import { log } from "../elementary";
import { seriesKey } from "./adjustment";
import { type Finding, finding, type QualityTrace } from "./finding";

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

type Visit = (from: number, length: number, value: number) => void;

/** Visits each run of one value in order; missing values end a run. */
function eachRun(values: Float64Array, visit: Visit): void {
  let from = 0;
  for (let i = 1; i <= values.length; i++) {
    const value = values[from] as number;
    if (i < values.length && values[i] === value) continue;
    if (Number.isFinite(value)) visit(from, i - from, value);
    from = i;
  }
}

interface RunSummary {
  readonly runs: number;
  readonly highest: number;
  readonly lowest: number;
  /**
   * The longest run of one value that chance explains: with a share p of equal neighbours among n, runs of about
   * log n / −log p occur. Coarse resolution has a large p, so that a slow trace in steps of 0.1 °C is not called stuck. The
   * longest run itself is left out of p, so that it does not excuse itself.
   */
  readonly longestByChance: number;
}

function summarise(values: Float64Array): RunSummary {
  let runs = 0;
  let samples = 0;
  let longest = 0;
  let highest = Number.NEGATIVE_INFINITY;
  let lowest = Number.POSITIVE_INFINITY;
  eachRun(values, (_, length, value) => {
    runs++;
    samples += length;
    longest = Math.max(longest, length);
    highest = Math.max(highest, value);
    lowest = Math.min(lowest, value);
  });
  const pairs = samples - longest;
  const equal = pairs - (runs - 1);
  const longestByChance = equal > 0 ? log(Math.max(2, pairs)) / -log(equal / pairs) : 1;
  return { runs, highest, lowest, longestByChance };
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
  const { runs, highest, lowest, longestByChance } = summarise(values);
  const chance = used.factor * longestByChance;
  const shortest = Math.max(chance, Math.min(used.fewestSaturated, used.fewestStuck));
  const findings: Finding[] = [];
  eachRun(values, (from, length, value) => {
    const outOfRange = used.rangeC !== null && (value <= used.rangeC[0] || value >= used.rangeC[1]);
    // Almost every run of a trace is short: they end here.
    if (length < shortest && !outOfRange) return;
    const fromS = timeAt(timeBase, from);
    const toS = timeAt(timeBase, from + length - 1);
    const atExtreme = runs > 1 && (value === highest || value === lowest);
    const saturated = outOfRange || (atExtreme && length >= Math.max(used.fewestSaturated, chance));
    const stuck = length >= Math.max(used.fewestStuck, chance) && toS - fromS >= used.shortestStuckS;
    if (!saturated && !stuck) return;
    const kind = saturated ? "saturated" : "stuck";
    findings.push(
      finding({
        kind,
        fromS,
        toS,
        traces: [{ regionId, statistic }],
        size: toS - fromS,
        unit: "s",
        count: length,
        confidence: outOfRange || runs === 1 ? "sure" : "likely",
        meaning:
          kind === "saturated"
            ? `${length} samples stand at ${value} °C, ${outOfRange ? "an end of the instrument's range" : "the trace's extreme"}: the skin may have gone beyond it.`
            : `${length} samples are exactly ${value} °C: a frozen image or a lost sensor.`,
        whatCanBeDone:
          kind === "saturated"
            ? "Mask this stretch: means over it are too low or too high by an amount that nobody knows."
            : "Mask this stretch.",
        proposal: { kind: "mask", fromS, toS, series: [seriesKey(trace)] },
      }),
    );
  });
  return findings;
}
