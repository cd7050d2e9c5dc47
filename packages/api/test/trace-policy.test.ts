import { sampleTimes } from "@acral/analysis/course";
import { describe, expect, it } from "vitest";
import { derive, inputHashOf } from "../src/measure/policy";
import {
  type ClockTrace,
  type FileTraces,
  joinTraces,
  meanSkinTemperatureCourse,
  partOf,
} from "../src/trace/policy";

const region = (
  series: string,
  values: readonly number[],
  statistic: "mean" | "maximum" = "mean",
): ClockTrace => ({
  kind: "region",
  series,
  statistic,
  unit: "°C",
  values: Float64Array.from(values),
  columnName: series,
});

const file = (fileName: string, startS: number, traces: readonly ClockTrace[]): FileTraces => ({
  sourceFileId: fileName,
  fileName,
  timeBase: { kind: "regular", startS, stepS: 1, count: traces[0]?.values.length ?? 0 },
  traces,
});

describe("traces of several files", () => {
  const forearm = (values: readonly number[]) => region("forearm-left-anterior", values);

  it("are put together in order of time when a recording was exported in parts", () => {
    const { traces, overlaps } = joinTraces([
      file("second.csv", 10, [forearm([33, 34])]),
      file("first.csv", 0, [forearm([31, 32])]),
    ]);
    expect(overlaps).toEqual([]);
    expect(traces).toHaveLength(1);
    const [joined] = traces;
    if (joined === undefined) throw new Error("there is one trace");
    expect([...sampleTimes(joined.timeBase)]).toEqual([0, 1, 10, 11]);
    expect([...joined.values]).toEqual([31, 32, 33, 34]);
    expect(joined.fileNames).toEqual(["first.csv", "second.csv"]);
  });

  it("are not chosen between when two files give the same region at the same time", () => {
    const { traces, clashing, overlaps } = joinTraces([
      file("one.csv", 0, [forearm([31, 32])]),
      file("two.csv", 1, [forearm([33, 34])]),
    ]);
    expect(traces).toEqual([]);
    expect(clashing).toHaveLength(2);
    expect(overlaps[0]).toMatch(/Left forearm, anterior \(mean\) is given twice.*one\.csv and two\.csv/);
  });

  it("may hold the same region by two statistics", () => {
    const { traces } = joinTraces([
      file("one.csv", 0, [forearm([31, 32]), region("forearm-left-anterior", [33, 34], "maximum")]),
    ]);
    expect(traces.map(({ statistic }) => statistic)).toEqual(["mean", "maximum"]);
  });
});

describe("a part of a trace that is looked at closer", () => {
  const times = Float64Array.from([0, 10, 20, 30, 40]);
  const values = Float64Array.from([1, 2, 3, 4, 5]);

  it("has one sample more on either side, so that its line runs to the edges", () => {
    const part = partOf(times, values, { fromS: 15, toS: 25 });
    expect([...part.timesS]).toEqual([10, 20, 30]);
    expect([...part.values]).toEqual([2, 3, 4]);
  });

  it("is the whole without a part, and its neighbours where no sample lies inside", () => {
    expect(partOf(times, values, null)).toEqual({ timesS: times, values });
    expect([...partOf(times, values, { fromS: 12, toS: 18 }).timesS]).toEqual([10, 20]);
    expect([...partOf(times, values, { fromS: 50, toS: 60 }).timesS]).toEqual([40]);
    expect([...partOf(new Float64Array(), new Float64Array(), { fromS: 0, toS: 1 }).timesS]).toEqual([]);
  });
});

