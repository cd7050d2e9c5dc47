import { type Adjustment, adjustPValues, shareInterval, singleCaseTest } from "../../../src/statistics";
import type { AgreementCheck } from "./agreement-check";
import { combinations, normalValues } from "./inputs";

const pLists = [
  [0.01, 0.02, 0.03, 0.04, 0.05],
  [0.2],
  [0.5, 0.5, 0.001, 0.001, 1, 0],
  [1e-300, 1e-12, 0.03, 0.9, 0.04, 0.0400001],
  normalValues(700, 50).map((v) => 1 / (1 + Math.exp(-3 * v))),
];
const rName: Record<Adjustment, string> = {
  holm: "holm",
  hochberg: "hochberg",
  "benjamini-hochberg": "BH",
  "benjamini-yekutieli": "BY",
};

export const shareAndPValueChecks: readonly AgreementCheck[] = [
  {
    name: "adjustPValues",
    against: "p.adjust",
    bound: 1e-10,
    cases: pLists.flatMap((p) =>
      (Object.keys(rName) as Adjustment[]).map((adjustment) => ({
        variables: { p },
        r: `p.adjust(p, "${rName[adjustment]}")`,
        ours: () => adjustPValues(p, adjustment),
      })),
    ),
  },
  {
    name: "shareInterval",
    against: "binom.test, prop.test, qbeta",
    bound: 1e-10,
    cases: combinations([0, 1, 3, 5, 10, 24], [1, 10, 24, 1000], [0.9, 0.95, 0.999999])
      .filter(([count, n]) => (count as number) <= (n as number))
      .map(([count, n, level]) => ({
        r: `x <- ${count}; n <- ${n}; l <- ${level}; c(binom.test(x, n, conf.level = l)$conf.int, prop.test(x, n, conf.level = l, correct = FALSE)$conf.int, if (x == 0) 0 else qbeta((1 - l) / 2, x + 0.5, n - x + 0.5), if (x == n) 1 else qbeta((1 - l) / 2, x + 0.5, n - x + 0.5, lower.tail = FALSE))`,
        ours: () =>
          (["exact", "wilson", "jeffreys"] as const).flatMap((kind) => {
            const { interval } = shareInterval({
              count: count as number,
              n: n as number,
              kind,
              level: level as number,
            });
            return [interval.lower, interval.upper];
          }),
      })),
  },
  {
    name: "singleCaseTest",
    against: "its formulas, written in R",
    bound: 1e-10,
    cases: [2, 5, 24].flatMap((n) =>
      [-40, 31, 33.2, 36].map((value) => {
        const controls = normalValues(710 + n, n, 33, 0.5);
        return {
          variables: { x: controls, v: value },
          r: "n <- length(x); t <- (v - mean(x)) / (sd(x) * sqrt((n + 1) / n)); c(t, 2 * pt(-abs(t), n - 1), pt(t, n - 1))",
          ours: () => {
            const { statistic, p, shareBelow } = singleCaseTest({ case: value, controls });
            return [statistic, p, shareBelow.estimate];
          },
        };
      }),
    ),
  },
];
