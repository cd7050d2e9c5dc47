import type { Tails } from "./signed-rank";

/**
 * Exact distribution of the number of concordant pairs among n values without ties, every order being as likely: the
 * k-th value adds 0 to k - 1 of them, each as likely (Kendall 1938, Biometrika 30:81-93).
 */
export function concordantPairTails(n: number, concordant: number): Tails {
  let shares = Float64Array.of(1);
  for (let k = 2; k <= n; k++) {
    const next = new Float64Array(shares.length + k - 1);
    shares.forEach((share, i) => {
      for (let added = 0; added < k; added++) next[i + added] = (next[i + added] as number) + share / k;
    });
    shares = next;
  }
  let atMost = 0;
  let atLeast = 0;
  shares.forEach((share, i) => {
    if (i <= concordant) atMost += share;
    if (i >= concordant) atLeast += share;
  });
  return { atMost, atLeast };
}
