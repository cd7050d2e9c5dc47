import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  type AlignedTrace,
  areaOver,
  areaUnderChange,
  fingertipFlow,
  forearmFingertipGradient,
  gradientOfFlow,
  highestPoint,
  leftRightDifference,
  levelOver,
  lowestPoint,
  movingMean,
  plateauAtEnd,
  rateOver,
  recoveryHalfTime,
  reduceForDrawing,
} from "../../src/course";

function aligned(values: readonly number[], binS = 5, firstBin = 0): AlignedTrace {
  return {
    binS,
    firstBin,
    values: Float64Array.from(values),
    coverage: Float64Array.from(values, (value) => (Number.isNaN(value) ? 0 : 1)),
  };
}

const beaver = [
  36.33, 36.34, 36.35, 36.42, 36.55, 36.69, 36.71, 36.75, 36.81, 36.88, 36.89, 36.91, 36.85, 36.89, 36.89,
  36.67, 36.5, 36.74, 36.77, 36.76, 36.78, 36.82, 36.89, 36.99, 36.92, 36.99, 36.89, 36.94, 36.92, 36.97,
  36.91, 36.79, 36.77, 36.69, 36.62, 36.54, 36.55, 36.67, 36.69, 36.62, 36.64, 36.59, 36.65, 36.75, 36.8,
  36.81, 36.87, 36.87, 36.89, 36.94, 36.98, 36.95, 37, 37.07, 37.05, 37, 36.95, 37, 36.94, 36.88,
];

describe("the area under the change", () => {
  // Reference: trapezoid rule with linear crossings, computed in Python with NumPy on R's data.
  it("of R dataset Indometh, subject 1, from its first value", () => {
    const area = areaUnderChange(
      [0.25, 0.5, 0.75, 1, 1.25, 2, 3, 4, 5, 6, 8],
      [1.5, 0.94, 0.78, 0.48, 0.37, 0.19, 0.12, 0.11, 0.08, 0.07, 0.05],
      1.5,
    );
    expect(area.net).toBeCloseTo(-10.07125, 11);
    expect(area.above).toBe(0);
    expect(area.below).toBeCloseTo(10.07125, 11);
  });

  it("of R dataset beaver1, first 60 temperatures, from 36.8 °C, which it crosses", () => {
    const area = areaUnderChange(
      beaver.map((_, i) => 10 * i),
      beaver,
      36.8,
    );
    expect(area.net).toBeCloseTo(-5.15, 9);
    expect(area.above).toBeCloseTo(38.7965909090918, 9);
    expect(area.below).toBeCloseTo(43.9465909090901, 9);
  });

  it("splits at a crossing", () => {
    expect(areaUnderChange([0, 5], [1, -1], 0)).toEqual({ net: 0, above: 1.25, below: 1.25 });
  });

  it("is mirrored by mirroring the course at the baseline", () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: -50, max: 50 }), { minLength: 2, maxLength: 30 }), (y) => {
        const x = y.map((_, i) => i);
        const area = areaUnderChange(x, y, 0);
        const mirrored = areaUnderChange(
          x,
          y.map((yi) => -yi),
          0,
        );
        expect(mirrored.above).toBeCloseTo(area.below, 9);
        expect(area.net).toBeCloseTo(area.above - area.below, 12);
        expect(Math.min(area.above, area.below)).toBeGreaterThanOrEqual(0);
      }),
    );
  });

  it("refuses to bridge a gap longer than allowed, at either end or between", () => {
    const gap = [Number.NaN, Number.NaN, Number.NaN, Number.NaN];
    const window = { fromS: 0, toS: 30 };
    expect(areaOver(aligned([1, 1, 1, 1, 1, 1]), window, 0).net).toBeCloseTo(25, 12);
    expect(() => areaOver(aligned([1, ...gap, 1]), window, 0, 10)).toThrow(
      expect.objectContaining({ code: "refused" }),
    );
    expect(() => areaOver(aligned([1, 1, ...gap]), window, 0, 10)).toThrow(
      expect.objectContaining({ code: "refused" }),
    );
    expect(() => areaOver(aligned([...gap, 1, 1]), window, 0, 10)).toThrow(
      expect.objectContaining({ code: "refused" }),
    );
    expect(areaOver(aligned([1, Number.NaN, 1, 1, 1, 1]), window, 0, 10).net).toBeCloseTo(25, 12);
  });

  it("needs two values", () => {
    expect(() => areaUnderChange([], [], 0)).toThrow(expect.objectContaining({ code: "too few" }));
    expect(() => areaUnderChange([0, 1], [1, Number.NaN], 0)).toThrow(
      expect.objectContaining({ code: "too few" }),
    );
    expect(() => areaUnderChange([0, 0], [1, 1], 0)).toThrow(
      expect.objectContaining({ code: "not increasing" }),
    );
  });
});

