import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { fitBrokenLine } from "../../src/course";
import { normal, seededRandom } from "../seeded-random";
import { brokenLineCases } from "./broken-line-cases";

/** Least squares by elimination for one given break: an independent, plain computation. */
function plainSse(x: readonly number[], y: readonly number[], at: number): number {
  const rows = x.map((xi) => [1, Math.min(xi - at, 0), Math.max(xi - at, 0)]);
  const a = [0, 1, 2].map((i) => [
    ...[0, 1, 2].map((j) => rows.reduce((sum, row) => sum + (row[i] ?? 0) * (row[j] ?? 0), 0)),
    rows.reduce((sum, row, k) => sum + (row[i] ?? 0) * (y[k] ?? 0), 0),
  ]);
  for (let p = 0; p < 3; p++) {
    for (let r = 0; r < 3; r++) {
      if (r === p) continue;
      const factor = (a[r]?.[p] ?? 0) / (a[p]?.[p] ?? 1);
      a[r] = (a[r] ?? []).map((value, c) => value - factor * (a[p]?.[c] ?? 0));
    }
  }
  const b = [0, 1, 2].map((i) => (a[i]?.[3] ?? 0) / (a[i]?.[i] ?? 1));
  return y.reduce((sum, yi, k) => {
    const fitted = (rows[k] ?? []).reduce((s, value, i) => s + value * (b[i] ?? 0), 0);
    return sum + (yi - fitted) ** 2;
  }, 0);
}

const coarse = fc.integer({ min: -1000, max: 1000 }).map((k) => k / 100);

