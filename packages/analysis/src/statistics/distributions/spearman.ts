import { exp, square } from "../../elementary";
import { normalUpperTail } from "./normal";
import type { Tails } from "./signed-rank";

/** Up to this many pairs every order is counted; beyond, R uses the series too. */
const COUNTED = 9;

/**
 * Distribution of the sum of squared rank differences of n pairs without ties, every order being as likely: counted up
 * to n = 9, beyond that by the Edgeworth series of algorithm AS 89 (Best & Roberts 1975, Applied Statistics 24:377-379).
 * The sum is even.
 */
export function rankDifferenceTails(n: number, sum: number): Tails {
  return n <= COUNTED
    ? counted(n, sum)
    : { atMost: 1 - edgeworthUpperTail(n, sum + 2), atLeast: edgeworthUpperTail(n, sum) };
}

function counted(n: number, sum: number): Tails {
  const largest = (n * (n * n - 1)) / 3;
  // ways[set][s]: orders that give the first values the ranks of the set and reach the sum s.
  const ways = Array.from({ length: 1 << n }, () => new Map<number, number>());
  (ways[0] as Map<number, number>).set(0, 1);
  for (let set = 0; set < 1 << n; set++) {
    const position = bits(set);
    for (const [reached, count] of ways[set] as Map<number, number>) {
      for (let rank = 0; rank < n; rank++) {
        if (set & (1 << rank)) continue;
        const target = ways[set | (1 << rank)] as Map<number, number>;
        const total = reached + square(rank - position);
        target.set(total, (target.get(total) ?? 0) + count);
      }
    }
  }
  let orders = 0;
  let atMost = 0;
  let atLeast = 0;
  for (const [total, count] of ways[(1 << n) - 1] as Map<number, number>) {
    orders += count;
    if (total <= sum) atMost += count;
    if (total >= sum && total <= largest) atLeast += count;
  }
  return { atMost: atMost / orders, atLeast: atLeast / orders };
}

function bits(set: number): number {
  let count = 0;
  for (let rest = set; rest !== 0; rest &= rest - 1) count++;
  return count;
}

function edgeworthUpperTail(n: number, sum: number): number {
  if (sum <= 0) return 1;
  if (sum > (n * (n * n - 1)) / 3) return 0;
  const b = 1 / n;
  const x = ((6 * (sum - 1) * b) / (n * n - 1) - 1) * Math.sqrt(1 / b - 1);
  const y = x * x;
  const u =
    x *
    b *
    (0.2274 +
      b * (0.2531 + 0.1745 * b) +
      y *
        (-0.0758 +
          b * (0.1033 + 0.3932 * b) -
          y * b * (0.0879 + 0.0151 * b - y * (0.0072 - 0.0831 * b + y * b * (0.0131 - 4.6e-4 * y)))));
  return Math.min(1, Math.max(0, u / exp(y / 2) + normalUpperTail(x)));
}
