import { beforeAll, describe, expect, it } from "vitest";
import { sampleTimes } from "../../src/course";
import {
  type AdjustmentSettings,
  applyAdjustments,
  type ChannelTrace,
  checkTraces,
  type Finding,
  seriesKey,
} from "../../src/quality";
import { normal, seededRandom } from "../seeded-random";
import { exerciseS, recoveryS, restS } from "./drawn-trial";
import {
  type FaultKind,
  type FaultyTrial,
  faultKinds,
  faultyTrial,
  foundAs,
  type InjectedFault,
} from "./injected-faults";

const trialCount = 200;
const endS = restS + exerciseS + recoveryS;

interface Judged {
  readonly trial: FaultyTrial;
  readonly findings: readonly Finding[];
}

function isOf(finding: Finding, fault: InjectedFault, stepS: number): boolean {
  if (!foundAs[fault.kind].includes(finding.kind)) return false;
  const isItsTrace = fault.series === null || finding.traces.some((name) => seriesKey(name) === fault.series);
  const tolerance = 2 * stepS;
  switch (fault.kind) {
    case "common drift":
      return Math.sign(finding.size ?? 0) === Math.sign(fault.size);
    case "common step":
      return (
        Math.abs(finding.toS - fault.fromS) <= tolerance && Math.abs((finding.size ?? 0) - fault.size) < 0.1
      );
    case "spike":
      return isItsTrace && finding.fromS <= fault.toS && finding.toS >= fault.fromS;
    case "gap":
    case "stuck":
      return (
        isItsTrace &&
        Math.abs(finding.fromS - fault.fromS) <= tolerance &&
        Math.abs(finding.toS - fault.toS) <= tolerance
      );
  }
}

const stepOf = ({ truth: { timeBase } }: FaultyTrial) => (timeBase.kind === "regular" ? timeBase.stepS : 0);

interface Tally {
  injected: number;
  found: number;
  /** Findings that are of no injected fault, and trials with one. */
  wrong: number;
  trialsWithWrong: number;
}

function tally(judged: readonly Judged[], kind: FaultKind): Tally {
  const total: Tally = { injected: 0, found: 0, wrong: 0, trialsWithWrong: 0 };
  for (const { trial, findings } of judged) {
    const faults = trial.faults.filter((fault) => fault.kind === kind);
    const own = findings.filter((finding) => foundAs[kind].includes(finding.kind));
    total.injected += faults.length;
    total.found += faults.filter((fault) => own.some((one) => isOf(one, fault, stepOf(trial)))).length;
    const wrong = own.filter((one) => !faults.some((fault) => isOf(one, fault, stepOf(trial)))).length;
    total.wrong += wrong;
    if (wrong > 0) total.trialsWithWrong++;
  }
  return total;
}

/** Every proposal of the findings: masks, then steps, then drifts. */
function proposals(findings: readonly Finding[]): AdjustmentSettings[] {
  const order = ["mask", "common step", "warming-up drift", "reference drift"];
  return findings
    .flatMap(({ proposal }) => proposal ?? [])
    .sort((a, b) => order.indexOf(a.kind) - order.indexOf(b.kind));
}

/**
 * Error of the corrected traces over a stretch: the largest, over bins of 30 s and regions, of the mean of corrected minus true
 * values in a bin, after its mean over rest in the file (the level that a camera is off by on the whole nobody can know) was
 * taken out. Recorded noise is the same in both, so that what is left is the correction's.
 */
function largestError(
  { trial, findings }: Judged,
  untilS: number,
  channels: readonly ChannelTrace[] = [],
): number {
  const { timeBase, traces } = trial;
  const adjusted = applyAdjustments({ timeBase, traces, channels }, proposals(findings));
  const times = sampleTimes(timeBase);
  const stepS = stepOf(trial);
  let largest = 0;
  for (const [k, { values }] of adjusted.traces.entries()) {
    const truth = trial.truth.traces[k]?.values ?? new Float64Array();
    const bins = new Map<number, { sum: number; n: number }>();
    for (const [i, value] of values.entries()) {
      const time = times[i] ?? Number.NaN;
      const error = value - (truth[Math.round(time / stepS)] ?? Number.NaN);
      if (Number.isNaN(error)) continue;
      const bin = bins.get(Math.floor(time / 30)) ?? { sum: 0, n: 0 };
      bins.set(Math.floor(time / 30), { sum: bin.sum + error, n: bin.n + 1 });
    }
    const means = [...bins].map(([bin, { sum, n }]) => ({ timeS: (bin + 0.5) * 30, mean: sum / n }));
    const rest = means.filter(({ timeS }) => timeS < restS);
    const level = rest.reduce((sum, { mean }) => sum + mean, 0) / rest.length;
    for (const { timeS, mean } of means)
      if (timeS < untilS) largest = Math.max(largest, Math.abs(mean - level));
  }
  return largest;
}

