import { describe, expect, it } from "vitest";
import type { TimeBase } from "../../src/course";
import {
  applyAdjustments,
  checkTraces,
  commonDrift,
  commonSteps,
  correctByTwoReferences,
  correctCommonDrift,
  correctCommonSteps,
  referenceFinding,
  referenceOffset,
} from "../../src/quality";
import { normal, seededRandom } from "../seeded-random";
import { drawnTrial, restS, withCommon } from "./drawn-trial";

const trials = 40;

describe("a step common to all regions", () => {
  it.each([1, 5])("of 0.2 to 2 °C is found at its sample, at one sample every %s s", (stepS) => {
    const random = seededRandom(11);
    let found = 0;
    let wrong = 0;
    for (let seed = 1; seed <= trials; seed++) {
      const size = (0.2 + 1.8 * random()) * (random() < 0.5 ? -1 : 1);
      const at = 60 + stepS * Math.floor((random() * 2500) / stepS);
      const { timeBase, traces } = withCommon(drawnTrial(seed, stepS), (time) => (time >= at ? size : 0));
      const steps = commonSteps(timeBase, traces);
      const near = steps.filter((step) => Math.abs(step.timeS - at) <= 2 * stepS);
      if (near.length === 1 && Math.abs((near[0]?.size ?? 0) - size) < 0.1) found++;
      wrong += steps.length - near.length;
    }
    expect(found).toBeGreaterThanOrEqual(0.95 * trials);
    expect(wrong).toBeLessThanOrEqual(0.05 * trials);
  });

  it("is not seen in trials whose arms and hands fall by 2 to 5 °C within minutes", () => {
    let alarms = 0;
    for (let seed = 1; seed <= trials; seed++) {
      for (const stepS of [1, 5]) {
        const { timeBase, traces } = drawnTrial(1000 + seed, stepS);
        if (commonSteps(timeBase, traces).length > 0) alarms++;
        // Only the regions that answer most: both hands, forearm and upper arm.
        const limbs = traces.filter(({ regionId }) => /^(hand|forearm|upper-arm)/.test(regionId));
        if (commonSteps(timeBase, limbs).length > 0) alarms++;
      }
    }
    expect(alarms).toBeLessThanOrEqual(0.05 * 4 * trials);
  });

  it("is taken out to within 0.1 °C, and what was subtracted is returned", () => {
    const clean = drawnTrial(77, 1);
    const { timeBase, traces } = withCommon(
      clean,
      (time) => (time >= 900 ? 0.8 : 0) - (time >= 1700 ? 0.5 : 0),
    );
    const steps = commonSteps(timeBase, traces);
    expect(steps).toHaveLength(2);
    const { corrected, subtracted } = correctCommonSteps(
      traces.map(({ values }) => values),
      steps,
    );
    for (const [k, values] of corrected.entries()) {
      for (const [i, value] of values.entries()) {
        const truth = clean.traces[k]?.values[i] ?? Number.NaN;
        if (steps.some(({ index }) => Math.abs(index - i) <= 2)) continue;
        expect(Math.abs(value - truth)).toBeLessThan(0.1);
        expect(value + (subtracted[i] ?? 0)).toBeCloseTo(traces[k]?.values[i] ?? Number.NaN, 10);
      }
    }
  });

  it("can be taken out towards the level after it", () => {
    const values = Float64Array.of(33, 33, 34, 34);
    const step = [{ index: 2, size: 1 }];
    expect([...(correctCommonSteps([values], step).corrected[0] ?? [])]).toEqual([33, 33, 33, 33]);
    expect([...(correctCommonSteps([values], step, "after").corrected[0] ?? [])]).toEqual([34, 34, 34, 34]);
    expect(() => correctCommonSteps([values], [{ index: 9, size: 1 }])).toThrow(
      expect.objectContaining({ argument: "steps" }),
    );
    expect(() => correctCommonSteps([values, new Float64Array(2)], step)).toThrow(
      expect.objectContaining({ code: "unequal lengths" }),
    );
  });

  it("means nothing with fewer than three traces, or where only some step", () => {
    const { timeBase, traces } = withCommon(drawnTrial(3, 1), (time) => (time >= 900 ? 1 : 0));
    expect(commonSteps(timeBase, traces.slice(0, 2))).toEqual([]);
    const clean = drawnTrial(3, 1).traces;
    const some = traces.map((trace, k) => (k < 4 ? trace : (clean[k] ?? trace)));
    expect(commonSteps(timeBase, some)).toEqual([]);
  });

  it("is found at 30 Hz to within a few frames", () => {
    const { timeBase, traces } = withCommon(drawnTrial(5, 1 / 30), (time) => (time >= 1234.5 ? 0.4 : 0));
    const [step, ...more] = commonSteps(timeBase, traces);
    expect(more).toEqual([]);
    expect(Math.abs((step?.timeS ?? 0) - 1234.5)).toBeLessThan(0.15);
    expect(step?.size).toBeCloseTo(0.4, 1);
  });
});

