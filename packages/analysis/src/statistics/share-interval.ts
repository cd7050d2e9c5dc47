import { AnalysisError } from "../analysis-error";
import { betaQuantile } from "./distributions/beta";
import { normalQuantile } from "./distributions/normal";
import { checkCount, checkLevel } from "./numeric/check-option";
import type { Interval } from "./result";

export interface ShareResult {
  readonly method: string;
  readonly estimate: number;
  readonly interval: Interval;
  readonly count: number;
  readonly n: number;
}

/**
 * A share with its interval: `exact` (Clopper & Pearson 1934, Biometrika 26:404-413), `wilson` (Wilson 1927, JASA
 * 22:209-212) or `jeffreys` (equal-tailed, with 0 and 1 as the ends at no and at all successes; Brown, Cai & DasGupta
 * 2001, Statistical Science 16:101-133).
 * @throws AnalysisError `out of range` unless 0 <= count <= n and n >= 1.
 */
export function shareInterval(input: {
  readonly count: number;
  readonly n: number;
  readonly kind?: "exact" | "wilson" | "jeffreys";
  readonly level?: number;
}): ShareResult {
  const { count, n, kind = "exact", level = 0.95 } = input;
  checkLevel(level, "shareInterval");
  checkCount(n, 1, "n", "shareInterval");
  checkCount(count, 0, "count", "shareInterval");
  if (count > n) {
    throw new AnalysisError(
      "out of range",
      "shareInterval",
      "count",
      `count of at most n = ${n}, not ${count}`,
    );
  }
  return { ...intervalOf(count, n, kind, level), estimate: count / n, count, n };
}

function intervalOf(count: number, n: number, kind: "exact" | "wilson" | "jeffreys", level: number) {
  const outside = (1 - level) / 2;
  switch (kind) {
    case "exact":
      return {
        method: "exact interval (Clopper-Pearson)",
        interval: {
          lower: count === 0 ? 0 : betaQuantile(outside, count, n - count + 1),
          upper: count === n ? 1 : betaQuantile(outside, count + 1, n - count, true),
          level,
        },
      };
    case "jeffreys":
      return {
        method: "Jeffreys interval",
        interval: {
          lower: count === 0 ? 0 : betaQuantile(outside, count + 0.5, n - count + 0.5),
          upper: count === n ? 1 : betaQuantile(outside, count + 0.5, n - count + 0.5, true),
          level,
        },
      };
    case "wilson": {
      const z = normalQuantile(outside, true);
      const share = count / n;
      const centre = share + (z * z) / (2 * n);
      const reach = z * Math.sqrt((share * (1 - share) + (z * z) / (4 * n)) / n);
      const scale = 1 + (z * z) / n;
      return {
        method: "Wilson score interval",
        interval: {
          lower: count === 0 ? 0 : (centre - reach) / scale,
          upper: count === n ? 1 : (centre + reach) / scale,
          level,
        },
      };
    }
  }
}