const hasDrift = ({ trial }: Judged) => trial.faults.some(({ kind }) => kind === "common drift");
const share = (values: readonly boolean[]) => values.filter(Boolean).length / values.length;

describe("of 200 drawn trials, three in four of them with faults and real falls of 2 to 5 °C in all", () => {
  const told: Judged[] = [];
  const untold: Judged[] = [];

  beforeAll(() => {
    for (let seed = 1; seed <= trialCount; seed++) {
      const trial = faultyTrial(seed);
      const { timeBase, traces } = trial;
      const settings = { commonDrift: { exerciseStartS: restS } };
      told.push({ trial, findings: checkTraces({ timeBase, traces, settings }) });
      untold.push({ trial, findings: checkTraces({ timeBase, traces }) });
    }
  }, 60_000);

  it.each(faultKinds)("at least 95 %% of the injected faults are found: %s", (kind) => {
    for (const judged of [told, untold]) {
      const { injected, found } = tally(judged, kind);
      expect(injected).toBeGreaterThan(50);
      expect(found / injected).toBeGreaterThanOrEqual(0.95);
    }
  });

  it.each(faultKinds)("at most 5 %% have a finding where nothing was injected: %s", (kind) => {
    for (const judged of [told, untold]) {
      const { injected, wrong, trialsWithWrong } = tally(judged, kind);
      expect(trialsWithWrong / trialCount).toBeLessThanOrEqual(0.05);
      expect(wrong / (wrong + injected)).toBeLessThanOrEqual(0.05);
    }
  });

  it("nothing of any other kind is found", () => {
    const known = faultKinds.flatMap((kind) => foundAs[kind]);
    for (const { findings } of [...told, ...untold]) {
      for (const { kind } of findings) expect(known).toContain(kind);
    }
  });

  it("corrected traces without a drift are within 0.1 °C of the truth over the whole file in 95 %", () => {
    const errors = told.filter((one) => !hasDrift(one)).map((one) => largestError(one, endS));
    expect(share(errors.map((error) => error <= 0.1))).toBeGreaterThanOrEqual(0.95);
  });

  it("corrected traces with a drift are within 0.1 °C over ten minutes of rest in 95 %", () => {
    const errors = told.filter(hasDrift).map((one) => largestError(one, restS));
    expect(share(errors.map((error) => error <= 0.1))).toBeGreaterThanOrEqual(0.95);
  });

  it("corrected traces with a reference surface in view are within 0.1 °C over the whole file in 95 %, drift or not", () => {
    const errors = told.map(({ trial }, k) => {
      const { timeBase, traces, commonAt } = trial;
      const random = seededRandom(90_000 + k);
      const values = sampleTimes(timeBase).map((timeS) => 34 + commonAt(timeS) + 0.05 * normal(random));
      const plate = { channel: "plate", values };
      const reference = { measured: values, trueC: 34, series: plate.channel };
      return largestError({ trial, findings: checkTraces({ timeBase, traces, reference }) }, endS, [plate]);
    });
    expect(share(errors.map((error) => error <= 0.1))).toBeGreaterThanOrEqual(0.95);
  });

  it("the size of a drift over the whole file lies within 1.96 of its standard errors in nine of ten", () => {
    for (const judged of [told, untold]) {
      const held = judged.filter(hasDrift).flatMap(({ trial, findings }) => {
        const fault = trial.faults.find(({ kind }) => kind === "common drift");
        const found = findings.find(({ kind }) => kind === "common drift");
        if (fault === undefined || found === undefined) return [];
        return [Math.abs((found.size ?? Number.NaN) - fault.size) <= 1.96 * (found.standardError ?? 0)];
      });
      expect(share(held)).toBeGreaterThanOrEqual(0.9);
    }
  });
});
