import { describe, expect, it } from "vitest";
import { analysisVersion } from "../../src";
import {
  alignTrial,
  measureCatalogue,
  type PhaseInterval,
  type TimeBase,
  type TrialMeasures,
  type TrialTrace,
  trialMeasures,
} from "../../src/course";
import type { Statistic } from "../../src/skin";

/** Ten minutes of rest, twenty of exercise, ten of recovery, beginning 30 s into the file. */
const phases: readonly PhaseInterval[] = [
  { name: "sitting", kind: "rest", startS: 30, endS: 630 },
  { name: "stepping", kind: "exercise", startS: 630, endS: 1830 },
  { name: "sitting again", kind: "recovery", startS: 1830, endS: 2430 },
];
const second: TimeBase = { kind: "regular", startS: 0, stepS: 1, count: 2440 };

/** Level at rest; falls for 400 s of exercise, rises for 400 s, stays; returns in recovery. */
function course(level: number, fall: number, rise: number): (time: number) => number {
  return (time) => {
    const t = time - 630;
    if (t <= 0) return level;
    if (t <= 400) return level - (fall * t) / 400;
    if (t <= 800) return level - fall + (rise * (t - 400)) / 400;
    if (t <= 1200) return level - fall + rise;
    return level + (rise - fall) * (1 - Math.min(1, (t - 1200) / 200));
  };
}

function trace(
  regionId: string,
  shape: (time: number) => number,
  statistic: Statistic = "mean",
  timeBase: TimeBase = second,
): TrialTrace {
  const count = timeBase.kind === "regular" ? timeBase.count : timeBase.timesS.length;
  const timeOf = (i: number) =>
    timeBase.kind === "regular" ? timeBase.startS + i * timeBase.stepS : (timeBase.timesS[i] ?? 0);
  return {
    regionId,
    statistic,
    timeBase,
    values: Float64Array.from({ length: count }, (_, i) => shape(timeOf(i))),
  };
}

const four = [
  trace("chest-left-anterior", course(34, 1, 0.5)),
  trace("upper-arm-left-lateral", course(33, 2, 1)),
  trace("thigh-left-anterior", course(32, 1, 0.5)),
  trace("calf-left-posterior", course(31, 1, 0.5)),
];

function find(result: TrialMeasures, regionId: string | null, name: string) {
  const found = result.measures.find((measure) => measure.regionId === regionId && measure.name === name);
  if (found === undefined) throw new Error(`no measure ${name} of ${regionId}`);
  return found;
}

