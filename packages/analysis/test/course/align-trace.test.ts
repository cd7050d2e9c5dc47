import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  alignTrace,
  alignTraces,
  binCentres,
  type Grid,
  gridAround,
  type TimeBase,
  typicalStepS,
} from "../../src/course";

const regular = (startS: number, stepS: number, count: number): TimeBase => ({
  kind: "regular",
  startS,
  stepS,
  count,
});
const irregular = (...times: number[]): TimeBase => ({ kind: "irregular", timesS: Float64Array.from(times) });

/** The plain computation: every sample looks for its bin. */
function plainly(
  times: readonly number[],
  values: readonly number[],
  { originS, binS, firstBin, binCount }: Grid,
) {
  return Array.from({ length: binCount }, (_, k) => {
    const from = originS + (firstBin + k) * binS;
    const inside = values.filter((value, i) => {
      const time = times[i] ?? Number.NaN;
      return Number.isFinite(value) && time >= from && time < from + binS;
    });
    return inside.length === 0 ? Number.NaN : inside.reduce((sum, value) => sum + value, 0) / inside.length;
  });
}

describe("the alignment of traces to the common grid", () => {
  it("takes the mean of each bin, with bin 0 beginning at the origin", () => {
    const grid = { originS: 10, binS: 5, firstBin: -2, binCount: 4 };
    const values = Float64Array.from({ length: 20 }, (_, i) => i);
    const aligned = alignTrace(regular(0, 1, 20), values, grid);
    expect([...aligned.values]).toEqual([2, 7, 12, 17]);
    expect([...aligned.coverage]).toEqual([1, 1, 1, 1]);
    expect([...binCentres(aligned)]).toEqual([-7.5, -2.5, 2.5, 7.5]);
  });

  it("puts a sample on an edge into the later bin, also where the step is not exact in binary", () => {
    const values = Float64Array.from({ length: 100 }, (_, i) => (i < 50 ? 0 : 1));
    const aligned = alignTrace(regular(0, 0.1, 100), values, {
      originS: 0,
      binS: 5,
      firstBin: 0,
      binCount: 2,
    });
    expect([...aligned.values]).toEqual([0, 1]);
    const times = Float64Array.from({ length: 100 }, (_, i) => i * 0.1);
    const same = alignTrace({ kind: "irregular", timesS: times }, values, {
      originS: 0,
      binS: 5,
      firstBin: 0,
      binCount: 2,
    });
    expect([...same.values]).toEqual([0, 1]);
  });

  it("leaves out NaN and infinite samples, and says how much of each bin was there", () => {
    const values = Float64Array.of(
      30,
      Number.NaN,
      32,
      Number.POSITIVE_INFINITY,
      Number.NaN,
      Number.NaN,
      Number.NaN,
      Number.NaN,
    );
    const aligned = alignTrace(regular(0, 1, 8), values, { originS: 0, binS: 4, firstBin: 0, binCount: 3 });
    expect([...aligned.values]).toEqual([31, Number.NaN, Number.NaN]);
    expect([...aligned.coverage]).toEqual([0.5, 0, 0]);
  });

  it("invents nothing between samples that are further apart than a bin", () => {
    const aligned = alignTrace(regular(0, 10, 3), Float64Array.of(30, 31, 32), {
      originS: 0,
      binS: 5,
      firstBin: 0,
      binCount: 6,
    });
    expect([...aligned.values]).toEqual([30, Number.NaN, 31, Number.NaN, 32, Number.NaN]);
    expect([...aligned.coverage]).toEqual([1, 0, 1, 0, 1, 0]);
  });

  it("equals the plain computation on irregular times", () => {
    const times = fc.array(fc.integer({ min: 0, max: 4000 }), { minLength: 0, maxLength: 60 });
    fc.assert(
      fc.property(
        times,
        fc.integer({ min: 1, max: 30 }),
        fc.integer({ min: -20, max: 60 }),
        (ticks, binS, originS) => {
          const sorted = ticks.map((tick) => tick / 16).sort((a, b) => a - b);
          const values = sorted.map((time, i) => (i % 7 === 3 ? Number.NaN : 30 + Math.sin(time)));
          const grid = { originS, binS, firstBin: -3, binCount: 12 };
          const aligned = alignTrace(irregular(...sorted), Float64Array.from(values), grid);
          for (const [k, expected] of plainly(sorted, values, grid).entries()) {
            if (Number.isNaN(expected)) expect(aligned.values[k]).toBeNaN();
            else expect(aligned.values[k]).toBeCloseTo(expected, 10);
            expect(aligned.coverage[k]).toBeGreaterThanOrEqual(0);
            expect(aligned.coverage[k]).toBeLessThanOrEqual(1);
          }
        },
      ),
    );
  });

  it("gives the same bins for a regular time base as for its times spelled out", () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 40 }),
        fc.integer({ min: 0, max: 200 }),
        fc.integer({ min: -50, max: 50 }),
        (sixteenths, count, start) => {
          const base = regular(start, sixteenths / 16, count);
          const times = Array.from({ length: count }, (_, i) => start + (i * sixteenths) / 16);
          const values = Float64Array.from(times, (time) => 30 + Math.cos(time));
          const grid = { originS: 3, binS: 2, firstBin: -10, binCount: 40 };
          expect(alignTrace(base, values, grid).values).toEqual(
            alignTrace(irregular(...times), values, grid).values,
          );
        },
      ),
    );
  });

  it("loses nothing to a common level of a million", () => {
    const noise = [0.1, 0.3, 0.2];
    const aligned = alignTrace(
      regular(0, 1, 3),
      Float64Array.from(noise, (e) => 1e6 + e),
      { originS: 0, binS: 3, firstBin: 0, binCount: 1 },
    );
    expect((aligned.values[0] ?? 0) - 1e6).toBeCloseTo(0.2, 9);
  });

  it("aligns a trace without samples to bins without values", () => {
    const grid = { originS: 0, binS: 5, firstBin: 0, binCount: 2 };
    expect([...alignTrace(irregular(), new Float64Array(0), grid).coverage]).toEqual([0, 0]);
    expect([...alignTrace(regular(0, 1, 0), new Float64Array(0), grid).values]).toEqual([
      Number.NaN,
      Number.NaN,
    ]);
  });

  it("makes a grid that holds the whole recording", () => {
    expect(gridAround(100, 5, 0, 203)).toEqual({ originS: 100, binS: 5, firstBin: -20, binCount: 41 });
    expect(gridAround(0, 5, 0, 0)).toEqual({ originS: 0, binS: 5, firstBin: 0, binCount: 1 });
  });

  it("takes the median of positive differences as the usual step", () => {
    expect(typicalStepS(irregular(0, 1, 2, 2, 3, 10))).toBe(1);
    expect(typicalStepS(irregular(4))).toBeNaN();
  });

  it.each([
    ["unequal lengths", irregular(0, 1), Float64Array.of(1), {}],
    ["not increasing", irregular(1, 0), Float64Array.of(1, 2), {}],
    ["not finite", irregular(0, Number.NaN), Float64Array.of(1, 2), {}],
    ["out of range", regular(0, 0, 2), Float64Array.of(1, 2), {}],
    ["out of range", irregular(0, 1), Float64Array.of(1, 2), { binS: 0 }],
    ["not finite", irregular(0, 1), Float64Array.of(1, 2), { originS: Number.NaN }],
    ["out of range", irregular(0, 1), Float64Array.of(1, 2), { binCount: 1.5 }],
  ] as const)("refuses what cannot be aligned: %s", (code, base, values, change) => {
    const grid = { originS: 0, binS: 5, firstBin: 0, binCount: 1, ...change };
    expect(() => alignTraces(base, [values], grid)).toThrow(expect.objectContaining({ code }));
  });
});
