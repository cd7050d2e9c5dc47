import { describe, expect, it } from "vitest";
import {
  type AlignedTrace,
  areaOver,
  fallThenRewarming,
  fitBrokenLine,
  highestPoint,
  leftRightDifference,
  levelOver,
  lowestPoint,
  movingMean,
  plateauAtEnd,
  rateOver,
  recoveryHalfTime,
  reduceForDrawing,
  rewarmingOnset,
  trialMeasures,
  usualBinSpacing,
  widenBins,
} from "../../src/course";
import {
  checkTraces,
  commonDrift,
  commonSteps,
  constantRuns,
  hampel,
  implausibleValues,
  missingValues,
  referenceOffset,
  spikes,
} from "../../src/quality";
import { refusal } from "../statistics/refusal";

const window = { fromS: 0, toS: 1000 };

function course(values: readonly number[]): AlignedTrace {
  const coverage = Float64Array.from(values, (value) => (Number.isFinite(value) ? 1 : 0));
  return { binS: 5, firstBin: 0, values: Float64Array.from(values), coverage };
}

const waves = (offset: number) =>
  Array.from({ length: 200 }, (_, i) => offset + ((i % 60) - 30) * ((i % 7) - 3) * 0.01);
const nothing = Array.from({ length: 200 }, () => Number.NaN);
const constant = Array.from({ length: 200 }, () => 33.5);
const indices = (values: readonly number[]) => values.map((_, i) => i);

const ofLevels = (values: readonly number[]): [string, () => unknown][] => {
  const aligned = course(values);
  return [
    ["level", () => levelOver(aligned, window)],
    ["lowest", () => lowestPoint(aligned, window)],
    ["highest", () => highestPoint(aligned, window)],
    ["rate", () => rateOver(aligned, window)],
    ["area", () => areaOver(aligned, window, 33)],
    ["onset", () => rewarmingOnset(aligned, window)],
    ["rule", () => fallThenRewarming(aligned, window, 34)],
    ["half-time", () => recoveryHalfTime(aligned, window, 34, 33)],
    ["broken line", () => fitBrokenLine(indices(values), values)],
  ];
};
const refused = (values: readonly number[]) =>
  Object.fromEntries(ofLevels(values).map(([name, call]) => [name, refusal(call)]));

describe("a course of no value", () => {
  it.each([
    ["at all", [] as number[]],
    ["that is there", nothing],
    ["that is finite", nothing.map(() => Number.POSITIVE_INFINITY)],
  ])("%s has no level, rate, area, onset or half-time, and is refused by name", (_, values) => {
    expect(refused(values)).toEqual({
      level: "empty: window",
      lowest: "empty: window",
      highest: "empty: window",
      rate: "too few: window",
      area: "too few: y",
      onset: "empty: window",
      rule: "empty: window",
      "half-time": "empty: recovery",
      "broken line": "too few: y",
    });
    const aligned = course(values);
    expect(plateauAtEnd(aligned, window)).toBeNull();
    expect(movingMean(aligned, 30).every(Number.isNaN)).toBe(true);
    expect(usualBinSpacing(values)).toBeNaN();
    expect(widenBins(aligned, 2).values.every(Number.isNaN)).toBe(true);
    expect(
      reduceForDrawing(Float64Array.from(indices(values)), aligned.values, 50).values.some(Number.isFinite),
    ).toBe(false);
  });
});

describe("a course of one or two values", () => {
  it("has levels, but no rate from one, and never a break", () => {
    expect(levelOver(course([33]), window)).toBe(33);
    expect(lowestPoint(course([33]), window)).toEqual({ value: 33, timeS: 2.5 });
    expect(refused([33])).toMatchObject({
      rate: "too few: window",
      area: "too few: y",
      "broken line": "too few: y",
    });
    expect(rateOver(course([33, 34]), window)).toBeCloseTo(0.2, 14);
    expect(areaOver(course([33, 34]), window, 33)).toEqual({ net: 2.5, above: 2.5, below: 0 });
    expect(rewarmingOnset(course([33, 34]), window).kind).toBe("no onset");
    expect(fallThenRewarming(course([33, 34]), window, 34).shown).toBe(false);
  });
});

