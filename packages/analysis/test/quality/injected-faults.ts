import type { TimeBase } from "../../src/course";
import { type FindingKind, type QualityTrace, seriesKey } from "../../src/quality";
import { seededRandom } from "../seeded-random";
import { type DrawnTrial, drawnTrial, withCommon } from "./drawn-trial";

export type FaultKind = "common step" | "common drift" | "spike" | "gap" | "stuck";

export const faultKinds: readonly FaultKind[] = ["common step", "common drift", "spike", "gap", "stuck"];

/** The kinds of finding by which a fault counts as found. A trace that freezes at its own extreme is called saturated. */
export const foundAs: Readonly<Record<FaultKind, readonly FindingKind[]>> = {
  "common step": ["common step"],
  "common drift": ["common drift"],
  spike: ["spike"],
  gap: ["gap in time", "values missing"],
  stuck: ["stuck", "saturated"],
};

export interface InjectedFault {
  readonly kind: FaultKind;
  readonly fromS: number;
  readonly toS: number;
  /** `seriesKey` of the trace concerned; null for all. */
  readonly series: string | null;
  /** °C for steps, drifts (over the file) and spikes; s for gaps and stuck values. */
  readonly size: number;
}

export interface FaultyTrial {
  readonly faults: readonly InjectedFault[];
  /** As it would have been recorded without faults. */
  readonly truth: DrawnTrial;
  readonly timeBase: TimeBase;
  readonly traces: readonly QualityTrace[];
  /** What steps and drift together added to every region at a time. */
  readonly commonAt: (timeS: number) => number;
}

const stepsS = [0.5, 1, 2, 5] as const;

/**
 * A drawn trial (see `drawnTrial`: its regions change in rest each in their own way, hands and arms fall by 2 to 5 °C within minutes)
 * at one sample every 0.5 to 5 s, written with two decimals. Three of four trials have faults: each kind with a probability
 * of one half, independently, so that faults also meet. The others have none.
 *
 * - common step: 0.2 to 2 °C, up or down
 * - common drift: 0.5 to 3 °C·(1 − e^(−t/τ)), up or down, τ 300 to 900 s, from the first sample on
 * - spike: one to three samples of one trace, 0.6 to 5 °C, up or down
 * - gap: 15 to 120 s, of one trace (values missing) or of the file (rows missing)
 * - stuck: one value for 60 to 300 s in one trace
 *
 * The drift apart, faults lie at least 30 s from each other and 60 s from the ends, so that it is defined which is which.
 */
export function faultyTrial(seed: number): FaultyTrial {
  const random = seededRandom(40_000 + seed);
  const between = (low: number, high: number) => low + (high - low) * random();
  const sign = () => (random() < 0.5 ? -1 : 1);
  const stepS = stepsS[seed % stepsS.length] ?? 1;
  const drawn = drawnTrial(seed, stepS);
  const truth = { ...drawn, traces: drawn.traces.map(rounded) };
  const isClean = seed % 4 === 0;
  const has = () => random() < 0.5 && !isClean;
  const count = truth.traces[0]?.values.length ?? 0;
  const endS = (count - 1) * stepS;
  const faults: InjectedFault[] = [];
  const place = (lengthS: number): number => {
    for (;;) {
      const from = stepS * Math.round(between(60, endS - 60 - lengthS) / stepS);
      const isApart = faults.every(
        (other) =>
          other.kind === "common drift" || from + lengthS + 30 < other.fromS || from > other.toS + 30,
      );
      if (isApart) return from;
    }
  };
  const anyTrace = () => {
    const trace = truth.traces[Math.floor(random() * truth.traces.length)];
    if (trace === undefined) throw new Error("a drawn trial has traces");
    return trace;
  };

  let drift = (_: number) => 0;
  if (has()) {
    const size = sign() * between(0.5, 3);
    const tauS = between(300, 900);
    drift = (timeS) => size * (1 - Math.exp(-timeS / tauS));
    faults.push({ kind: "common drift", fromS: 0, toS: endS, series: null, size: drift(endS) });
  }
  let step = (_: number) => 0;
  if (has()) {
    const size = sign() * between(0.2, 2);
    const at = place(0);
    step = (timeS) => (timeS >= at ? size : 0);
    faults.push({ kind: "common step", fromS: at, toS: at, series: null, size });
  }
  const commonAt = (timeS: number) => drift(timeS) + step(timeS);
  const traces = withCommon(truth, commonAt).traces.map(rounded);
  const valuesOf = (key: string) => {
    const trace = traces.find((one) => seriesKey(one) === key);
    if (trace === undefined) throw new Error(`no trace ${key}`);
    return trace.values;
  };

  if (has()) {
    const samples = 1 + Math.floor(3 * random());
    const at = place(samples * stepS);
    const size = sign() * between(0.6, 5);
    const series = seriesKey(anyTrace());
    const values = valuesOf(series);
    for (let i = 0; i < samples; i++) values[at / stepS + i] = (values[at / stepS + i] ?? 0) + size;
    faults.push({ kind: "spike", fromS: at, toS: at + (samples - 1) * stepS, series, size });
  }
  if (has()) {
    const size = stepS * Math.round(between(60, 300) / stepS);
    const at = place(size);
    const series = seriesKey(anyTrace());
    const values = valuesOf(series);
    values.fill(values[at / stepS] ?? Number.NaN, at / stepS, (at + size) / stepS);
    faults.push({ kind: "stuck", fromS: at, toS: at + size, series, size });
  }
  if (!has()) return { faults, truth, timeBase: truth.timeBase, traces, commonAt };

  const size = stepS * Math.round(between(15, 120) / stepS);
  const at = place(size);
  if (random() < 0.5) {
    const series = seriesKey(anyTrace());
    valuesOf(series).fill(Number.NaN, at / stepS, (at + size) / stepS);
    faults.push({ kind: "gap", fromS: at, toS: at + size, series, size });
    return { faults, truth, timeBase: truth.timeBase, traces, commonAt };
  }
  faults.push({ kind: "gap", fromS: at, toS: at + size, series: null, size });
  const kept = Array.from({ length: count }, (_, i) => i).filter(
    (i) => i * stepS < at || i * stepS >= at + size,
  );
  return {
    faults,
    truth,
    timeBase: { kind: "irregular", timesS: Float64Array.from(kept, (i) => i * stepS) },
    traces: traces.map((trace) => ({
      ...trace,
      values: Float64Array.from(kept, (i) => trace.values[i] ?? Number.NaN),
    })),
    commonAt,
  };
}

function rounded(trace: QualityTrace): QualityTrace {
  return { ...trace, values: trace.values.map((value) => Math.round(value * 100) / 100) };
}
