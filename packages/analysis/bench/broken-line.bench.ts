import type { BenchLine } from "../../../scripts/bench";
import { fitBrokenLine } from "../src/course";
import { bestOf } from "./best-of";

const bins = 720;
const fits = 5000;

/**
 * The globally best broken line of 5,000 traces of 720 bins, with its interval, against trying every bin as a break with a
 * pass over the data each (which finds no break between bins), timed on 50 traces and scaled.
 */
export async function run(): Promise<BenchLine[]> {
  const x = Float64Array.from({ length: bins }, (_, i) => 5 * i);
  const traces = Array.from({ length: fits }, (_, k) => {
    const at = 1000 + (k % 1500);
    return Float64Array.from(x, (t, i) => 33 + 0.002 * Math.abs(t - at) + 0.1 * scatter(k * bins + i));
  });
  const { ms, result } = bestOf(4, () => traces.map((y) => fitBrokenLine(x, y)));
  const some = traces.slice(0, 50);
  const plain = bestOf(2, () => some.map((y) => plainBest(x, y)));
  for (const [k, sse] of plain.result.entries()) {
    const ours = result[k]?.optimum.sse ?? Number.NaN;
    if (!(ours <= sse * (1 + 1e-9)))
      throw new Error(`trace ${k}: ${ours} is worse than the plain search's ${sse}`);
  }
  const reference = (plain.ms * fits) / some.length / 1000;
  return [
    {
      name: "broken line of 5000 traces x 720 bins",
      value: ms / 1000,
      unit: "s",
      reference: { what: "plain search over bins", value: reference },
      ratio: reference / (ms / 1000),
      wanted: "under 1 s",
      ok: ms < 1000,
    },
  ];
}

/** An even scatter between -1 and 1 that is the same on every machine. */
function scatter(k: number): number {
  const mixed = Math.imul(k + 1, 2654435761) >>> 0;
  return mixed / 2147483648 - 1;
}

function plainBest(x: Float64Array, y: Float64Array): number {
  let best = Number.POSITIVE_INFINITY;
  for (let k = 2; k < x.length - 2; k++) best = Math.min(best, plainSse(x, y, x[k] as number));
  return best;
}

/** One pass for the sums of a break at `at`, then the sum of squares. */
function plainSse(x: Float64Array, y: Float64Array, at: number): number {
  let u = 0;
  let uu = 0;
  let uy = 0;
  let w = 0;
  let ww = 0;
  let wy = 0;
  let sy = 0;
  for (let i = 0; i < x.length; i++) {
    const d = (x[i] as number) - at;
    const yi = y[i] as number;
    sy += yi;
    if (d <= 0) {
      u += d;
      uu += d * d;
      uy += d * yi;
    } else {
      w += d;
      ww += d * d;
      wy += d * yi;
    }
  }
  const v = (sy - (u * uy) / uu - (w * wy) / ww) / (x.length - (u * u) / uu - (w * w) / ww);
  const before = (uy - v * u) / uu;
  const after = (wy - v * w) / ww;
  let sse = 0;
  for (let i = 0; i < x.length; i++) {
    const d = (x[i] as number) - at;
    sse += ((y[i] as number) - v - (d <= 0 ? before : after) * d) ** 2;
  }
  return sse;
}
