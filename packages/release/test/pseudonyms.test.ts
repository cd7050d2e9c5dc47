import { describe, expect, it } from "vitest";
import { drawPseudonyms } from "../src/pseudonyms";
import { drawBelow, seededRandom } from "../src/random-source";
import { seed } from "./example-study";

const keys = Array.from({ length: 400 }, (_, i) => `volunteer-${String(i).padStart(4, "0")}`);
const draw = (filling: number, order = keys): ReadonlyMap<string, string> =>
  drawPseudonyms(order, "P-", seededRandom(seed(filling)), () => false);

describe("Pseudonyms", () => {
  it("are all different and of one form", () => {
    const all = [...draw(1).values()];
    expect(new Set(all).size).toBe(keys.length);
    for (const pseudonym of all) expect(pseudonym).toMatch(/^P-[2-9BCDFGHJKMNPQRSTVWXZ]{4}$/);
  });

  it("depend on the seed and not on the order in which volunteers arrive", () => {
    expect(draw(1, [...keys].reverse()).get("volunteer-0007")).toBe(draw(1).get("volunteer-0007"));
    const [one, other] = [draw(1), draw(2)];
    expect(keys.filter((key) => one.get(key) === other.get(key))).toEqual([]);
  });

  it("carry no trace of the volunteers' order", () => {
    const ranks = [...draw(3).entries()]
      .sort(([, a], [, b]) => (a < b ? -1 : 1))
      .map(([key]) => keys.indexOf(key));
    const mean = (keys.length - 1) / 2;
    let product = 0;
    let square = 0;
    for (const [rank, place] of ranks.entries()) {
      product += (rank - mean) * (place - mean);
      square += (rank - mean) ** 2;
    }
    // Spearman's rank correlation of 400 random pairs has a standard deviation of 0.05.
    expect(Math.abs(product / square)).toBeLessThan(0.15);
  });

  it("are never somebody's volunteer code", () => {
    const [first] = [...draw(1).values()];
    const avoided = drawPseudonyms(keys, "P-", seededRandom(seed(1)), (pseudonym) => pseudonym === first);
    expect([...avoided.values()]).not.toContain(first);
  });
});

describe("The random source", () => {
  it("is HMAC-SHA-256 of a counter under the seed, in any portions", () => {
    const whole = seededRandom(seed(9)).bytes(80);
    const source = seededRandom(seed(9));
    expect([...source.bytes(3), ...source.bytes(50), ...source.bytes(27)]).toEqual([...whole]);
  });

  it("draws every number equally often", () => {
    const random = seededRandom(seed(4));
    const counts = new Array<number>(27).fill(0);
    const draws = 27_000;
    for (let i = 0; i < draws; i++) {
      const drawn = drawBelow(random, 27);
      counts[drawn] = (counts[drawn] ?? 0) + 1;
    }
    const chiSquare = counts.reduce((sum, count) => sum + (count - 1000) ** 2 / 1000, 0);
    // The 99.9 % point of chi-square with 26 degrees of freedom is 54.05 (standard table).
    expect(chiSquare).toBeLessThan(54.05);
  });

  it("refuses a seed that could be guessed", () => {
    expect(() => seededRandom(new Uint8Array(8))).toThrow("seed");
  });
});
