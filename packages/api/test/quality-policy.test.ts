import type { MeasureName, TrialMeasure } from "@acral/analysis/course";
import type { AdjustmentSettings } from "@acral/analysis/quality";
import { describe, expect, it } from "vitest";
import { adjustmentTitle, doubledBy, onClock, timeShiftOf } from "../src/adjustment/policy";
import { checkContext, checkFile, checkHashOf } from "../src/finding/policy";
import { emptyImagingRecord } from "../src/imaging/schema";
import type { Derived } from "../src/measure/policy";
import { outlived, type Reading } from "../src/outlived-adjustment/policy";
import { emptyContent } from "../src/protocol/policy";
import { measuresBothWays, standingOf, verdictOf } from "../src/quality/policy";
import { countByKind, inOrderOf } from "../src/study-quality/policy";
import { applyTo, type ClockTrace } from "../src/trace/policy";
import { hand, recording } from "./adjusted-file";
import { commaMap, recordedRegions } from "./ready-study";

const step: AdjustmentSettings = { kind: "common step", atS: 700, heightC: 0.8 };
const drift: AdjustmentSettings = { kind: "warming-up drift", startS: 0, amplitudeC: 1.5, tauS: 300 };
const handKey = `${hand} (mean)`;
const mask: AdjustmentSettings = { kind: "mask", fromS: 10, toS: 20, series: [handKey] };
const shift: AdjustmentSettings = { kind: "time shift", byS: -2.5 };
const reference: AdjustmentSettings = {
  kind: "reference drift",
  reference: "reference surface temperature",
  trueC: 35,
  smoothingS: 60,
};
const emissivity: AdjustmentSettings = {
  kind: "emissivity",
  from: { emissivity: 1, reflectedC: 23 },
  to: { emissivity: 0.98, reflectedC: 23 },
};
const all = [step, drift, mask, shift, reference, emissivity];

describe("an adjustment", () => {
  it("is moved to another clock by its moments alone, and back", () => {
    expect(onClock(step, 100)).toEqual({ ...step, atS: 800 });
    expect(onClock(mask, 100)).toMatchObject({ fromS: 110, toS: 120 });
    for (const settings of all) expect(onClock(onClock(settings, 64), -64)).toEqual(settings);
    expect(timeShiftOf([step, shift, shift])).toBe(-5);
  });

  it("has a title in plain words with signs, units and the names of regions", () => {
    expect(all.map(adjustmentTitle)).toEqual([
      "Step of +0.8 °C at 700 s taken out",
      "Drift of +1.5 °C, settling with a time constant of 300 s, taken out",
      "Left hand, dorsal (mean) masked from 10 s to 20 s",
      "Times moved by −2.5 s",
      "Offset against the reference surface taken out (true 35 °C, smoothed over 60 s)",
      "Emissivity 1 (reflected 23 °C) changed to 0.98 (reflected 23 °C)",
    ]);
    expect(adjustmentTitle({ ...mask, series: null })).toBe("Everything masked from 10 s to 20 s");
    expect(adjustmentTitle({ ...drift, amplitudeC: -0.001, tauS: null })).toBe(
      "Even drift of −0.06 °C per minute taken out",
    );
  });

  it("is told to be of the same fault as another one, where both together correct it twice", () => {
    expect(doubledBy(reference, [drift])).toMatch(/taken out twice/);
    expect(doubledBy(step, [reference])).toMatch(/before the reference surface/);
    expect(doubledBy(emissivity, [emissivity])).toMatch(/already/);
    expect(doubledBy(step, [step, drift, mask])).toBeNull();
  });
});