describe("levels and rates", () => {
  const vShape = aligned([34, 34, 33, 32, 31, 32, 33, 34, 34, 34]);

  it("takes a level over the bins that lie wholly within a window", () => {
    expect(levelOver(vShape, { fromS: 0, toS: 12 })).toBe(34);
    expect(levelOver(aligned([30, Number.NaN, 32]), { fromS: 0, toS: 15 })).toBe(31);
    expect(() => levelOver(aligned([Number.NaN]), { fromS: 0, toS: 5 })).toThrow(
      expect.objectContaining({ code: "empty" }),
    );
    expect(() => levelOver(vShape, { fromS: 0, toS: 4 })).toThrow(expect.objectContaining({ code: "empty" }));
  });

  it("finds the lowest and the highest point at the middle of their bins", () => {
    expect(lowestPoint(vShape, { fromS: 0, toS: 50 }, 0)).toEqual({ value: 31, timeS: 22.5 });
    expect(highestPoint(vShape, { fromS: 20, toS: 50 }, 0)).toEqual({ value: 34, timeS: 37.5 });
  });

  it("does not take a single noisy bin for the lowest point", () => {
    const noisy = aligned([34, 34, 34, 30, 34, 34, 33, 32, 31, 31, 31, 32, 33]);
    expect(lowestPoint(noisy, { fromS: 0, toS: 65 }, 0).timeS).toBe(17.5);
    expect(lowestPoint(noisy, { fromS: 0, toS: 65 }, 20).timeS).toBe(47.5);
  });

  it("has a moving mean within the range of its values and NaN where they are missing", () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: 20, max: 40, noNaN: true }), { minLength: 1, maxLength: 40 }),
        fc.integer({ min: 0, max: 100 }),
        (values, width) => {
          const smoothed = movingMean(aligned(values), width);
          for (const value of smoothed) {
            expect(value).toBeGreaterThanOrEqual(Math.min(...values) - 1e-9);
            expect(value).toBeLessThanOrEqual(Math.max(...values) + 1e-9);
          }
        },
      ),
    );
    expect([...movingMean(aligned([30, Number.NaN, 32]), 10)]).toEqual([30, Number.NaN, 32]);
  });

  it("gives the rate of change in °C/s", () => {
    const falling = aligned(Array.from({ length: 20 }, (_, i) => 34 - 0.0075 * 5 * i));
    expect(rateOver(falling, { fromS: 0, toS: 100 })).toBeCloseTo(-0.0075, 12);
    expect(() => rateOver(falling, { fromS: 0, toS: 5 })).toThrow(
      expect.objectContaining({ code: "too few" }),
    );
  });

  it("finds the plateau at the end, and none where the course still moves", () => {
    const rising = Array.from({ length: 40 }, (_, i) => 30 + 0.1 * i);
    const course = aligned([...rising, ...Array.from({ length: 60 }, () => 34)]);
    const plateau = plateauAtEnd(course, { fromS: 0, toS: 500 }, { smoothingS: 0 });
    expect(plateau?.value).toBeCloseTo(34, 1);
    expect(plateau?.fromS).toBeGreaterThan(170);
    expect(plateau?.toS).toBe(500);
    expect(plateauAtEnd(aligned(rising), { fromS: 0, toS: 200 })).toBeNull();
    expect(plateauAtEnd(aligned([Number.NaN]), { fromS: 0, toS: 5 })).toBeNull();
  });
});

describe("the recovery half-time", () => {
  // Fingertip half-time after occlusion 6.6 min (Rubinstein & Sessler 1990): an exponential with that half-time.
  const halfTime = 6.6 * 60;
  const course = aligned(Array.from({ length: 400 }, (_, i) => 34 - 4 * 2 ** (-((i + 0.5) * 5) / halfTime)));

  it("returns the half-time of an exponential return", () => {
    expect(recoveryHalfTime(course, { fromS: 0, toS: 2000 }, 34, 30, 0.3, 0)).toBeCloseTo(halfTime, 0);
  });

  it("works for a return from above", () => {
    const mirrored = aligned([...course.values].map((value) => 68 - value));
    expect(recoveryHalfTime(mirrored, { fromS: 0, toS: 2000 }, 34, 38, 0.3, 0)).toBeCloseTo(halfTime, 0);
  });

  it("is null where half is not reached, and refused where there is nothing to return from", () => {
    expect(recoveryHalfTime(course, { fromS: 0, toS: 200 }, 34, 30)).toBeNull();
    expect(() => recoveryHalfTime(course, { fromS: 0, toS: 200 }, 34, 33.9)).toThrow(
      expect.objectContaining({ code: "refused" }),
    );
    expect(() => recoveryHalfTime(aligned([Number.NaN]), { fromS: 0, toS: 5 }, 34, 30)).toThrow(
      expect.objectContaining({ code: "empty" }),
    );
  });
});

