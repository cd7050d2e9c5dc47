import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { TimeBase } from "../../src/course";
import {
  constantRuns,
  hampel,
  implausibleValues,
  missingValues,
  type QualityTrace,
  spikes,
  timeBaseDefects,
} from "../../src/quality";
import { normal, seededRandom } from "../seeded-random";
import { drawnTrial } from "./drawn-trial";
import { hampelCases } from "./hampel-cases";

const irregular = (...times: number[]): TimeBase => ({ kind: "irregular", timesS: Float64Array.from(times) });
const seconds = (count: number): TimeBase => ({ kind: "regular", startS: 0, stepS: 1, count });
const trace = (
  values: readonly number[] | Float64Array,
  statistic: QualityTrace["statistic"] = "mean",
): QualityTrace => ({
  regionId: "hand-left-dorsal",
  statistic,
  values: Float64Array.from(values),
});

describe("the Hampel identifier", () => {
  it.each(hampelCases)(
    "replaces the outliers that the definition names: $name",
    ({ x, halfWidth, nSigma, untouched, truncated }) => {
      for (const [edges, expected] of [
        ["untouched", untouched],
        ["truncated", truncated],
      ] as const) {
        const result = hampel(x, { halfWidth, nSigma, edges });
        expect([...result.outliers]).toEqual([...expected.outliers]);
        for (const [i, value] of expected.filtered.entries())
          expect(result.filtered[i]).toBeCloseTo(value, 12);
      }
    },
  );

  it("leaves missing values missing and out of its windows", () => {
    const result = hampel([33, Number.NaN, 33.1, 40, 33, 33.2, Number.NaN, 33.1], { halfWidth: 3 });
    expect(result.outliers).toEqual([3]);
    expect(result.filtered[1]).toBeNaN();
  });

  it("moves with shift and scale of the values", () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 0, max: 64 }), { minLength: 5, maxLength: 40 }), (x) => {
        const plain = hampel(x, { halfWidth: 2 });
        const moved = hampel(
          x.map((value) => 1024 + 4 * value),
          { halfWidth: 2 },
        );
        expect(moved.outliers).toEqual(plain.outliers);
      }),
    );
  });

  it("finds nothing in an empty, a single and a constant series, and refuses a width of zero", () => {
    expect(hampel([]).outliers).toEqual([]);
    expect(hampel([33]).outliers).toEqual([]);
    expect(hampel([33, 33, 33]).outliers).toEqual([]);
    expect(() => hampel([33], { halfWidth: 0 })).toThrow(expect.objectContaining({ argument: "halfWidth" }));
  });
});

describe("spikes", () => {
  it("are found with their height, and neighbours are one spike", () => {
    const values = Float64Array.from({ length: 200 }, (_, i) => 33 + (i % 3) / 100);
    values[50] = 35;
    values[120] = 30;
    values[121] = 30.2;
    const found = spikes(seconds(200), trace(values));
    expect(found.map(({ fromS, toS, count }) => [fromS, toS, count])).toEqual([
      [50, 50, 1],
      [120, 121, 2],
    ]);
    expect(found[0]?.size).toBeCloseTo(2, 1);
    expect(found[1]?.size).toBeCloseTo(-3, 1);
  });

  it("are not seen in noise, nor in a physiological fall, nor in coarse resolution", () => {
    for (let seed = 1; seed <= 10; seed++) {
      const { timeBase, traces } = drawnTrial(seed, 1);
      for (const one of traces) {
        expect(spikes(timeBase, one)).toEqual([]);
        expect(spikes(timeBase, { ...one, values: one.values.map((v) => Math.round(v * 10) / 10) })).toEqual(
          [],
        );
      }
    }
  });

  it("of 1 °C are found wherever they are put", () => {
    const random = seededRandom(5);
    for (let seed = 1; seed <= 10; seed++) {
      const { timeBase, traces } = drawnTrial(seed, 1);
      for (const one of traces) {
        const at = 5 + Math.floor(random() * (one.values.length - 10));
        const values = Float64Array.from(one.values);
        values[at] = (values[at] ?? 0) + (random() < 0.5 ? 1 : -1);
        expect(spikes(timeBase, { ...one, values }).map(({ fromS }) => fromS)).toEqual([at]);
      }
    }
  });
});

describe("stuck and saturated values", () => {
  const noisy = (count: number, seed = 3) => {
    const random = seededRandom(seed);
    return Array.from({ length: count }, () => Math.round((33 + 0.1 * normal(random)) * 100) / 100);
  };

  it("are runs of exactly one value that chance does not make", () => {
    const values = noisy(600);
    for (let i = 200; i < 260; i++) values[i] = values[200] ?? 0;
    const found = constantRuns(seconds(600), trace(values));
    expect(found).toHaveLength(1);
    expect(found[0]).toMatchObject({ kind: "stuck", count: 60 });
    expect(Math.abs((found[0]?.fromS ?? 0) - 200)).toBeLessThanOrEqual(1);
  });

  it("are told apart: at the trace's extreme they are saturated", () => {
    const values = noisy(600).map((value) => Math.min(value, 33.15));
    for (let i = 300; i < 340; i++) values[i] = 33.15;
    const found = constantRuns(seconds(600), trace(values));
    expect(found.map(({ kind }) => kind)).toEqual(["saturated"]);
  });

  it("are seen at the ends of a known range however short", () => {
    const values = noisy(100);
    values[40] = 40;
    expect(constantRuns(seconds(100), trace(values), { rangeC: [0, 40] })).toMatchObject([
      { kind: "saturated", count: 1, confidence: "sure" },
    ]);
  });

  it("are the whole trace where it never changes", () => {
    expect(constantRuns(seconds(100), trace(Array.from({ length: 100 }, () => 33)))).toMatchObject([
      { kind: "stuck", count: 100, confidence: "sure" },
    ]);
  });

  it("are not seen in a slow trace of coarse resolution", () => {
    const slow = Array.from({ length: 3600 }, (_, i) => Math.round((33 + Math.sin(i / 700)) * 10) / 10);
    expect(constantRuns(seconds(3600), trace(slow))).toEqual([]);
    for (let seed = 1; seed <= 10; seed++) {
      const { timeBase, traces } = drawnTrial(seed, 1);
      for (const one of traces)
        expect(
          constantRuns(timeBase, { ...one, values: one.values.map((v) => Math.round(v * 10) / 10) }),
        ).toEqual([]);
    }
  });

  it("are not seen in missing values", () => {
    expect(constantRuns(seconds(50), trace(Array.from({ length: 50 }, () => Number.NaN)))).toEqual([]);
    expect(constantRuns(seconds(0), trace([]))).toEqual([]);
  });
});

