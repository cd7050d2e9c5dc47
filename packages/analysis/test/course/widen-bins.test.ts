import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { AnalysisError } from "../../src";
import { alignTrace, gridAround, type TimeBase, usualBinSpacing, widenBins } from "../../src/course";

const course = (firstBin: number, values: readonly number[], binS = 5) => ({
  binS,
  firstBin,
  values: Float64Array.from(values),
});
const gap = Number.NaN;

/** One hour sampled every so many seconds, in bins of 5 s; the values are its own times. */
function sampled(stepS: number) {
  const count = Math.floor(3600 / stepS);
  const timeBase: TimeBase = { kind: "regular", startS: -600, stepS, count };
  const values = Float64Array.from({ length: count }, (_, i) => -600 + i * stepS);
  return alignTrace(timeBase, values, gridAround(0, 5, -600, -600 + (count - 1) * stepS));
}

describe("the usual spacing of filled bins", () => {
  it.each([
    [1, 1],
    [5, 1],
    [5.5, 2],
    [7, 2],
    [10, 2],
    [12, 3],
    [15, 3],
    [30, 6],
  ])("of a file that was sampled every %s s is %s bins of 5 s", (stepS, spacing) => {
    expect(usualBinSpacing(sampled(stepS).values)).toBe(spacing);
  });

  it("does not change with gaps and single lost samples", () => {
    const { values } = sampled(10);
    values.fill(gap, 100, 200);
    values[300] = gap;
    values[301] = gap;
    expect(usualBinSpacing(values)).toBe(2);
    const every = sampled(5).values;
    for (let i = 30; i < every.length; i += 30) every[i] = gap;
    expect(usualBinSpacing(every)).toBe(1);
  });

  it("is not known from fewer than two filled bins", () => {
    for (const values of [[], [gap, gap], [gap, 33, Number.POSITIVE_INFINITY]]) {
      expect(usualBinSpacing(values)).toBeNaN();
    }
    expect(usualBinSpacing([33, gap, gap, 34])).toBe(3);
  });
});

describe("wider bins", () => {
  it("hold the mean of the filled bins and begin at the origin, also before it", () => {
    expect(widenBins(course(-3, [1, 2, 4, 10, gap, gap, gap, 7]), 2)).toEqual(
      course(-2, [1, 3, 10, gap, 7], 10),
    );
    expect(widenBins(course(1, [1, 2, 3]), 4)).toEqual(course(0, [2], 20));
  });

  it("of factor 1 are the same", () => {
    expect(widenBins(course(-1, [1, gap, 3]), 1)).toEqual(course(-1, [1, gap, 3]));
    expect(widenBins(course(4, []), 3)).toEqual(course(1, [], 15));
  });

  it("leave no bin of a coarsely sampled file empty, and keep its values where they were", () => {
    for (const stepS of [5.5, 7, 10, 12, 30]) {
      const narrow = sampled(stepS);
      const wide = widenBins(narrow, usualBinSpacing(narrow.values));
      expect(wide.values.every(Number.isFinite), `every ${stepS} s`).toBe(true);
      wide.values.forEach((mean, k) => {
        const startS = (wide.firstBin + k) * wide.binS;
        expect(mean).toBeGreaterThanOrEqual(startS - 1e-6);
        expect(mean).toBeLessThan(startS + wide.binS);
      });
    }
  });

  it("lose nothing at a level of a million", () => {
    const [mean] = widenBins(course(0, [1e6 + 0.25, 1e6 + 0.5, 1e6 + 0.75]), 3).values;
    expect(mean).toBe(1e6 + 0.5);
  });

  it("refuse a factor that is not a whole number from 1 on", () => {
    for (const factor of [0, -1, 1.5, gap, Number.POSITIVE_INFINITY]) {
      expect(() => widenBins(course(0, [1]), factor)).toThrow(AnalysisError);
    }
  });

  it("shift with the values, stay within them, and give in two goes what one gives for full bins", () => {
    const bins = fc.array(fc.double({ min: 20, max: 40, noNaN: true }), { minLength: 1, maxLength: 40 });
    fc.assert(
      fc.property(
        bins,
        fc.integer({ min: -50, max: 50 }),
        fc.integer({ min: 1, max: 6 }),
        (values, first, factor) => {
          const wide = widenBins(course(first, values), factor);
          const shifted = widenBins(
            course(
              first,
              values.map((value) => value + 100),
            ),
            factor,
          );
          wide.values.forEach((mean, k) => {
            expect(shifted.values[k]).toBeCloseTo(mean + 100, 10);
            expect(mean).toBeGreaterThanOrEqual(Math.min(...values) - 1e-12);
            expect(mean).toBeLessThanOrEqual(Math.max(...values) + 1e-12);
          });
          const full = course(12 * first, [...values, ...values, ...values, ...values].slice(0, 12));
          if (full.values.length < 12) return;
          const once = widenBins(full, 6).values;
          for (const [k, mean] of widenBins(widenBins(full, 2), 3).values.entries()) {
            expect(mean).toBeCloseTo(once[k] as number, 10);
          }
        },
      ),
    );
  });
});
