import { describe, expect, it } from "vitest";
import { AnalysisError } from "../../src/analysis-error";
import { seededGenerator } from "../../src/statistics";
import { generatorFromState } from "../../src/statistics/seeded-generator";

describe("seededGenerator", () => {
  it("gives the output of the authors' program on state 1, 2, 3, 4", () => {
    // Source: xoshiro128starstar.c version 1.1 (Blackman & Vigna), as recorded in the tests of the Rust crate rand_xoshiro.
    const generator = generatorFromState([1, 2, 3, 4]);
    expect(Array.from({ length: 10 }, () => generator.uint32())).toEqual([
      11520, 0, 5927040, 70819200, 2031721883, 1637235492, 1287239034, 3734860849, 3729100597, 4258142804,
    ]);
  });

  it("repeats itself for the same seed and differs for another", () => {
    const draw = (seed: number) => {
      const generator = seededGenerator(seed);
      return Array.from({ length: 5 }, () => generator.uint32());
    };
    expect(draw(7)).toEqual(draw(7));
    expect(draw(7)).not.toEqual(draw(8));
  });

  it("draws every number below a count about equally often", () => {
    const generator = seededGenerator(1);
    const counts = new Array<number>(6).fill(0);
    for (let i = 0; i < 60_000; i++) {
      const face = generator.below(6);
      counts[face] = (counts[face] as number) + 1;
    }
    // Chi-squared with 5 degrees of freedom: its 0.9999 quantile is 25.7 (R qchisq).
    const chiSquared = counts.reduce((total, count) => total + (count - 10_000) ** 2 / 10_000, 0);
    expect(chiSquared).toBeLessThan(25.7);
  });

  it("shuffles without losing anything", () => {
    const items = Array.from({ length: 50 }, (_, i) => i);
    const shuffled = seededGenerator(3).shuffle([...items]);
    expect(shuffled).not.toEqual(items);
    expect([...shuffled].sort((a, b) => a - b)).toEqual(items);
  });

  it("refuses a seed that is not a whole number from 0 to 2^53 - 1", () => {
    for (const seed of [-1, 0.5, Number.NaN, 2 ** 53])
      expect(() => seededGenerator(seed)).toThrow(AnalysisError);
  });
});
