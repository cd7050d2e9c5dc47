import { describe, expect, it } from "vitest";
import { seededRandom } from "../src/seeded-random";

describe("seededRandom", () => {
  it("repeats its draws for the same seed and label", () => {
    const a = seededRandom(7, "x");
    const b = seededRandom(7, "x");
    for (let i = 0; i < 100; i += 1) expect(a.uniform()).toBe(b.uniform());
  });

  it("gives other draws for another seed or label", () => {
    const first = seededRandom(7, "x").uniform();
    expect(seededRandom(8, "x").uniform()).not.toBe(first);
    expect(seededRandom(7, "y").uniform()).not.toBe(first);
  });

  it("draws deviates of mean 0 and variance 1, within four standard errors of 40,000 draws", () => {
    const random = seededRandom(1, "moments");
    const draws = Array.from({ length: 40_000 }, () => random.normal());
    const mean = draws.reduce((sum, x) => sum + x, 0) / draws.length;
    const variance = draws.reduce((sum, x) => sum + (x - mean) ** 2, 0) / (draws.length - 1);
    expect(Math.abs(mean)).toBeLessThan(4 / 200);
    expect(Math.abs(variance - 1)).toBeLessThan(4 * Math.sqrt(2 / draws.length));
  });

  it("shuffles without losing or doubling an item", () => {
    const items = Array.from({ length: 50 }, (_, i) => i);
    const shuffled = seededRandom(3, "order").shuffled(items);
    expect(shuffled).not.toEqual(items);
    expect(shuffled.toSorted((a, b) => a - b)).toEqual(items);
  });
});
