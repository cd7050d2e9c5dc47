import type { BenchLine } from "../../../scripts/bench";
import { checkTraces, type QualityTrace } from "../src/quality";
import { seededGenerator } from "../src/statistics";
import { bestOf } from "./best-of";

/** All quality checks on one hour at 30 Hz of twenty regions with mean, maximum and minimum, in hundredths of a degree. */
export async function run(): Promise<BenchLine[]> {
  const count = 3600 * 30;
  const generator = seededGenerator(30);
  const noise = () => 0.2 * (generator.uniform() + generator.uniform() - 1);
  const traces = Array.from({ length: 60 }, (_, k): QualityTrace => {
    const values = Float64Array.from(
      { length: count },
      (__, i) => Math.round(100 * (31 + k / 20 + Math.sin(i / 9000 + k) + noise())) / 100,
    );
    values[1000 + 500 * k] = 40;
    return { regionId: `region-${Math.floor(k / 3)}`, statistic: statistics[k % 3] ?? "mean", values };
  });
  const timeBase = { kind: "regular", startS: 0, stepS: 1 / 30, count } as const;
  const { ms, result } = bestOf(3, () => checkTraces({ timeBase, traces }));
  const plain = bestOf(2, () => traces.slice(0, 2).map(({ values }) => plainSpikes(values)));
  if (plain.result[0]?.length !== 1) throw new Error("the plain check finds the one spike of a trace");
  const spikes = result.filter(({ kind }) => kind === "spike").length;
  if (spikes !== 60) throw new Error(`${spikes} spikes were found, not 60`);
  return [
    {
      name: "quality checks, one hour at 30 Hz x 60 traces",
      value: ms,
      unit: "ms",
      reference: {
        what: "spikes alone by sorting each window (of two traces, times thirty)",
        value: plain.ms * 30,
      },
      ratio: (plain.ms * 30) / ms,
      wanted: "under 2,000 ms",
      ok: ms < 2000,
    },
  ];
}

/** The Hampel identifier as it is defined, with the floor of 0.6 °C that six times the noise of these traces makes. */
function plainSpikes(values: Float64Array): number[] {
  const middleOf = (numbers: Float64Array) => numbers.sort()[numbers.length >> 1] as number;
  const outliers: number[] = [];
  for (let i = 5; i < values.length - 5; i++) {
    const middle = middleOf(values.slice(i - 5, i + 6));
    const spread = middleOf(values.slice(i - 5, i + 6).map((value) => Math.abs(value - middle)));
    const apart = Math.abs((values[i] as number) - middle);
    if (apart > Math.max(0.6, 6 * 1.4826 * spread)) outliers.push(i);
  }
  return outliers;
}

const statistics = ["mean", "maximum", "minimum"] as const;