describe("mean skin temperature for drawing", () => {
  const sites = [
    "chest-left-anterior",
    "upper-arm-left-lateral",
    "thigh-left-anterior",
    "calf-left-posterior",
  ];
  const flat = (values: readonly number[]) => sites.map((site, i) => region(site, Array(20).fill(values[i])));

  it("is the weighted mean of the four sites, whichever files they came from", () => {
    const [chest, arm, ...legs] = flat([33.6, 32.8, 31.8, 31.5]);
    if (chest === undefined || arm === undefined) throw new Error("there are four sites");
    const { traces } = joinTraces([file("upper.csv", 0, [chest, arm]), file("lower.csv", 0, legs)]);
    const mean = meanSkinTemperatureCourse(traces, { fromS: 0, toS: 19 }, 5);
    if (mean.kind !== "available") throw new Error(mean.reason);
    // Ramanathan 1964: chest 0.3, upper arm 0.3, thigh 0.2, calf 0.2
    expect(mean.values[0]).toBeCloseTo(0.3 * 33.6 + 0.3 * 32.8 + 0.2 * 31.8 + 0.2 * 31.5, 10);
  });

  it("says which sites are missing, and does not take maxima for means", () => {
    const maxima = sites.map((site) => region(site, Array(20).fill(33), "maximum"));
    const { traces } = joinTraces([file("one.csv", 0, [...maxima, ...flat([33, 33, 33, 33]).slice(0, 2)])]);
    const mean = meanSkinTemperatureCourse(traces, { fromS: 0, toS: 19 }, 5);
    expect(mean).toEqual({ kind: "unavailable", reason: expect.stringMatching(/thigh, calf/) });
  });
});

describe("what derived numbers rest on", () => {
  const restsOn = {
    sources: [
      {
        sha256: "a",
        columnMap: { delimiter: ",", columns: [1, 2] },
        offsetS: 0,
        readerVersion: "1",
        adjustments: [],
      },
    ],
    markers: [{ name: "Stepping", phaseKey: "step", atS: 120 }],
    planned: [{ key: "step", name: "Stepping", kind: "exercise" as const, durationS: 300 }],
  };
  const [source] = restsOn.sources;
  if (source === undefined) throw new Error("there is one source");
  const step = { kind: "common step" as const, atS: 60, heightC: 0.5 };
  const later = { ...step, atS: 90 };

  it("has one hash, whatever the order in which a document gives its keys back", () => {
    const turned = { ...source, columnMap: { columns: [1, 2], delimiter: "," } };
    expect(inputHashOf({ ...restsOn, sources: [turned] })).toBe(inputHashOf(restsOn));
  });

  it.each([
    ["the bytes", { sources: [{ ...source, sha256: "b" }] }],
    ["the column map", { sources: [{ ...source, columnMap: { delimiter: ";", columns: [1, 2] } }] }],
    ["the offset", { sources: [{ ...source, offsetS: 1 }] }],
    ["the reader", { sources: [{ ...source, readerVersion: "2" }] }],
    ["an adjustment", { sources: [{ ...source, adjustments: [step, later] }] }],
    ["a marker of a phase", { markers: [{ name: "Stepping", phaseKey: "step", atS: 121 }] }],
    ["a phase", { planned: [{ key: "step", name: "Stepping", kind: "rest" as const, durationS: 300 }] }],
  ])("changes with %s", (_, change) => {
    expect(inputHashOf({ ...restsOn, ...change })).not.toBe(inputHashOf(restsOn));
  });

  it("changes with the order of adjustments", () => {
    const inOrder = (...adjustments: (typeof step)[]) =>
      inputHashOf({ ...restsOn, sources: [{ ...source, adjustments }] });
    expect(inOrder(step, later)).not.toBe(inOrder(later, step));
  });

  it("does not change with the name of a marker, nor with a moment that begins no phase", () => {
    const named = [
      { name: "Go", phaseKey: "step", atS: 120 },
      { name: "Sensor moved", phaseKey: null, atS: 5 },
    ];
    expect(inputHashOf({ ...restsOn, markers: named })).toBe(inputHashOf(restsOn));
  });

  it("without an exercise phase gives a reason instead of numbers", () => {
    const traces = [region("forearm-left-anterior", [33, 33, 33])];
    expect(derive([file("one.csv", 0, traces)], [], restsOn.planned)).toEqual({
      kind: "unavailable",
      reason: expect.stringMatching(/No exercise phase is placed/),
    });
  });
});
