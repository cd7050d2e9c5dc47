import type { BenchLine } from "../../../scripts/bench";
import { alignTraces, type TimeBase } from "../src/course";
import { bestOf } from "./best-of";

/** One hour at 30 Hz of twenty regions onto five-second bins, against grouping the samples of each bin in a map. */
export async function run(): Promise<BenchLine[]> {
  const count = 3600 * 30;
  const timeBase: TimeBase = { kind: "regular", startS: 0, stepS: 1 / 30, count };
  const traces = Array.from({ length: 20 }, (_, region) =>
    Float64Array.from({ length: count }, (__, i) => 30 + region / 10 + Math.sin(i / 5000) + (i % 17) / 100),
  );
  const grid = { originS: 600, binS: 5, firstBin: -120, binCount: 720 };
  const { ms, result } = bestOf(15, () => alignTraces(timeBase, traces, grid));
  const plain = bestOf(3, () => traces.map((values) => plainly(values, grid.originS, grid.binS)));
  for (const [region, aligned] of result.entries()) {
    for (const [k, value] of aligned.values.entries()) {
      const expected = plain.result[region]?.get(grid.firstBin + k) ?? Number.NaN;
      if (!(Math.abs(value - expected) < 1e-9))
        throw new Error(`bin ${k} of region ${region}: ${value}, not ${expected}`);
    }
  }
  return [
    {
      name: "align one hour at 30 Hz x 20 regions",
      value: ms,
      unit: "ms",
      reference: { what: "plain grouping by bin", value: plain.ms },
      ratio: plain.ms / ms,
      wanted: "under 60 ms",
      ok: ms < 60,
    },
  ];
}

function plainly(values: Float64Array, originS: number, binS: number): Map<number, number> {
  const bins = new Map<number, number[]>();
  for (const [i, value] of values.entries()) {
    const bin = Math.floor((i / 30 - originS) / binS + 1e-9);
    const samples = bins.get(bin);
    if (samples === undefined) bins.set(bin, [value]);
    else samples.push(value);
  }
  return new Map(
    [...bins].map(([bin, samples]) => [bin, samples.reduce((sum, v) => sum + v, 0) / samples.length]),
  );
}
