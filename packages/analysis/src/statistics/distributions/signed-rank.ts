import { power } from "../../elementary";
export interface Tails {
  readonly atMost: number;
  readonly atLeast: number;
}

/**
 * Exact distribution of the sum of the positive ranks when every sign is as likely either way, given the ranks (which
 * may be tied, that is multiples of one half). Counts all 2^n sign patterns by adding one rank after the other
 * (Streitberg & Roehmel 1986, Statistical Software Newsletter 12:10-17).
 */
export function signedRankTails(ranks: ArrayLike<number>, statistic: number): Tails {
  let largest = 0;
  for (let i = 0; i < ranks.length; i++) largest += Math.round(2 * (ranks[i] as number));
  const counts = new Float64Array(largest + 1);
  counts[0] = 1;
  let reached = 0;
  for (let i = 0; i < ranks.length; i++) {
    const rank = Math.round(2 * (ranks[i] as number));
    reached += rank;
    for (let s = reached; s >= rank; s--) counts[s] = (counts[s] as number) + (counts[s - rank] as number);
  }
  return tails(counts, Math.round(2 * statistic), power(2, ranks.length));
}

/**
 * Exact distribution of the sum of the ranks that fall to a group of `size`, when every choice of members is as likely,
 * given all ranks (which may be tied).
 */
export function rankSumTails(ranks: ArrayLike<number>, size: number, rankSum: number): Tails {
  const doubled = Array.from(ranks, (rank) => Math.round(2 * rank)).sort((a, b) => a - b);
  const scale = doubled.every((rank) => rank % 2 === 0) ? 2 : 1;
  const steps = doubled.map((rank) => rank / scale);
  const largest = steps.slice(steps.length - size).reduce((total, step) => total + step, 0);
  const width = largest + 1;
  // Row k holds, for every sum, in how many ways k members reach it.
  const counts = new Float64Array((size + 1) * width);
  counts[0] = 1;
  steps.forEach((step, i) => {
    for (let k = Math.min(size, i + 1); k >= 1; k--) {
      const row = k * width;
      const before = row - width - step;
      for (let s = step; s < width; s++) {
        const ways = counts[before + s] as number;
        if (ways !== 0) counts[row + s] = (counts[row + s] as number) + ways;
      }
    }
  });
  const row = counts.subarray(size * width, (size + 1) * width);
  let total = 0;
  for (const ways of row) total += ways;
  return tails(row, Math.round((2 * rankSum) / scale), total);
}

function tails(counts: Float64Array, at: number, total: number): Tails {
  let atMost = 0;
  let atLeast = 0;
  for (let s = 0; s < counts.length; s++) {
    if (s <= at) atMost += counts[s] as number;
    if (s >= at) atLeast += counts[s] as number;
  }
  return { atMost: atMost / total, atLeast: atLeast / total };
}