describe("a slow drift common to all regions", () => {
  const settling = (size: number, tauS: number) => (time: number) => size * (1 - Math.exp(-time / tauS));

  it("of 0.5 to 3 °C that settles is found, with the start of exercise known", () => {
    const random = seededRandom(21);
    let found = 0;
    let close = 0;
    for (let seed = 1; seed <= trials; seed++) {
      const size = (0.5 + 2.5 * random()) * (random() < 0.5 ? -1 : 1);
      const tauS = 300 + 600 * random();
      const { timeBase, traces } = withCommon(drawnTrial(seed, 5), settling(size, tauS));
      const drift = commonDrift(timeBase, traces, { exerciseStartS: restS });
      if (drift === null) continue;
      found++;
      if (Math.abs(drift.size - settling(size, tauS)(2700)) < 0.5) close++;
    }
    expect(found).toBeGreaterThanOrEqual(0.9 * trials);
    // What lies under the answer of the regions to exercise is estimated roughly: a reference surface does better.
    expect(close).toBeGreaterThanOrEqual(0.75 * found);
  });

  it("is not seen in trials without one, in which regions answer each in their own way", () => {
    let alarms = 0;
    for (let seed = 1; seed <= 2 * trials; seed++) {
      const { timeBase, traces } = drawnTrial(2000 + seed, 5);
      if (commonDrift(timeBase, traces, { exerciseStartS: restS }) !== null) alarms++;
    }
    expect(alarms).toBeLessThanOrEqual(0.05 * 2 * trials);
  });

  it("is subtracted so that the settled end stays as it is", () => {
    const shape = { startS: 0, amplitude: -1.5, tauS: 400 };
    const timeBase: TimeBase = { kind: "regular", startS: 0, stepS: 60, count: 40 };
    const values = Float64Array.from({ length: 40 }, (_, i) => 33 + settling(-1.5, 400)(60 * i));
    const { corrected, subtracted } = correctCommonDrift(timeBase, [values], shape);
    const last = values[39] ?? Number.NaN;
    for (const value of corrected[0] ?? []) expect(value).toBeCloseTo(last, 10);
    expect(subtracted[39]).toBeCloseTo(0, 12);
    const { corrected: first } = correctCommonDrift(timeBase, [values], shape, "first");
    for (const value of first[0] ?? []) expect(value).toBeCloseTo(33, 10);
  });

  it("needs three traces and ten minutes", () => {
    const { timeBase, traces } = withCommon(drawnTrial(1, 5), settling(2, 300));
    expect(commonDrift(timeBase, traces.slice(0, 2))).toBeNull();
    const short: TimeBase = { kind: "regular", startS: 0, stepS: 5, count: 100 };
    expect(
      commonDrift(
        short,
        traces.map((trace) => ({ ...trace, values: trace.values.subarray(0, 100) })),
      ),
    ).toBeNull();
  });
});