describe("a course that does not change", () => {
  it("is its own lowest and highest point and its plateau, and has neither rate nor break", () => {
    const aligned = course(constant);
    expect(lowestPoint(aligned, window).value).toBe(33.5);
    expect(highestPoint(aligned, window).value).toBe(33.5);
    expect(rateOver(aligned, window)).toBe(0);
    expect(plateauAtEnd(aligned, window)).toEqual({ value: 33.5, fromS: 0, toS: 1000 });
    expect(fitBrokenLine(indices(constant), constant).kind).toBe("no break");
    expect(rewarmingOnset(aligned, window).kind).toBe("no onset");
  });
});

describe("a course a million higher", () => {
  it("has the same rate, area, differences and times, and levels a million higher", () => {
    const low = course(waves(0));
    const high = course(waves(1e6));
    expect(levelOver(high, window) - 1e6).toBeCloseTo(levelOver(low, window), 9);
    expect(lowestPoint(high, window).timeS).toBe(lowestPoint(low, window).timeS);
    expect(lowestPoint(high, window).value - 1e6).toBeCloseTo(lowestPoint(low, window).value, 9);
    expect(rateOver(high, window)).toBeCloseTo(rateOver(low, window), 11);
    expect(areaOver(high, window, 1e6).above).toBeCloseTo(areaOver(low, window, 0).above, 5);
    movingMean(high, 30).forEach((value, i) => {
      expect(value - 1e6).toBeCloseTo(movingMean(low, 30)[i] as number, 9);
    });
    expect(leftRightDifference(high.values, high.values).every((difference) => difference === 0)).toBe(true);
    expect(hampel(waves(1e6)).outliers).toEqual(hampel(waves(0)).outliers);
  });
});

describe("traces that arrive as they should not", () => {
  const ids = ["hand-left-dorsal", "hand-right-dorsal", "chest-left-anterior", "calf-left-posterior"];
  const phases = [
    { name: "sitting", kind: "rest", startS: 0, endS: 300 },
    { name: "steps", kind: "exercise", startS: 300, endS: 700 },
    { name: "sitting again", kind: "recovery", startS: 700, endS: 1000 },
  ] as const;
  const half = waves(33).map((value, i) => (i % 2 === 0 ? value : Number.NaN));
  const infinite = waves(33).map((value, i) => (i === 50 ? Number.POSITIVE_INFINITY : value));

  it.each([
    ["empty", []],
    ["of one value", [33]],
    ["of two values", [33, 34]],
    ["constant", constant],
    ["without a value", nothing],
    ["half missing", half],
    ["infinite in one place", infinite],
    ["zero", constant.map(() => 0)],
    ["a million too high", waves(1e6)],
  ])("%s pass every check, and measures are numbers or say why there is none", (_, values) => {
    const timeBase = { kind: "regular", startS: 0, stepS: 5, count: values.length } as const;
    const traces = ids.map((regionId) => ({
      regionId,
      statistic: "mean" as const,
      timeBase,
      values: Float64Array.from(values),
    }));
    for (const { value, reason } of trialMeasures({ traces, phases }).measures) {
      if (value === null) expect(reason).toMatch(/\w/);
      else expect(Number.isFinite(value)).toBe(true);
    }
    for (const finding of checkTraces({ timeBase, traces })) {
      expect(finding.fromS).toBeLessThanOrEqual(finding.toS);
      expect(finding.size === null || Number.isFinite(finding.size)).toBe(true);
    }
    expect(commonSteps(timeBase, traces)).toEqual([]);
    expect(commonDrift(timeBase, traces)).toBeNull();
    const [trace] = traces;
    if (trace === undefined) throw new Error("there are four traces");
    expect(spikes(timeBase, trace)).toEqual([]);
    expect(constantRuns(timeBase, trace)).toHaveLength(
      values.length === 200 && new Set(values).size === 1 && values !== nothing ? 1 : 0,
    );
    expect(missingValues(timeBase, trace)).toHaveLength(values === nothing ? 1 : 0);
    const strange = values.some((value) => Number.isFinite(value) && (value < 5 || value > 45));
    expect(implausibleValues(timeBase, trace)).toHaveLength(strange ? 1 : 0);
    const reference = { measured: trace.values, trueC: 33 };
    if (values.some(Number.isFinite)) {
      expect(referenceOffset(timeBase, reference).offset.every(Number.isFinite)).toBe(true);
    } else {
      expect(refusal(() => referenceOffset(timeBase, reference))).toBe("empty: reference");
    }
  });
});