describe("the measures of a trial", () => {
  const result = trialMeasures({ traces: four, phases });
  const of = (name: string, regionId: string | null = "upper-arm-left-lateral") =>
    find(result, regionId, name);

  it("take the baseline over the last part of rest and the end over the last part of exercise", () => {
    expect(of("baseline").value).toBeCloseTo(33, 10);
    expect(of("end of exercise").value).toBeCloseTo(32, 10);
    expect(of("change").value).toBeCloseTo(-1, 10);
    expect(of("baseline").unit).toBe("°C");
  });

  it("count times from the start of the first exercise phase", () => {
    expect(Math.abs((of("time of lowest point").value ?? 0) - 400)).toBeLessThanOrEqual(10);
    expect(Math.abs((of("onset of rewarming").value ?? 0) - 400)).toBeLessThan(3);
    expect(of("onset of rewarming").unit).toBe("s");
  });

  it("give fall, rise and their rates", () => {
    expect(of("lowest point").value).toBeCloseTo(31, 0);
    expect(of("fall").value).toBeCloseTo(33 - (of("lowest point").value ?? 0), 10);
    expect(of("rise").value).toBeCloseTo(32 - (of("lowest point").value ?? 0), 1);
    expect(of("rate of fall").value).toBeCloseTo(-2 / 400, 4);
    expect(of("rate of rewarming").value).toBeCloseTo(1 / 400, 4);
    // The last 160 s of the rise lie within the plateau's tolerance too.
    expect(Math.abs((of("plateau").value ?? 0) - 32)).toBeLessThan(0.1);
  });

  it("give the area under the change and the recovery half-time", () => {
    // Below baseline: a triangle of 2 °C · 400 s / 2, a trapezoid of (2 + 1) / 2 °C · 400 s, a rectangle of 1 °C · 400 s.
    expect(Math.abs((of("area under the change").value ?? 0) + 1400)).toBeLessThan(6);
    expect(Math.abs((of("recovery half-time").value ?? 0) - 100)).toBeLessThan(10);
  });

  it("include mean skin temperature as a measure of the whole body", () => {
    // Ramanathan 1964: 0.3 chest + 0.3 upper arm + 0.2 thigh + 0.2 calf.
    expect(of("baseline", null).value).toBeCloseTo(0.3 * 34 + 0.3 * 33 + 0.2 * 32 + 0.2 * 31, 10);
    expect(of("change", null).value).toBeCloseTo(0.3 * -0.5 + 0.3 * -1 + 0.2 * -0.5 + 0.2 * -0.5, 10);
    expect(of("change", null).statistic).toBeNull();
  });

  it("carry settings and the version of the analysis", () => {
    expect(result.version).toBe(analysisVersion);
    expect(result.settings.baselineS).toBe(120);
    expect(result.settings.weighting).toBe("ramanathan-4");
    const units = new Map(measureCatalogue.map(({ name, unit }) => [name, unit]));
    for (const measure of result.measures) expect(measure.unit).toBe(units.get(measure.name));
  });

  it("give a value or a reason, never both and never neither", () => {
    const { measures } = trialMeasures({ traces: four.slice(0, 2), phases: phases.slice(1, 2) });
    for (const { name, value, reason } of [...measures, ...result.measures]) {
      expect(value === null, name).toBe(reason !== undefined);
      if (value !== null) expect(Number.isFinite(value), name).toBe(true);
    }
  });

  it("say which sites mean skin temperature misses, and mark renormalised weights", () => {
    const three = four.slice(0, 3);
    const refused = find(trialMeasures({ traces: three, phases }), null, "baseline");
    expect(refused.value).toBeNull();
    expect(refused.reason).toMatch(/missing: calf/);
    const settings = { missingSites: "renormalise" } as const;
    const marked = find(trialMeasures({ traces: three, phases, settings }), null, "baseline");
    expect(marked.value).toBeCloseTo((0.3 * 34 + 0.3 * 33 + 0.2 * 32) / 0.8, 10);
    expect(marked.note).toBe("weights renormalised without calf");
  });

  it("say why there is no baseline and no recovery", () => {
    const { measures, ...rest } = trialMeasures({ traces: four, phases: phases.slice(1, 2) });
    const only = { measures, ...rest };
    expect(find(only, "chest-left-anterior", "baseline").reason).toMatch(/no rest phase/);
    expect(find(only, "chest-left-anterior", "change").reason).toMatch(/no rest phase/);
    expect(find(only, "chest-left-anterior", "end of exercise").value).toBeCloseTo(33.5, 10);
    const noRecovery = trialMeasures({ traces: four, phases: phases.slice(0, 2) });
    expect(find(noRecovery, "chest-left-anterior", "recovery half-time").reason).toMatch(/no recovery phase/);
  });

  it("do not take a level from a window that is mostly missing", () => {
    const shape = course(33, 2, 1);
    const gap = (from: number, to: number) => (time: number) =>
      time > from && time < to ? Number.NaN : shape(time);
    const gaps = trialMeasures({ traces: [trace("hand-left-dorsal", gap(500, 620))], phases });
    expect(find(gaps, "hand-left-dorsal", "baseline").reason).toMatch(/only \d+ % of the time/);
    const exerciseGap = trialMeasures({ traces: [trace("hand-left-dorsal", gap(700, 1700))], phases });
    expect(find(exerciseGap, "hand-left-dorsal", "lowest point").reason).toMatch(/only \d+ % of the time/);
    const shortGap = trialMeasures({ traces: [trace("hand-left-dorsal", gap(900, 1000))], phases });
    expect(find(shortGap, "hand-left-dorsal", "area under the change").reason).toMatch(
      /no gap longer than 60 s/,
    );
  });

  it("measure a region by its mean, or by a point where there is no mean, never by its maximum", () => {
    const traces = [
      trace("hand-left-dorsal", course(35, 2, 1), "maximum"),
      trace("hand-left-dorsal", course(33, 2, 1)),
      trace("hand-right-dorsal", course(36, 2, 1), "maximum"),
      trace("toe-left-plantar", course(30, 2, 1), "point"),
    ];
    const measured = trialMeasures({ traces, phases });
    expect(find(measured, "hand-left-dorsal", "baseline").value).toBeCloseTo(33, 10);
    expect(find(measured, "toe-left-plantar", "baseline").statistic).toBe("point");
    expect(measured.measures.some(({ regionId }) => regionId === "hand-right-dorsal")).toBe(false);
    expect(measured.aligned.traces).toHaveLength(4);
  });

  it("give patchiness, left–right difference and forearm–fingertip gradient where they can be had", () => {
    const traces = [
      trace("hand-left-dorsal", course(33, 2, 1)),
      trace("hand-right-dorsal", course(32.5, 2, 0)),
      trace("hand-left-dorsal", (time) => (time < 700 ? 0.4 : 0.9), "standard deviation"),
      trace("forearm-left-anterior", course(32, 1, 0)),
      trace("fingertip-left-palmar", course(30, 3, 0)),
    ];
    const measured = trialMeasures({ traces, phases });
    expect(find(measured, "hand-left-dorsal", "patchiness at baseline").value).toBeCloseTo(0.4, 10);
    expect(find(measured, "hand-left-dorsal", "patchiness at end of exercise").value).toBeCloseTo(0.9, 10);
    expect(find(measured, "hand-left-dorsal", "left-right difference at baseline").value).toBeCloseTo(
      0.5,
      10,
    );
    expect(find(measured, "hand-left-dorsal", "left-right difference at end of exercise").value).toBeCloseTo(
      1.5,
      10,
    );
    expect(
      find(measured, "fingertip-left-palmar", "forearm-fingertip gradient at baseline").value,
    ).toBeCloseTo(2, 10);
    expect(
      find(measured, "fingertip-left-palmar", "forearm-fingertip gradient at end of exercise").value,
    ).toBeCloseTo(4, 10);
  });

  it("put traces of different files onto one grid", () => {
    const slow: TimeBase = { kind: "irregular", timesS: Float64Array.from({ length: 82 }, (_, i) => 30 * i) };
    const traces = [...four.slice(0, 3), trace("calf-left-posterior", course(31, 1, 0.5), "point", slow)];
    const aligned = alignTrial(traces, phases);
    expect(new Set(aligned.traces.map(({ values }) => values.length)).size).toBe(1);
    const measured = trialMeasures({ traces, phases });
    expect(find(measured, "calf-left-posterior", "baseline").value).toBeCloseTo(31, 10);
    expect(find(measured, null, "baseline").value).toBeCloseTo(32.7, 10);
  });

  it("span several exercise phases, from the start of the first to the end of the last", () => {
    const intervals: PhaseInterval[] = [
      { name: "rest", kind: "rest", startS: 0, endS: 630 },
      { name: "work 1", kind: "exercise", startS: 630, endS: 930 },
      { name: "pause", kind: "rest", startS: 930, endS: 1000 },
      { name: "work 2", kind: "exercise", startS: 1000, endS: 1830 },
    ];
    const measured = trialMeasures({ traces: four, phases: intervals });
    expect(find(measured, "chest-left-anterior", "baseline").value).toBeCloseTo(34, 10);
    expect(find(measured, "chest-left-anterior", "end of exercise").value).toBeCloseTo(33.5, 10);
    expect(
      Math.abs((find(measured, "chest-left-anterior", "time of lowest point").value ?? 0) - 400),
    ).toBeLessThanOrEqual(10);
  });

  it("do not depend on the order of traces and phases", () => {
    const reversed = trialMeasures({ traces: [...four].reverse(), phases: [...phases].reverse() });
    for (const { name, regionId, value } of result.measures)
      expect(find(reversed, regionId, name).value).toBe(value);
  });

  it("shift with the level of all traces: levels by the shift, changes not at all", () => {
    const shifted = trialMeasures({
      traces: four.map((t) => ({ ...t, values: t.values.map((v) => v + 1.5) })),
      phases,
    });
    expect(find(shifted, null, "baseline").value).toBeCloseTo((of("baseline", null).value ?? 0) + 1.5, 9);
    expect(find(shifted, null, "change").value).toBeCloseTo(of("change", null).value ?? 0, 9);
    expect(find(shifted, null, "time of lowest point").value).toBe(of("time of lowest point", null).value);
  });

  it("are refused without an exercise phase, with phases that overlap, with a trace twice, and with an unknown region", () => {
    const [rest, exercise] = phases;
    if (rest === undefined || exercise === undefined) throw new Error("phases are given");
    const code = (expected: string) => expect.objectContaining({ code: expected });
    expect(() => trialMeasures({ traces: four, phases: [rest] })).toThrow(code("missing"));
    expect(() => trialMeasures({ traces: four, phases: [rest, { ...exercise, startS: 600 }] })).toThrow(
      /begins before "sitting" ends/,
    );
    expect(() => trialMeasures({ traces: four, phases: [{ ...exercise, endS: 630 }] })).toThrow(
      code("out of range"),
    );
    expect(() => trialMeasures({ traces: [...four, ...four], phases })).toThrow(/given twice/);
    expect(() =>
      trialMeasures({ traces: [{ ...four[0], regionId: "nowhere" } as TrialTrace], phases }),
    ).toThrow(code("unknown"));
  });

  it("of a trial without traces hold only the reasons of mean skin temperature", () => {
    const { measures } = trialMeasures({ traces: [], phases });
    expect(measures.every(({ regionId, value }) => regionId === null && value === null)).toBe(true);
    expect(measures.length).toBeGreaterThan(0);
  });
});