describe("drift against a reference surface", () => {
  const timeBase: TimeBase = { kind: "regular", startS: 0, stepS: 1, count: 1200 };

  // Offset model of radiometry: a surface at 34.00 °C shown as 34.35 °C turns skin shown as 33.10 °C into 32.75 °C.
  it("is subtracted from the skin", () => {
    const measured = new Float64Array(1200).fill(34.35);
    const skin = {
      regionId: "chest-left-anterior",
      statistic: "mean",
      values: new Float64Array(1200).fill(33.1),
    } as const;
    const reference = { measured, trueC: 34, series: "plate" };
    const found = referenceFinding(timeBase, referenceOffset(timeBase, reference), reference);
    expect(found).toMatchObject({ kind: "reference drift", confidence: "sure" });
    const { traces } = applyAdjustments(
      { timeBase, traces: [skin], channels: [{ channel: "plate", values: measured }] },
      found?.proposal ? [found.proposal] : [],
    );
    expect(traces[0]?.values[600]).toBeCloseTo(32.75, 12);
  });

  // Two surfaces: 25.00 shown as 25.40 and 35.00 as 35.20; skin shown as 33.00 is 25 + 7.60·10/9.80.
  it("of gain and offset is corrected by two surfaces", () => {
    const references = { low: { measuredC: 25.4, trueC: 25 }, high: { measuredC: 35.2, trueC: 35 } };
    expect(correctByTwoReferences(33, references)).toBeCloseTo(32.7551, 4);
    expect(correctByTwoReferences(25.4, references)).toBe(25);
    expect(() => correctByTwoReferences(33, { ...references, high: references.low })).toThrow(
      expect.objectContaining({ code: "constant" }),
    );
  });

  it("comes back within 0.1 °C of the truth, the surface's own noise smoothed", () => {
    const random = seededRandom(31);
    const drift = (time: number) => 1.5 * (1 - Math.exp(-time / 500));
    const measured = Float64Array.from({ length: 1200 }, (_, i) => 34 + drift(i) + 0.05 * normal(random));
    const skin = Float64Array.from({ length: 1200 }, (_, i) => 33 - i / 1000);
    const { offset } = referenceOffset(timeBase, { measured, trueC: 34 });
    for (const [i, truth] of skin.entries()) {
      const corrected = truth + drift(i) - (offset[i] ?? Number.NaN);
      expect(Math.abs(corrected - truth)).toBeLessThan(0.1);
    }
  });

  it("is bridged where the surface was not seen, and counted", () => {
    const measured = Float64Array.from({ length: 1200 }, (_, i) =>
      i < 10 || (i >= 500 && i < 600) || i >= 1100 ? Number.NaN : 34 + i / 1000,
    );
    const { offset, bridged } = referenceOffset(timeBase, { measured, trueC: 34 }, 0);
    expect(bridged).toBe(210);
    expect(offset[0]).toBeCloseTo(0.01, 12);
    expect(offset[550]).toBeCloseTo(0.55, 10);
    expect(offset[1199]).toBeCloseTo(1.099, 12);
  });

  it("takes a reading of the surface per sample", () => {
    const trueC = Float64Array.from({ length: 1200 }, (_, i) => 34 + i / 5000);
    const { offset } = referenceOffset(timeBase, { measured: trueC.map((value) => value + 0.1), trueC });
    expect(offset[700]).toBeCloseTo(0.1, 10);
    expect(referenceFinding(timeBase, { offset, bridged: 0 }, { trueC })).toBeNull();
  });

  it("is refused where the surface was never seen or is not as long", () => {
    expect(() =>
      referenceOffset(timeBase, { measured: new Float64Array(1200).fill(Number.NaN), trueC: 34 }),
    ).toThrow(expect.objectContaining({ code: "empty" }));
    expect(() => referenceOffset(timeBase, { measured: new Float64Array(3), trueC: 34 })).toThrow(
      expect.objectContaining({ code: "unequal lengths" }),
    );
    expect(() => referenceOffset(timeBase, { measured: new Float64Array(1200), trueC: Number.NaN })).toThrow(
      expect.objectContaining({ code: "not finite" }),
    );
  });
});

