import { describe, expect, it } from "vitest";
import { estimateOffset } from "../../src/course";
import { seededGenerator } from "../../src/statistics";

const regular = (startS: number, stepS: number, count: number) =>
  ({ kind: "regular", startS, stepS, count }) as const;

/** A course that two instruments see: slow waves and one fall, of no one's body. */
const seen = (t: number) =>
  33 +
  0.8 * Math.sin(t / 47) +
  0.5 * Math.sin(t / 13 + 1) -
  (t > 300 ? 1.5 * (1 - Math.exp(-(t - 300) / 60)) : 0);

describe("the offset between what two instruments see", () => {
  it("is Pearson's correlation of what both cover: a worked example", () => {
    // Twenty values and the same ones three steps earlier; Pearson's r of a series with itself is 1.
    const values = [4, 1, 7, 3, 9, 2, 8, 5, 6, 0, 3, 8, 1, 9, 4, 7, 2, 6, 5, 0, 9, 3, 7, 1, 8, 2, 6, 4, 5, 9];
    const reference = { timeBase: regular(0, 1, 27), values: Float64Array.from(values.slice(0, 27)) };
    const moving = { timeBase: regular(0, 1, 27), values: Float64Array.from(values.slice(3)) };
    const found = estimateOffset(reference, moving);
    expect(found?.shiftS).toBeCloseTo(3, 1);
    expect(found?.correlation).toBeGreaterThan(0.99);
    expect(found?.overlapS).toBe(24);
  });

  it("is found in 200 seeded pairs of different sampling, with noise, drift and gaps, to half a second", () => {
    const random = seededGenerator(20260310);
    const normal = () => random.uniform() + random.uniform() + random.uniform() + random.uniform() - 2;
    let worst = 0;
    for (let trial = 0; trial < 200; trial++) {
      const trueS = Math.round((random.uniform() * 240 - 120) * 1000) / 1000;
      const ownStep = [0.5, 1, 2][trial % 3] ?? 1;
      const drift = random.uniform() * 0.002 - 0.001;
      const reference = {
        timeBase: regular(0, 1, 900),
        values: Float64Array.from({ length: 900 }, (_, i) => seen(i) + 0.05 * normal()),
      };
      // On its own clock the second instrument began `trueS` after the first.
      const count = Math.floor(700 / ownStep);
      const moving = {
        timeBase: regular(0, ownStep, count),
        values: Float64Array.from({ length: count }, (_, i) =>
          i % 97 < 4 ? Number.NaN : 2 * seen(i * ownStep + trueS) - 20 + drift * i * ownStep + 0.1 * normal(),
        ),
      };
      const found = estimateOffset(reference, moving);
      expect(found, `trial ${trial}`).not.toBeNull();
      worst = Math.max(worst, Math.abs((found?.shiftS ?? Number.NaN) - trueS));
    }
    expect(worst).toBeLessThan(0.5);
  });

  it("is told as ambiguous where a course repeats itself, and as clear where it does not", () => {
    const wave = (t: number) => Math.sin((2 * Math.PI * t) / 60);
    const of = (f: (t: number) => number, fromS: number) => ({
      timeBase: regular(0, 1, 600),
      values: Float64Array.from({ length: 600 }, (_, i) => f(i + fromS)),
    });
    expect(estimateOffset(of(wave, 0), of(wave, 10))?.ambiguity).toBeGreaterThan(0.95);
    expect(estimateOffset(of(seen, 0), of(seen, 10))?.ambiguity).toBeLessThan(0.9);
  });

  it("has its times on any clock: what lies there already is moved by the rest", () => {
    const reference = {
      timeBase: regular(1000, 1, 800),
      values: Float64Array.from({ length: 800 }, (_, i) => seen(i)),
    };
    const timesS = Float64Array.from({ length: 500 }, (_, i) => 1000 + i * 1.5);
    const moving = {
      timeBase: { kind: "irregular", timesS } as const,
      values: timesS.map((time) => seen(time - 1000 + 25)),
    };
    const found = estimateOffset(reference, moving);
    expect(found?.shiftS).toBeCloseTo(25, 1);
    expect(found?.correlation).toBeGreaterThan(found?.correlationNow ?? 1);
  });

  it("is null when nothing moves alike, and refuses what it cannot look at, naming the argument", () => {
    const flat = { timeBase: regular(0, 1, 100), values: new Float64Array(100).fill(3) };
    const other = {
      timeBase: regular(0, 1, 100),
      values: Float64Array.from({ length: 100 }, (_, i) => seen(i)),
    };
    expect(estimateOffset(other, flat)).toBeNull();
    expect(() => estimateOffset(other, { ...flat, values: new Float64Array(3) })).toThrow(
      expect.objectContaining({ code: "unequal lengths", argument: "moving" }),
    );
    expect(() => estimateOffset({ timeBase: regular(0, 1, 5), values: new Float64Array(5) }, other)).toThrow(
      expect.objectContaining({ code: "too few", argument: "reference" }),
    );
    const backwards = { kind: "irregular", timesS: Float64Array.from({ length: 30 }, (_, i) => -i) } as const;
    expect(() => estimateOffset(other, { timeBase: backwards, values: new Float64Array(30) })).toThrow(
      expect.objectContaining({ code: "not increasing" }),
    );
  });
});
