import { describe, expect, it } from "vitest";
import { commonDrift, type QualityTrace } from "../../src/quality";
import { normal, seededRandom } from "../seeded-random";
import { drawnTrial, restS, withCommon } from "./drawn-trial";

const settling = (size: number, tauS: number) => (timeS: number) => size * (1 - Math.exp(-timeS / tauS));

/** The drawn trial twice over, with regions of other names: twenty regions. */
function twentyRegions(seed: number, rest: number) {
  const one = drawnTrial(seed, 5, rest);
  const other = drawnTrial(seed + 50_000, 5, rest).traces.map(
    (trace): QualityTrace => ({ ...trace, regionId: `second ${trace.regionId}` }),
  );
  return { timeBase: one.timeBase, traces: [...one.traces, ...other] };
}

describe("a drift that is taken from rest", () => {
  it("of twenty regions over twenty minutes of rest is within 0.13 °C of the truth to the end of the file in nine of ten", () => {
    const random = seededRandom(61);
    let close = 0;
    const trials = 60;
    for (let seed = 1; seed <= trials; seed++) {
      const size = (0.5 + 2.5 * random()) * (random() < 0.5 ? -1 : 1);
      const drift = settling(size, 300 + 600 * random());
      const { timeBase, traces } = withCommon(twentyRegions(seed, 1200), drift);
      const found = commonDrift(timeBase, traces, { exerciseStartS: 1200 });
      if (Math.abs((found?.size ?? Number.NaN) - drift(3295)) <= 0.13) close++;
    }
    expect(close / trials).toBeGreaterThanOrEqual(0.9);
  });

  it("has a standard error that grows where rest is short, regions are few, or the camera itself wanders", () => {
    const errorOf = (traces: readonly QualityTrace[], rest: number) => {
      const { timeBase } = drawnTrial(1, 5, rest);
      return commonDrift(timeBase, traces, { exerciseStartS: rest })?.standardError ?? Number.NaN;
    };
    const drifting = (rest: number) => withCommon(twentyRegions(4, rest), settling(2, 500)).traces;
    const long = errorOf(drifting(1200), 1200);
    expect(errorOf(drifting(600), 600)).toBeGreaterThan(long);
    expect(errorOf(drifting(1200).slice(0, 5), 1200)).toBeGreaterThan(long);
    const random = seededRandom(62);
    let wander = 0;
    const course = Float64Array.from({ length: 660 }, () => {
      wander = 0.92 * wander + 0.04 * normal(random);
      return wander;
    });
    const wandering = drifting(1200).map((trace) => ({
      ...trace,
      values: trace.values.map((value, i) => value + (course[i] ?? 0)),
    }));
    expect(errorOf(wandering, 1200)).toBeGreaterThan(1.5 * long);
  });

  it("needs nobody to say when exercise began: rest ends where regions part", () => {
    for (let seed = 1; seed <= 20; seed++) {
      const { timeBase, traces } = withCommon(drawnTrial(seed, 5), settling(-1.5, 500));
      const found = commonDrift(timeBase, traces);
      expect(found?.restIsKnown).toBe(false);
      expect(found?.restEndS).toBeGreaterThan(0.6 * restS);
      expect(found?.restEndS).toBeLessThan(restS + 180);
    }
  });

  it("cannot be judged where the file begins with exercise, and is not then made up", () => {
    const { timeBase, traces } = withCommon(drawnTrial(7, 5, 0), settling(2, 500));
    expect(commonDrift(timeBase, traces)).toBeNull();
    expect(commonDrift(timeBase, traces, { exerciseStartS: 0 })).toBeNull();
  });

  it("is not seen where one hand cools by itself, however far", () => {
    const { timeBase, traces } = drawnTrial(9, 5);
    const cooling = traces.map((trace, k) =>
      k === 6
        ? { ...trace, values: trace.values.map((value, i) => value - 3 * Math.min(1, i / 120)) }
        : trace,
    );
    expect(commonDrift(timeBase, cooling, { exerciseStartS: restS })).toBeNull();
  });
});
