import fc from "fast-check";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { estimateOffset } from "../../src/course";
import { normal, seededRandom } from "../seeded-random";
import { type LiveR, startR } from "../statistics/live-r";

/** A wandering course that two series see, the second `lag` steps earlier on its own clock; each with its own noise. */
function pair(seed: number, lag: number, noise = 0.2) {
  const random = seededRandom(seed);
  let wander = 0;
  const course = Array.from({ length: 460 }, () => {
    wander = 0.9 * wander + normal(random);
    return wander;
  });
  const of = (from: number) => ({
    timeBase: { kind: "regular", startS: 0, stepS: 1, count: 360 } as const,
    values: Float64Array.from(
      { length: 360 },
      (_, i) => (course[50 + from + i] ?? 0) + noise * normal(random),
    ),
  });
  return { reference: of(0), moving: of(lag) };
}

describe("the offset between two series", () => {
  let r: LiveR;
  beforeAll(async () => {
    r = await startR();
  }, 120_000);
  afterAll(() => r.close());

  // Reference: R 4.6, ccf() for the lag of the largest cross-correlation, and cor() of lm() residuals (the straight lines
  // taken out) for the correlation where the two lie.
  it("is the lag that R's ccf finds, and its correlation that of R over what both cover", async () => {
    for (const [seed, lag] of [
      [1, 0],
      [2, 7],
      [3, -12],
      [4, 31],
      [5, -40],
    ] as const) {
      const { reference, moving } = pair(seed, lag);
      const variables = { x: reference.values, y: moving.values };
      const [ccfLag, now] = await r.numbers(
        "cc <- ccf(x, y, lag.max = 60, plot = FALSE); t <- seq_along(x); c(cc$lag[which.max(cc$acf)], cor(resid(lm(x ~ t)), resid(lm(y ~ t))))",
        variables,
      );
      const found = estimateOffset(reference, moving);
      expect(ccfLag).toBe(lag);
      expect(Math.abs((found?.shiftS ?? Number.NaN) - lag)).toBeLessThan(0.5);
      expect(found?.correlationNow).toBeCloseTo(now ?? Number.NaN, 10);
    }
  }, 120_000);

  it("turns its sign where the two change places, and moves with the clock of either", () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 500 }), fc.integer({ min: -45, max: 45 }), (seed, lag) => {
        const { reference, moving } = pair(seed, lag);
        const forth = estimateOffset(reference, moving);
        const back = estimateOffset(moving, reference);
        expect(Math.abs((forth?.shiftS ?? Number.NaN) + (back?.shiftS ?? Number.NaN))).toBeLessThan(0.1);
        const later = estimateOffset(reference, { ...moving, timeBase: { ...moving.timeBase, startS: 20 } });
        expect(Math.abs((later?.shiftS ?? Number.NaN) + 20 - (forth?.shiftS ?? Number.NaN))).toBeLessThan(
          0.1,
        );
      }),
      { numRuns: 25, seed: 5 },
    );
  });
});