describe("all checks together", () => {
  const steady = (count: number, celsius: number) => ({
    regionId: "plate",
    statistic: "mean" as const,
    values: new Float64Array(count).fill(celsius),
  });

  it("find nothing in a clean trial", () => {
    const { timeBase, traces } = drawnTrial(42, 1);
    expect(checkTraces({ timeBase, traces, settings: { commonDrift: { exerciseStartS: restS } } })).toEqual(
      [],
    );
  });

  it("find each of several faults in one file, in order of time", () => {
    const { timeBase, traces } = withCommon(drawnTrial(42, 1), (time) => (time >= 1500 ? 0.7 : 0));
    const [first, second] = traces;
    if (first === undefined || second === undefined) throw new Error("ten traces were drawn");
    first.values[300] = 40;
    second.values.fill(second.values[700] ?? 0, 700, 800);
    second.values.fill(Number.NaN, 2000, 2100);
    const findings = checkTraces({ timeBase, traces });
    expect(findings.map(({ kind }) => kind)).toEqual(["spike", "stuck", "common step", "values missing"]);
    expect(
      findings.every(({ meaning, whatCanBeDone }) => meaning.length > 15 && whatCanBeDone.length > 15),
    ).toBe(true);
    expect(findings.map(({ proposal }) => proposal?.kind ?? null)).toEqual([
      "mask",
      "mask",
      "common step",
      null,
    ]);
  });

  it("propose adjustments after which they find nothing more", () => {
    const { timeBase, traces } = withCommon(drawnTrial(42, 1), (time) => (time >= 1500 ? 0.7 : 0));
    const plate = withCommon({ timeBase, traces: [steady(2700, 34.5)] }, (time) => (time >= 1500 ? 0.7 : 0));
    const measured = plate.traces[0]?.values ?? new Float64Array();
    const reference = { measured, trueC: 34, series: "plate" };
    const findings = checkTraces({ timeBase, traces, reference });
    expect(findings.map(({ kind }) => kind)).toEqual(["reference drift", "common step"]);
    const step = findings.flatMap(({ kind, proposal }) =>
      kind === "common step" && proposal ? [proposal] : [],
    );
    const drift = findings.flatMap(({ kind, proposal }) =>
      kind === "reference drift" && proposal ? [proposal] : [],
    );
    const channels = [{ channel: "plate", values: measured }];
    const adjusted = applyAdjustments({ timeBase, traces, channels }, [...step, ...drift]);
    expect(checkTraces({ timeBase, traces: adjusted.traces })).toEqual([]);
    const before = traces[0]?.values ?? new Float64Array();
    const after = adjusted.traces[0]?.values ?? new Float64Array();
    for (const [i, subtracted] of [
      [1000, 0.5],
      [2000, 1.2],
    ] as const) {
      expect((before[i] ?? 0) - (after[i] ?? 0)).toBeCloseTo(subtracted, 1);
    }
  });

  it("say one thing once where several traces have it at the same time, with a key that a later reading finds again", () => {
    const { timeBase, traces } = drawnTrial(42, 1);
    for (const { values } of traces) values.fill(Number.NaN, 1000, 1030);
    const [lost, ...more] = checkTraces({ timeBase, traces });
    expect(more).toEqual([]);
    expect(lost?.traces).toHaveLength(10);
    expect(lost?.key.length).toBeLessThanOrEqual(200);
    const again = checkTraces({ timeBase, traces: [...traces].reverse() });
    expect(again.map(({ key }) => key)).toEqual([lost?.key]);
  });

  it("have keys of their own even for two spikes within one second", () => {
    const { timeBase, traces } = drawnTrial(5, 1 / 30);
    const [trace] = traces;
    if (trace === undefined) throw new Error("ten traces were drawn");
    trace.values[3000] = 40;
    trace.values[3012] = 40;
    const keys = checkTraces({ timeBase, traces: [trace] }).map(({ key }) => key);
    expect(keys).toHaveLength(2);
    expect(new Set(keys).size).toBe(2);
  });

  it("say one thing about a trace that leaps all the time, and propose no forty masks", () => {
    const { timeBase, traces } = drawnTrial(42, 1);
    const values = traces[0]?.values ?? new Float64Array();
    for (let i = 20; i < 2600; i += 50) values[i] = (values[i] ?? 0) + 3;
    const found = checkTraces({ timeBase, traces });
    expect(found).toMatchObject([{ kind: "spike", count: 52, proposal: null }]);
  });

  it("infer no drift from the regions where a reference surface decides", () => {
    const { timeBase, traces } = withCommon(drawnTrial(4, 1), (time) => 2 * (1 - Math.exp(-time / 500)));
    const kinds = (given: Parameters<typeof checkTraces>[0]) => checkTraces(given).map(({ kind }) => kind);
    expect(kinds({ timeBase, traces })).toEqual(["common drift"]);
    const still = { measured: new Float64Array(2700).fill(34), trueC: 34 };
    expect(kinds({ timeBase, traces, reference: still })).toEqual([]);
  });

  it("do not let contact points in the same file hide a step of the camera", () => {
    const { timeBase, traces } = withCommon(drawnTrial(3, 1), (time) => (time >= 900 ? 1 : 0));
    const clean = drawnTrial(3, 1).traces;
    const mixed = traces.map((trace, k) =>
      k < 6 ? trace : { ...trace, statistic: "point" as const, values: clean[k]?.values ?? trace.values },
    );
    const found = checkTraces({ timeBase, traces: mixed });
    expect(found).toMatchObject([{ kind: "common step", fromS: 899, toS: 900 }]);
    expect(found[0]?.meaning).toContain("4 single points are taken for contact sensors");
  });

  it("judge only time and plausibility where time runs backwards", () => {
    const timeBase: TimeBase = { kind: "irregular", timesS: Float64Array.of(0, 1, 2, 1, 1.5, 3) };
    const trace = {
      regionId: "hand-left-dorsal",
      statistic: "mean" as const,
      values: Float64Array.of(33, 33, 33, 33, -999, 33),
    };
    const findings = checkTraces({ timeBase, traces: [trace] });
    expect(new Set(findings.map(({ kind }) => kind))).toEqual(
      new Set(["times reversed", "implausible values"]),
    );
  });

  it("take a file without samples, and refuse traces that are not as long as the time base", () => {
    const empty: TimeBase = { kind: "regular", startS: 0, stepS: 1, count: 0 };
    const trace = { regionId: "hand-left-dorsal", statistic: "mean" as const, values: new Float64Array(0) };
    expect(checkTraces({ timeBase: empty, traces: [trace] })).toEqual([]);
    expect(() => checkTraces({ timeBase: { ...empty, count: 2 }, traces: [trace] })).toThrow(
      expect.objectContaining({ code: "unequal lengths" }),
    );
  });
});
