import { describe, expect, it } from "vitest";
import { type AlignedTrace, fallThenRewarming, rewarmingOnset } from "../../src/course";
import { normal, seededRandom } from "../seeded-random";

const binS = 5;
const restS = 300;
const exerciseS = 1500;

interface Course {
  fallRate: number;
  fallS: number;
  riseRate: number;
  riseS: number;
  noise?: number;
  seed?: number;
}

/** Rest at 33 °C, then a fall, a rewarming and a steady stretch, as bins of five seconds with noise. */
function courseOf({ fallRate, fallS, riseRate, riseS, noise = 0, seed = 1 }: Course): AlignedTrace {
  const random = seededRandom(seed);
  const firstBin = -restS / binS;
  const values = Float64Array.from({ length: (restS + exerciseS) / binS }, (_, k) => {
    const time = (firstBin + k + 0.5) * binS;
    const falling = Math.min(Math.max(time, 0), fallS);
    const rising = Math.min(Math.max(time - fallS, 0), riseS);
    return 33 + fallRate * falling + riseRate * rising + noise * normal(random);
  });
  return { binS, firstBin, values, coverage: values.map(() => 1) };
}

// Zontak et al. 1998: hand skin on the bicycle at constant load of 50 % of maximal oxygen uptake, 10 subjects.
const published = { fallRate: -0.0075, fallS: 390, riseRate: 0.0055, riseS: 484 };
const exercise = { fromS: 0, toS: exerciseS };

describe("the fall-then-rewarming rule", () => {
  it("shows it in a course with the published rates and durations, and finds them again", () => {
    const result = fallThenRewarming(courseOf({ ...published, noise: 0.05 }), exercise, 33);
    expect(result.shown).toBe(true);
    expect(result.steps.every((step) => step.met)).toBe(true);
    // Products of the published rates and durations: 2.93 °C and 2.66 °C.
    expect(result.fallC).toBeCloseTo(2.925, 0);
    expect(result.riseC).toBeCloseTo(2.662, 0);
    if (result.onset.kind !== "onset") throw new Error(result.onset.reason);
    expect(Math.abs(result.onset.timeS - 390)).toBeLessThan(10);
    expect(result.onset.fallRate).toBeCloseTo(-0.0075, 3);
    expect(result.onset.rewarmingRate).toBeCloseTo(0.0055, 3);
    expect(result.onset.interval.lower).toBeLessThanOrEqual(result.onset.timeS);
    expect(result.onset.interval.upper).toBeGreaterThanOrEqual(result.onset.timeS);
  });

  it("shows it for bodies two standard deviations around the published mean", () => {
    for (const [k, [fallRate, fallS, riseRate, riseS]] of (
      [
        [-0.0055, 296, 0.0055, 484],
        [-0.0095, 484, 0.0055, 484],
        [-0.0075, 390, 0.0024, 286],
        [-0.0075, 390, 0.0086, 682],
      ] as const
    ).entries()) {
      const course = courseOf({ fallRate, fallS, riseRate, riseS, noise: 0.08, seed: 10 + k });
      expect(fallThenRewarming(course, exercise, 33).shown, `course ${k}`).toBe(true);
    }
  });

  it("does not show it at graded load, where skin cools throughout", () => {
    const graded = courseOf({ fallRate: -0.0049, fallS: exerciseS, riseRate: 0, riseS: 0, noise: 0.05 });
    const result = fallThenRewarming(graded, exercise, 33);
    expect(result.shown).toBe(false);
    expect(result.onset.kind).toBe("no onset");
    expect(result.steps.find((step) => step.criterion.startsWith("rise"))?.met).toBe(false);
  });

  it("does not show it in noise around a steady level, nor in a rise alone", () => {
    for (let seed = 0; seed < 50; seed++) {
      const steady = courseOf({ fallRate: 0, fallS: 0, riseRate: 0, riseS: 0, noise: 0.15, seed });
      expect(fallThenRewarming(steady, exercise, 33).shown).toBe(false);
      const rising = courseOf({ fallRate: 0, fallS: 0, riseRate: 0.002, riseS: 1500, noise: 0.1, seed });
      expect(fallThenRewarming(rising, exercise, 33).shown).toBe(false);
    }
  });

  // The moving mean over 35 s rounds the tip of the fall of 2.93 °C.
  it("says of every step what it asks, what it found and whether that is enough", () => {
    const { steps, thresholds } = fallThenRewarming(courseOf(published), exercise, 33, { smallestFallC: 5 });
    expect(thresholds.smallestFallC).toBe(5);
    expect(steps[0]).toEqual({
      criterion: "fall from baseline to the lowest point",
      required: "at least 5 °C",
      found: "2.87 °C",
      met: false,
    });
    expect(steps).toHaveLength(4);
    expect(fallThenRewarming(courseOf(published), exercise, 33, { requireBreak: false }).steps).toHaveLength(
      3,
    );
  });

  it("refuses a trace without values in exercise", () => {
    const { binS: width, firstBin, values } = courseOf(published);
    const empty = {
      binS: width,
      firstBin,
      values: values.map(() => Number.NaN),
      coverage: values.map(() => 0),
    };
    expect(() => fallThenRewarming(empty, exercise, 33)).toThrow(expect.objectContaining({ code: "empty" }));
  });
});

describe("the onset of rewarming", () => {
  it("is not bent by the plateau after it", () => {
    const long = rewarmingOnset(courseOf({ ...published, noise: 0.05 }), exercise);
    const short = rewarmingOnset(courseOf({ ...published, noise: 0.05 }), { fromS: 0, toS: 880 });
    if (long.kind !== "onset" || short.kind !== "onset") throw new Error("both have an onset");
    expect(Math.abs(long.timeS - short.timeS)).toBeLessThan(15);
  });

  it("covers the true onset in about 95 of 100 noisy courses", () => {
    let covered = 0;
    for (let seed = 0; seed < 200; seed++) {
      const onset = rewarmingOnset(courseOf({ ...published, noise: 0.1, seed }), exercise);
      if (onset.kind === "onset" && onset.interval.lower <= 390 && onset.interval.upper >= 390) covered++;
    }
    expect(covered).toBeGreaterThanOrEqual(178);
  });

  it("gives the reason where there is none", () => {
    const falling = courseOf({ fallRate: -0.005, fallS: exerciseS, riseRate: 0, riseS: 0 });
    expect(rewarmingOnset(falling, exercise)).toEqual({
      kind: "no onset",
      reason: expect.stringMatching(/no rewarming/),
    });
    const rising = courseOf({ fallRate: 0, fallS: 0, riseRate: 0.005, riseS: exerciseS });
    expect(rewarmingOnset(rising, exercise)).toEqual({
      kind: "no onset",
      reason: expect.stringMatching(/no fall/),
    });
  });
});
