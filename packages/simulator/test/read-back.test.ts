import { sampleCount, sampleTimes } from "@acral/analysis/course";
import { detectColumnMap, type ReadTrace, readSourceFile } from "@acral/ingest";
import { describe, expect, it } from "vitest";
import { dialects, type SimulatedTrace, type SimulatedTrial, simulateStudy } from "../src/index";

const study = simulateStudy({ seed: 20250303 });
const conditions = ["bare hands", "insulated gloves"] as const;

/** Half of the last digit that a dialect prints of a temperature, °C. */
const halfDigitC = {
  "comma-iso": 0.005,
  "comma-iso-gzip": 0.005,
  "semicolon-german": 0.005,
  "tab-fahrenheit": 0.005 / 1.8,
  "pipe-long": 0.0005,
  "aligned-kelvin": 0.005,
} as const;

function key({ target }: SimulatedTrace | ReadTrace): string {
  return target.kind === "region" ? `${target.regionId} ${target.statistic}` : target.channel;
}

function trialOf(dialect: string, condition: string): SimulatedTrial {
  const trial = study.trials.find(
    (candidate) =>
      candidate.file?.dialect === dialect &&
      candidate.condition === condition &&
      candidate.fate.kind === "accepted",
  );
  if (trial === undefined) throw new Error(`no trial in ${dialect} with ${condition}`);
  return trial;
}

describe.each(dialects)("a source file in %s", (dialect) => {
  it.each(conditions)("reads back to the simulated series to its last printed digit (%s)", (condition) => {
    const { file } = trialOf(dialect, condition);
    if (file === null) throw new Error("no file");
    const bytes = file.bytes();
    const truth = file.series();

    const { columnMap } = detectColumnMap(bytes);
    const result = readSourceFile(bytes, columnMap);

    expect(sampleCount(result.timeBase)).toBe(truth.timesS.length);
    sampleTimes(result.timeBase).forEach((timeS, i) => {
      expect(timeS).toBeCloseTo(truth.timesS[i] ?? Number.NaN, 6);
    });
    expect(result.traces.map(key)).toEqual(truth.traces.map(key));
    const apart: string[] = [];
    truth.traces.forEach((trace, at) => {
      const read = result.traces[at];
      const half = trace.unit === "°C" ? halfDigitC[dialect] : 0;
      trace.values.forEach((value, i) => {
        const got = read?.values[i] ?? Number.NaN;
        const same = Number.isNaN(value) ? Number.isNaN(got) : Math.abs(got - value) <= half + 1e-9;
        if (!same) apart.push(`${key(trace)} at ${truth.timesS[i]} s: ${value} read as ${got}`);
      });
    });
    expect(apart).toEqual([]);
  });
});

describe("the file whose camera stopped", () => {
  it("is read up to its last whole row, and the cut-off one is reported", () => {
    const trial = study.trials.find(
      ({ fate }) => fate.kind === "set aside" && fate.reason.includes("camera"),
    );
    if (trial?.file == null) throw new Error("no file");
    const bytes = trial.file.bytes();
    const { timeBase, report } = readSourceFile(bytes, detectColumnMap(bytes).columnMap);
    const truth = trial.file.series();
    const told =
      report.warnings.some(({ kind }) => kind === "last row may be cut off") ||
      report.rowsNotUsed.some(({ reason }) => reason === "cut off");
    expect(told).toBe(true);
    expect(sampleCount(timeBase)).toBeGreaterThanOrEqual(truth.timesS.length - 1);
    expect(sampleCount(timeBase)).toBeLessThanOrEqual(truth.timesS.length);
  });
});