describe("the broken-line fit", () => {
  it.each(brokenLineCases)("finds the globally best break: $name", (known) => {
    const { optimum, straight } = fitBrokenLine(known.x, known.y);
    expect(straight.sse / known.straightSse).toBeCloseTo(1, 9);
    expect(optimum.sse / known.sse).toBeCloseTo(1, 9);
    expect(optimum.breakpoint / known.breakpoint).toBeCloseTo(1, 8);
    expect(optimum.slopeBefore).toBeCloseTo(known.slopes[0] ?? Number.NaN, 8);
    expect(optimum.slopeAfter).toBeCloseTo(known.slopes[1] ?? Number.NaN, 8);
    expect(optimum.atDataPoint).toBe(known.atDataPoint);
    expect(optimum.valueAtBreak - optimum.slopeBefore * optimum.breakpoint).toBeCloseTo(known.intercept, 7);
  });

  it.each(brokenLineCases)(
    "supports the break as the Bayesian information criterion does: $name",
    (known) => {
      const fit = fitBrokenLine(known.x, known.y, { autocorrelation: "ignore" });
      expect(fit.effectiveN).toBe(known.x.length);
      expect(fit.support).toBeCloseTo(known.bic.straight - known.bic.broken, 6);
      expect(fit.kind).toBe(known.bic.broken < known.bic.straight ? "break" : "no break");
    },
  );

  it("is never worse than any break of a fine grid, computed plainly", () => {
    fc.assert(
      fc.property(fc.array(coarse, { minLength: 8, maxLength: 25 }), (y) => {
        const x = y.map((_, i) => i);
        const { optimum } = fitBrokenLine(x, y);
        for (let at = 2; at <= x.length - 3; at += 0.125) {
          expect(optimum.sse).toBeLessThanOrEqual(plainSse(x, y, at) * (1 + 1e-9) + 1e-9);
        }
        expect(optimum.sse).toBeCloseTo(plainSse(x, y, optimum.breakpoint), 6);
      }),
    );
  });

  it("keeps to breaks with the required points on each side", () => {
    fc.assert(
      fc.property(
        fc.array(coarse, { minLength: 12, maxLength: 30 }),
        fc.integer({ min: 2, max: 6 }),
        (y, least) => {
          const x = y.map((_, i) => i);
          const { breakpoint } = fitBrokenLine(x, y, { minPointsPerSide: least }).optimum;
          expect(x.filter((xi) => xi <= breakpoint + 1e-9).length).toBeGreaterThanOrEqual(least);
          expect(x.filter((xi) => xi >= breakpoint - 1e-9).length).toBeGreaterThanOrEqual(least);
        },
      ),
    );
  });

  it("moves with a shift of x and y and with a change of their scale", () => {
    const base = brokenLineCases[3];
    const fit = fitBrokenLine(base.x, base.y);
    const moved = fitBrokenLine(
      base.x.map((x) => 1e6 + 2 * x),
      base.y.map((y) => 1e6 + 10 * y),
    );
    expect(moved.optimum.breakpoint).toBeCloseTo(1e6 + 2 * fit.optimum.breakpoint, 4);
    expect(moved.optimum.slopeAfter).toBeCloseTo(5 * fit.optimum.slopeAfter, 6);
    expect(moved.optimum.sse).toBeCloseTo(100 * fit.optimum.sse, 5);
  });

  it("gives an interval that holds the break and whose ends have the profile likelihood of the bound", () => {
    const known = brokenLineCases[3];
    const fit = fitBrokenLine(known.x, known.y, { autocorrelation: "ignore" });
    if (fit.kind !== "break") throw new Error("a break is supported");
    const { lower, upper, lowerIsOpen, upperIsOpen } = fit.interval;
    expect(lower).toBeLessThan(fit.optimum.breakpoint);
    expect(upper).toBeGreaterThan(fit.optimum.breakpoint);
    expect([lowerIsOpen, upperIsOpen]).toEqual([false, false]);
    // 3.841458820694124 = qchisq(0.95, 1) in R
    for (const end of [lower, upper]) {
      expect(known.x.length * Math.log(plainSse(known.x, known.y, end) / known.sse)).toBeCloseTo(
        3.841458820694124,
        5,
      );
    }
  });

  it("gives wider intervals for more confidence, always around the break", () => {
    fc.assert(
      fc.property(fc.array(coarse, { minLength: 10, maxLength: 40 }), (noise) => {
        const x = noise.map((_, i) => i);
        const middle = (x.length - 1) / 2;
        const y = noise.map((e, i) => e / 10 + 3 * Math.abs(i - middle));
        const [narrow, , wide] = ([0.9, 0.95, 0.99] as const).map((level) => fitBrokenLine(x, y, { level }));
        if (narrow?.kind !== "break" || wide?.kind !== "break") throw new Error("a break is supported");
        expect(narrow.interval.lower).toBeLessThanOrEqual(narrow.optimum.breakpoint);
        expect(narrow.interval.upper).toBeGreaterThanOrEqual(narrow.optimum.breakpoint);
        expect(wide.interval.lower).toBeLessThanOrEqual(narrow.interval.lower);
        expect(wide.interval.upper).toBeGreaterThanOrEqual(narrow.interval.upper);
      }),
    );
  });

  it("covers the true break in about 95 of 100 noisy series", () => {
    const random = seededRandom(20240611);
    let covered = 0;
    for (let series = 0; series < 400; series++) {
      const x = Array.from({ length: 60 }, (_, i) => i);
      const y = x.map((xi) => 0.05 * Math.abs(xi - 31.4) + 0.1 * normal(random));
      const fit = fitBrokenLine(x, y, { autocorrelation: "ignore" });
      if (fit.kind === "break" && fit.interval.lower <= 31.4 && fit.interval.upper >= 31.4) covered++;
    }
    // Binomial(400, 0.95) lies within 366 to 392 with probability above 0.99 (qbinom in R); the profile of a broken line is
    // known to be slightly liberal.
    expect(covered).toBeGreaterThanOrEqual(366);
    expect(covered).toBeLessThanOrEqual(394);
  });

  it("finds no break in a straight line, exact or noisy", () => {
    const x = Array.from({ length: 50 }, (_, i) => i);
    expect(
      fitBrokenLine(
        x,
        x.map((xi) => 33 - 0.01 * xi),
      ).kind,
    ).toBe("no break");
    expect(
      fitBrokenLine(
        x,
        x.map(() => 33),
      ).kind,
    ).toBe("no break");
    const random = seededRandom(7);
    let found = 0;
    for (let series = 0; series < 200; series++) {
      if (
        fitBrokenLine(
          x,
          x.map(() => normal(random)),
        ).kind === "break"
      )
        found++;
    }
    expect(found).toBeLessThan(20);
  });

  it("finds the break of an exact broken line exactly", () => {
    const x = Array.from({ length: 41 }, (_, i) => i);
    const fit = fitBrokenLine(
      x,
      x.map((xi) => 30 + 0.25 * Math.abs(xi - 17.5)),
    );
    expect(fit.kind).toBe("break");
    expect(fit.optimum.breakpoint).toBeCloseTo(17.5, 9);
    expect(fit.optimum.sse).toBeLessThan(1e-20);
  });

  it("counts neighbouring residuals that resemble each other as fewer observations", () => {
    const x = Array.from({ length: 80 }, (_, i) => i);
    const y = x.map((xi) => Math.abs(xi - 40) / 10 + Math.sin(xi / 4) / 5);
    const adjusted = fitBrokenLine(x, y);
    const ignoring = fitBrokenLine(x, y, { autocorrelation: "ignore" });
    expect(adjusted.effectiveN).toBeLessThan(40);
    if (adjusted.kind !== "break" || ignoring.kind !== "break") throw new Error("a break is supported");
    expect(adjusted.interval.upper - adjusted.interval.lower).toBeGreaterThan(
      ignoring.interval.upper - ignoring.interval.lower,
    );
  });

  it("leaves out NaN and infinite y", () => {
    const { x, y } = brokenLineCases[2];
    const gappedX = [...x.slice(0, 5), 4.5, 4.6, ...x.slice(5)];
    const gappedY = [...y.slice(0, 5), Number.NaN, Number.POSITIVE_INFINITY, ...y.slice(5)];
    expect(fitBrokenLine(gappedX, gappedY).optimum).toEqual(fitBrokenLine(x, y).optimum);
  });

  it("loses nothing to a common level of a million", () => {
    const { x, y, sse, breakpoint } = brokenLineCases[3];
    const { optimum } = fitBrokenLine(
      x,
      y.map((yi) => yi + 1e6),
    );
    expect(optimum.sse / sse).toBeCloseTo(1, 6);
    expect(optimum.breakpoint / breakpoint).toBeCloseTo(1, 6);
  });

  it.each([
    [[1, 2, 3, 4, 5], [1, 2, 3, 2, 1], "too few", "y"],
    [[], [], "too few", "y"],
    [[1, 1, 1, 1, 1, 1], [1, 2, 3, 4, 5, 6], "constant", "x"],
    [[1, 1, 1, 2, 2, 2], [1, 2, 3, 4, 5, 6], "too few", "x"],
    [[1, 2, 3, 2, 5, 6], [1, 2, 3, 4, 5, 6], "not increasing", "x"],
    [[1, 2, Number.NaN, 4, 5, 6], [1, 2, 3, 4, 5, 6], "not finite", "x"],
    [[1, 2, 3], [1, 2], "unequal lengths", "y"],
  ])("refuses x %j with y %j", (x, y, code, argument) => {
    expect(() => fitBrokenLine(x, y)).toThrow(expect.objectContaining({ code, argument }));
  });

  it("refuses fewer than two points per side", () => {
    expect(() => fitBrokenLine([1, 2, 3, 4], [1, 2, 1, 2], { minPointsPerSide: 1 })).toThrow(
      /minPointsPerSide|at least 2/,
    );
  });
});
