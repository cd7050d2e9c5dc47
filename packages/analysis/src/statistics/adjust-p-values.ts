import { AnalysisError } from "../analysis-error";

export type Adjustment = "holm" | "hochberg" | "benjamini-hochberg" | "benjamini-yekutieli";

/**
 * Adjusts p values for their number: Holm 1979 and Hochberg 1988 hold the chance of any false finding, Benjamini &
 * Hochberg 1995 and Benjamini & Yekutieli 2001 (valid under any dependence) hold the share of false findings. Missing
 * p values (NaN) stay missing and do not count.
 * @throws AnalysisError `out of range` for a p value outside [0, 1].
 */
export function adjustPValues(pValues: ArrayLike<number>, adjustment: Adjustment): number[] {
  const given = Array.from(pValues);
  for (const p of given) {
    if (Number.isNaN(p) || (p >= 0 && p <= 1)) continue;
    throw new AnalysisError("out of range", "adjustPValues", "pValues", `p values between 0 and 1, not ${p}`);
  }
  const order = given.map((_, i) => i).filter((i) => !Number.isNaN(given[i]));
  order.sort((a, b) => (given[a] as number) - (given[b] as number));
  const adjusted = new Array<number>(given.length).fill(Number.NaN);
  const n = order.length;
  const walkDown = (factor: (rank: number) => number) => {
    let largest = 0;
    order.forEach((index, i) => {
      largest = Math.max(largest, factor(i + 1) * (given[index] as number));
      adjusted[index] = Math.min(1, largest);
    });
  };
  const walkUp = (factor: (rank: number) => number) => {
    let smallest = 1;
    for (let i = n - 1; i >= 0; i--) {
      const index = order[i] as number;
      smallest = Math.min(smallest, factor(i + 1) * (given[index] as number));
      adjusted[index] = smallest;
    }
  };
  switch (adjustment) {
    case "holm":
      walkDown((rank) => n - rank + 1);
      break;
    case "hochberg":
      walkUp((rank) => n - rank + 1);
      break;
    case "benjamini-hochberg":
      walkUp((rank) => n / rank);
      break;
    case "benjamini-yekutieli": {
      let harmonic = 0;
      for (let rank = 1; rank <= n; rank++) harmonic += 1 / rank;
      walkUp((rank) => (harmonic * n) / rank);
      break;
    }
  }
  return adjusted;
}