describe("after another reading", () => {
  const map = commaMap();
  const series = new Set([
    ...recordedRegions.map((regionId) => `${regionId} (mean)`),
    "reference surface temperature",
  ]);
  const before: Reading = { columnMap: map, series };
  const inFahrenheit: Reading = {
    columnMap: {
      ...map,
      columns: map.columns.map((column, k) => (k === 1 ? { ...column, unit: "°F" } : column)),
    },
    series,
  };
  const otherClock: Reading = {
    columnMap: { ...map, time: { ...map.time, dateOrder: "day-month-year" } },
    series,
  };
  const otherSheet: Reading = { columnMap: { ...map, sheet: "Second camera" }, series };
  const dated: Reading = {
    columnMap: { ...map, time: { ...map.time, date: "2026-02-03", clock: "10:15:00" } },
    series,
  };
  const fewer: Reading = { columnMap: map, series: new Set(["chest-left-anterior (mean)"]) };

  it.each([
    ["the same map", before, []],
    ["another clock", otherClock, ["common step", "warming-up drift", "mask", "time shift"]],
    ["another sheet", otherSheet, ["common step", "warming-up drift", "mask", "time shift"]],
    ["a stated begin", dated, []],
    ["another unit of a region", inFahrenheit, ["common step", "warming-up drift", "emissivity"]],
    ["without the series that they name", fewer, ["mask", "reference drift"]],
  ])("by %s, those that make no sense any more are named with why", (_, now, gone) => {
    expect(
      all.filter((settings) => outlived(settings, before, now) !== null).map(({ kind }) => kind),
    ).toEqual(gone);
  });
});

describe("a check of a file", () => {
  const phases = [
    { key: "sit", name: "Sitting", kind: "rest" as const, durationS: 420 },
    { key: "step", name: "Stepping", kind: "exercise" as const, durationS: 780 },
  ];
  const { imaging } = emptyContent();
  const known = { ...imaging, referenceSource: { ...imaging.referenceSource, temperatureC: 35 } };
  const markers = [{ name: "Stepping", phaseKey: "step", atS: 420 }];

  it("takes the start of exercise on the file's clock, and the reference of the day before that of the protocol", () => {
    const at = (record: Parameters<typeof checkContext>[2]) =>
      checkContext(markers, { phases, imaging: known }, record, 20);
    expect(at(null)).toEqual({ exerciseStartS: 400, referenceC: 35 });
    expect(at({ ...emptyImagingRecord(), referenceTemperatureC: 34.8 }).referenceC).toBe(34.8);
    expect(at({ ...emptyImagingRecord(), referenceInView: false }).referenceC).toBeNull();
    expect(checkContext([], { phases, imaging }, null, 0)).toEqual({
      exerciseStartS: null,
      referenceC: null,
    });
  });

  it("is another one when anything that it rests on differs", () => {
    const restsOn = { sha256: "a", columnMap: {}, readerVersion: "1", exerciseStartS: 400, referenceC: null };
    const changes = [
      { sha256: "b" },
      { columnMap: { a: 1 } },
      { readerVersion: "2" },
      { exerciseStartS: 401 },
      { referenceC: 35 },
    ];
    const hashes = [{}, ...changes].map((change) => checkHashOf({ ...restsOn, ...change }));
    expect(new Set(hashes).size).toBe(hashes.length);
  });

  it("finds what a reference surface shows, and proposes what takes it out of every region", () => {
    const traces = recording({ driftC: 1.5 }).map(
      (values, k): ClockTrace => ({
        kind: "region",
        series: recordedRegions[k] ?? "",
        statistic: "mean",
        unit: "°C",
        columnName: "",
        values: Float64Array.from(values),
      }),
    );
    const surface: ClockTrace = {
      kind: "channel",
      series: "reference surface temperature",
      statistic: null,
      unit: "°C",
      columnName: "",
      values: Float64Array.from({ length: 1500 }, (_, t) => 35 + 1.5 * (1 - Math.exp(-t / 300))),
    };
    const file = {
      timeBase: { kind: "regular" as const, startS: 0, stepS: 1, count: 1500 },
      traces: [...traces, surface],
    };
    const { findings } = checkFile(file, { exerciseStartS: 420, referenceC: 35 });
    const finding = findings.find(({ kind }) => kind === "reference drift");
    expect(finding?.proposal).toMatchObject({ kind: "reference drift", trueC: 35 });
    if (finding?.proposal == null) throw new Error("nothing is proposed");
    const adjusted = applyTo(file, [finding.proposal]);
    const truth = recording({});
    const last = (k: number) => adjusted.traces[k]?.values.at(-1) ?? Number.NaN;
    for (let k = 0; k < 6; k++) expect(Math.abs(last(k) - (truth[k]?.at(-1) ?? 0))).toBeLessThan(0.1);
    expect(
      checkFile(file, { exerciseStartS: 420, referenceC: null }).findings.map(({ kind }) => kind),
    ).not.toContain("reference drift");
  });
});