describe("missing values", () => {
  it("are stretches of a least length, at the ends too", () => {
    const values = Array.from({ length: 60 }, (_, i) =>
      i < 6 || (i >= 20 && i < 23) || i >= 50 ? Number.NaN : 33,
    );
    expect(
      missingValues(seconds(60), trace(values)).map(({ fromS, toS, count }) => [fromS, toS, count]),
    ).toEqual([
      [0, 6, 6],
      [50, 60, 10],
    ]);
    expect(missingValues(seconds(60), trace(values), 2)).toHaveLength(3);
  });

  it("are the whole trace where it has none", () => {
    expect(missingValues(seconds(2), trace([Number.NaN, Number.NaN]))).toMatchObject([
      { count: 2, meaning: "The trace has no values at all." },
    ]);
    expect(missingValues(seconds(3), trace([33, 33, 33]))).toEqual([]);
  });
});

describe("implausible values", () => {
  it.each([
    [91.4, /Fahrenheit.*33\.0 °C/],
    [306.15, /kelvin.*33\.0 °C/],
    [3300, /hundredths of a degree Celsius.*33\.0 °C/],
    [30615, /hundredths of a kelvin.*33\.0 °C/],
    [1e6, /no unit that is known/],
  ])("in another unit are named: %s", (value, message) => {
    const [found, ...rest] = implausibleValues(seconds(3), trace([value, value + 0.1, value]));
    expect(rest).toEqual([]);
    expect(found?.kind).toBe("unit in doubt");
    expect(found?.meaning).toMatch(message);
  });

  it("are found stretch by stretch where the rest is skin, each with a mask", () => {
    const found = implausibleValues(seconds(7), trace([33, -999, 33, 120, 130, 33, 33]));
    expect(found).toMatchObject([
      { kind: "implausible values", count: 1, size: -999, fromS: 1, toS: 1 },
      { kind: "implausible values", count: 2, size: 130, fromS: 3, toS: 4 },
    ]);
    expect(found[1]?.proposal).toEqual({
      kind: "mask",
      fromS: 3,
      toS: 4,
      series: ["hand-left-dorsal (mean)"],
    });
  });

  it("are one finding without a mask where they are scattered over the trace", () => {
    const scattered = trace(Array.from({ length: 100 }, (_, i) => (i % 4 === 2 ? -999 : 33)));
    expect(implausibleValues(seconds(100), scattered)).toMatchObject([
      { kind: "implausible values", count: 25, size: -999, fromS: 2, toS: 98, proposal: null },
    ]);
  });

  it("are not seen in skin, in spreads, in nothing", () => {
    expect(implausibleValues(seconds(2), trace([33, 24]))).toEqual([]);
    expect(implausibleValues(seconds(2), trace([0.4, 0.5], "standard deviation"))).toEqual([]);
    expect(implausibleValues(seconds(2), trace([Number.NaN, Number.NaN]))).toEqual([]);
  });
});

describe("the time base", () => {
  it("of regular sampling has no defects", () => {
    expect(timeBaseDefects(seconds(10))).toEqual([]);
    expect(timeBaseDefects(irregular(0, 1, 2, 3, 4))).toEqual([]);
    expect(timeBaseDefects(irregular())).toEqual([]);
    expect(timeBaseDefects(irregular(7))).toEqual([]);
  });

  it("has gaps where samples are further apart than three usual spacings", () => {
    expect(timeBaseDefects(irregular(0, 1, 2, 3, 14, 15, 16))).toMatchObject([
      { kind: "gap in time", fromS: 3, toS: 14, size: 11 },
    ]);
  });

  it("runs backwards, repeats, and lacks times", () => {
    expect(timeBaseDefects(irregular(0, 1, 2, 3, 1, 2, 3.5, 4.5, 5.5))).toMatchObject([
      { kind: "times reversed", count: 2 },
    ]);
    expect(timeBaseDefects(irregular(0, 1, 1, 2, 3))).toMatchObject([
      { kind: "times repeated", count: 1, fromS: 1 },
    ]);
    expect(timeBaseDefects(irregular(0, Number.NaN, 2, 3, 4, 5))).toMatchObject([
      { kind: "times missing", count: 1 },
    ]);
  });

  it("is uneven where one spacing in ten is far from the usual", () => {
    const times = Array.from({ length: 100 }, (_, i) => i + (i % 3) * 0.4);
    expect(timeBaseDefects(irregular(...times)).map(({ kind }) => kind)).toEqual(["sampling uneven"]);
  });
});
