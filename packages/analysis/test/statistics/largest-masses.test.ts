import { describe, expect, it } from "vitest";
import { clusterPermutationTest, seededGenerator } from "../../src/statistics";
import { flipPatterns, memberPatterns } from "../../src/statistics/permutation/subset-patterns";

/** Two-sided 5 % points of t (R: qt(0.975, df)), by degrees of freedom. */
const thresholds: Record<number, number> = {
  4: 2.7764451051977987,
  11: 2.200985160083053,
  15: 2.131449545559323,
  19: 2.093024054408263,
  26: 2.055529438642871,
  34: 2.032244509317718,
};

/** Largest absolute mass by the plain way: every t anew from means and deviations. */
function plainMass(t: readonly number[], threshold: number): number {
  let largest = 0;
  let mass = 0;
  for (const value of t) {
    mass = Math.abs(value) > threshold ? (mass * value > 0 ? mass + value : value) : 0;
    largest = Math.max(largest, Math.abs(mass));
  }
  return largest;
}

function courses(n: number, points: number, smooth: number, seed: number): number[][] {
  const generator = seededGenerator(seed);
  return Array.from({ length: n }, () => {
    let level = 0;
    return Array.from({ length: points }, () => {
      level = smooth * level + generator.uniform() + generator.uniform() - 1;
      return level;
    });
  });
}

const mean = (values: readonly number[]) => values.reduce((total, value) => total + value, 0) / values.length;
const squares = (values: readonly number[]) => {
  const centre = mean(values);
  return values.reduce((total, value) => total + (value - centre) ** 2, 0);
};

/** The tabulated sums and bounds must not change any result, whatever the number of volunteers, bins and the smoothness. */
describe("clusterPermutationTest beside the plain way", () => {
  for (const [n, points, smooth] of [
    [5, 3, 0],
    [12, 50, 0],
    [20, 61, 0.9],
    [27, 100, 0.99],
    [35, 45, 0.8],
  ] as const) {
    it(`finds the same largest masses in sign flips of ${n} volunteers`, () => {
      const rows = courses(n, points, smooth, n);
      const result = clusterPermutationTest({
        kind: "paired",
        differences: rows.map((row) => [row]),
        permutations: 200,
        seed: 9,
      });
      const { bytes, count, groups } = flipPatterns(n, 200, 9);
      expect(result.largestMasses).toHaveLength(count);
      for (let flip = 0; flip < count; flip++) {
        const sign = (v: number) => (((bytes[flip * groups + (v >> 3)] as number) >> (v & 7)) & 1 ? -1 : 1);
        const t = Array.from({ length: points }, (_, i) => {
          const values = rows.map((row, v) => sign(v) * (row[i] as number));
          return mean(values) / Math.sqrt(squares(values) / (n - 1) / n);
        });
        expect(result.largestMasses[flip]).toBeCloseTo(plainMass(t, thresholds[n - 1] as number), 8);
      }
    });
  }

  it("finds the same largest masses in shuffles of two groups", () => {
    const rows = courses(17, 40, 0.9, 3);
    const result = clusterPermutationTest({
      kind: "unpaired",
      first: rows.slice(0, 7).map((row) => [row]),
      second: rows.slice(7).map((row) => [row]),
      permutations: 200,
      seed: 9,
    });
    const { bytes, count, groups } = memberPatterns(17, 7, 200, 9);
    for (let shuffle = 0; shuffle < count; shuffle++) {
      const chosen = (v: number) => (((bytes[shuffle * groups + (v >> 3)] as number) >> (v & 7)) & 1) === 1;
      const t = Array.from({ length: 40 }, (_, i) => {
        const one = rows.filter((_, v) => chosen(v)).map((row) => row[i] as number);
        const other = rows.filter((_, v) => !chosen(v)).map((row) => row[i] as number);
        return (
          (mean(one) - mean(other)) / Math.sqrt(((squares(one) + squares(other)) / 15) * (1 / 7 + 1 / 10))
        );
      });
      expect(result.largestMasses[shuffle]).toBeCloseTo(plainMass(t, thresholds[15] as number), 8);
    }
  });
});