describe("a verdict", () => {
  const derived = (...measures: [MeasureName, string | null, number | null][]): Derived => ({
    kind: "available",
    traces: [],
    phases: [],
    meanSkinTemperature: null,
    measures: measures.map(
      ([name, regionId, value]) => ({ name, regionId, value, unit: "°C" }) as TrialMeasure,
    ),
  });
  const verdict = (adjusted: Derived, recorded: Derived, adjustments = 1, open = 0) =>
    verdictOf(measuresBothWays(adjusted, recorded), { adjustments, open }, null);

  it("says that conclusions survive where nothing changed, or levels only", () => {
    const recorded = derived(["change", null, -1.2], ["baseline", hand, 31]);
    expect(verdict(recorded, recorded)).toMatchObject({ survives: "same" });
    const moved = verdict(derived(["change", null, -1.2], ["baseline", hand, 31.5]), recorded);
    expect(moved.survives).toBe("levels only");
    expect(moved.sentence).toMatch(/^The conclusions survive: 1 of 2 measures .* all of them levels/);
  });

  it("says that they do not where a change turns round, or a measure is there on one side only", () => {
    const recorded = derived(["change", null, 0.6], ["change", hand, -1]);
    const turned = verdict(derived(["change", null, -0.2], ["change", hand, -1.8]), recorded, 2, 3);
    expect(turned.survives).toBe("rest on adjustments");
    expect(turned.sentence).toMatch(/change of mean skin temperature .*0\.6.* 3 findings are still open\.$/);
    expect(verdict(derived(["change", null, null]), derived(["change", null, 0.3]))).toMatchObject({
      survives: "rest on adjustments",
      sentence: expect.stringMatching(/can be given only without them/),
    });
  });

  it("takes a change around nothing for no other conclusion", () => {
    expect(verdict(derived(["change", null, -0.03]), derived(["change", null, 0.04])).survives).toBe("same");
  });

  it("says nothing before there are measures", () => {
    expect(verdictOf([], { adjustments: 0, open: 1 }, "No exercise phase is placed.")).toEqual({
      survives: "unknown",
      sentence: "Nothing can be said yet. No exercise phase is placed. 1 finding is still open.",
    });
  });
});

describe("quality over a study", () => {
  it("counts findings by kind with the largest, and puts an adjustment before a decision", () => {
    expect(standingOf("dismissed", "an-adjustment")).toBe("adjusted");
    const found = (size: number | null) => ({
      kind: "common step" as const,
      size,
      unit: "°C",
      standing: "open" as const,
    });
    expect(countByKind([found(0.4), found(-0.9), found(null)])).toEqual([
      { kind: "common step", count: 3, largest: -0.9, unit: "°C" },
    ]);
  });

  it("orders trials both ways, and equals by volunteer", () => {
    const row = (volunteerCode: string, stepC: number | null) => ({
      trialId: volunteerCode,
      volunteerCode,
      conditionName: "bare",
      occasion: 1,
      recordedOn: null,
      open: 0,
      stepC,
      driftC: null,
      missingShare: null,
    });
    const rows = [row("C", 0.2), row("B", null), row("A", -0.5), row("D", null)];
    const codes = (direction: "ascending" | "descending") =>
      [...rows]
        .sort(inOrderOf({ sort: "step", direction }))
        .map(({ volunteerCode }) => volunteerCode)
        .join("");
    expect(codes("descending")).toBe("ACBD");
    expect(codes("ascending")).toBe("BDCA");
  });
});