describe("pairs of regions", () => {
  it("subtract right from left and fingertip from forearm, NaN where either is missing", () => {
    expect([...leftRightDifference(Float64Array.of(33, Number.NaN), Float64Array.of(32, 31))]).toEqual([
      1,
      Number.NaN,
    ]);
    expect([...forearmFingertipGradient(Float64Array.of(32), Float64Array.of(28))]).toEqual([4]);
    expect(() => leftRightDifference(Float64Array.of(1), Float64Array.of(1, 2))).toThrow(
      expect.objectContaining({ code: "unequal lengths" }),
    );
  });

  // Rubinstein & Sessler 1990: gradient = 0.2 − 5.7·log10(flow).
  it.each([
    [1, 0.2],
    [0.5, 1.916],
    [2, -1.516],
    [10, -5.5],
    [1.084, 0],
    [0.2154, 4],
  ])("turn a fingertip flow of %s into a gradient of %s °C and back", (flow, gradient) => {
    expect(gradientOfFlow(flow)).toBeCloseTo(gradient, 2);
    expect(fingertipFlow(gradientOfFlow(flow))).toBeCloseTo(flow, 12);
  });

  it("have no flow for NaN", () => {
    expect(() => fingertipFlow(Number.NaN)).toThrow(expect.objectContaining({ code: "not finite" }));
    expect(() => gradientOfFlow(0)).toThrow(expect.objectContaining({ code: "out of range" }));
  });
});

describe("the reduction for drawing", () => {
  const value = fc.oneof(
    { weight: 9, arbitrary: fc.double({ min: 20, max: 40, noNaN: true }) },
    { weight: 1, arbitrary: fc.constant(Number.NaN) },
  );

  it("keeps every lowest and highest value per column, within the number of points, in order of time", () => {
    fc.assert(
      fc.property(
        fc.array(value, { minLength: 1, maxLength: 400 }),
        fc.integer({ min: 4, max: 100 }),
        (values, points) => {
          const times = Float64Array.from(values, (_, i) => i);
          const drawn = reduceForDrawing(times, Float64Array.from(values), points);
          expect(drawn.times.length).toBe(drawn.values.length);
          expect(drawn.times.length).toBeLessThanOrEqual(points);
          expect(drawn.reduced).toBe(values.length > points);
          for (let i = 1; i < drawn.times.length; i++)
            expect(drawn.times[i]).toBeGreaterThan(drawn.times[i - 1] ?? Number.NaN);
          const columns = Math.floor(points / 2);
          const columnOf = (time: number) =>
            Math.min(columns - 1, Math.floor((time / (values.length - 1)) * columns));
          if (!drawn.reduced) return;
          for (let column = 0; column < columns; column++) {
            const inColumn = values.filter((v, i) => columnOf(i) === column && !Number.isNaN(v));
            if (inColumn.length === 0) continue;
            const kept = [...drawn.values].filter((_, i) => columnOf(drawn.times[i] ?? 0) === column);
            expect(Math.min(...kept)).toBe(Math.min(...inColumn));
            expect(Math.max(...kept)).toBe(Math.max(...inColumn));
          }
        },
      ),
    );
  });

  it("keeps only points that were measured", () => {
    const times = Float64Array.from({ length: 1000 }, (_, i) => i / 30);
    const values = Float64Array.from(times, (time) => 33 + Math.sin(time * 7));
    const drawn = reduceForDrawing(times, values, 100);
    for (const [k, time] of drawn.times.entries()) expect(drawn.values[k]).toBe(values[times.indexOf(time)]);
  });

  it("breaks the line where values or samples are missing", () => {
    const times = Float64Array.from({ length: 200 }, (_, i) => (i < 100 ? i : i + 400));
    const values = Float64Array.from(times, (_, i) => (i > 40 && i < 80 ? Number.NaN : 33));
    const drawn = reduceForDrawing(times, values, 100);
    const breaks = [...drawn.times].filter((_, k) => Number.isNaN(drawn.values[k]));
    expect(breaks.some((time) => time > 40 && time < 80)).toBe(true);
    expect(breaks.some((time) => time > 99 && time < 500)).toBe(true);
    expect(drawn.times.length).toBeLessThanOrEqual(100);
  });

  it("returns a short trace whole and refuses fewer than four points", () => {
    const three = Float64Array.of(1, 2, 3);
    expect(reduceForDrawing(three, three, 4)).toEqual({ times: three, values: three, reduced: false });
    expect(() => reduceForDrawing(three, three, 3)).toThrow(
      expect.objectContaining({ argument: "maximumPoints" }),
    );
    expect(() => reduceForDrawing(three, Float64Array.of(1), 10)).toThrow(
      expect.objectContaining({ code: "unequal lengths" }),
    );
  });
});
