import {
  type Alternative,
  friedmanTest,
  kendallCorrelation,
  pearsonCorrelation,
  spearmanCorrelation,
  wilcoxonRankSum,
  wilcoxonSignedRank,
} from "../../../src/statistics";
import type { AgreementCheck } from "./agreement-check";
import { normalValues, tiedValues } from "./inputs";

const alternatives: readonly Alternative[] = ["two-sided", "less", "greater"];
const rAlternative = (alternative: Alternative) => (alternative === "two-sided" ? "two.sided" : alternative);

const smallPairs = [
  {
    x: [0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0, 2],
    y: [1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4],
  },
  {
    x: [1.83, 0.5, 1.62, 2.48, 1.68, 1.88, 1.55, 3.06, 1.3],
    y: [0.878, 0.647, 0.598, 2.05, 1.06, 1.29, 1.06, 3.14, 1.29],
  },
  { x: normalValues(40, 5, 1), y: normalValues(41, 5) },
  { x: normalValues(42, 24, 33.2, 0.4), y: normalValues(43, 24, 33, 0.4) },
  { x: normalValues(44, 49), y: normalValues(45, 49, 0.3) },
  { x: tiedValues(46, 12), y: tiedValues(47, 12) },
  { x: tiedValues(48, 30, 4), y: tiedValues(49, 30, 4) },
  { x: normalValues(38, 12, 9), y: normalValues(39, 12) },
  { x: [3, 1, 2], y: [0, 0, 0] },
];
const largePairs = [
  { x: normalValues(50, 50, 0.2), y: normalValues(51, 50) },
  { x: tiedValues(52, 80, 6), y: tiedValues(53, 80, 7) },
  { x: normalValues(54, 120, 1e6, 0.5), y: normalValues(55, 120, 1e6, 0.5) },
];
const correlated = (seed: number, n: number, share: number) => {
  const x = normalValues(seed, n, 33, 2);
  return { x, y: normalValues(seed + 1, n).map((noise, i) => share * (x[i] as number) + noise) };
};
const correlationPairs = [
  ...[4, 5, 9, 10, 24, 49, 50, 200].map((n) => correlated(60 + n, n, 0.4)),
  correlated(400, 12, -3),
  correlated(402, 24, 30),
  { x: normalValues(404, 60, 1e6, 0.01), y: normalValues(405, 60, 1e6, 0.01) },
];
const tiedPairs = [
  { x: tiedValues(406, 12), y: tiedValues(407, 12) },
  { x: tiedValues(408, 70), y: tiedValues(409, 70, 9) },
  { x: [1, 2, 2, 4], y: [1, 3, 2, 9] },
];

const signedRank = (
  name: string,
  pairs: readonly { x: number[]; y: number[] }[],
  options: { exact: boolean; correct?: boolean },
): AgreementCheck => ({
  name,
  against: "wilcox.test(paired = TRUE)",
  // An absolute bound: R forms upper tails as 1 - p.
  bound: 1e-12,
  floor: 1,
  cases: pairs.flatMap(({ x, y }) =>
    alternatives.map((alternative) => ({
      variables: { x, y },
      r: `w <- wilcox.test(x, y, paired = TRUE, alternative = "${rAlternative(alternative)}", exact = ${options.exact ? "TRUE" : "FALSE"}, correct = ${options.correct === false ? "FALSE" : "TRUE"}); c(w$statistic, w$p.value)`,
      ours: () => {
        const w = wilcoxonSignedRank({ first: x, second: y, alternative, ...options });
        return [w.statistic, w.p];
      },
    })),
  ),
});

const rankSum = (
  name: string,
  pairs: readonly { x: number[]; y: number[] }[],
  options: { exact: boolean; correct?: boolean },
): AgreementCheck => ({
  ...signedRank(name, [], options),
  against: "wilcox.test",
  cases: pairs.flatMap(({ x, y }) =>
    alternatives.map((alternative) => ({
      variables: { x, y: y.slice(1) },
      r: `w <- wilcox.test(x, y, alternative = "${rAlternative(alternative)}", exact = ${options.exact ? "TRUE" : "FALSE"}, correct = ${options.correct === false ? "FALSE" : "TRUE"}); c(w$statistic, w$p.value)`,
      ours: () => {
        const w = wilcoxonRankSum({ first: x, second: y.slice(1), alternative, ...options });
        return [w.statistic, w.p];
      },
    })),
  ),
});

/** Dried weights of control and second treatment (Dobson 1983; R's dataset PlantGrowth). */
const control = [4.17, 5.58, 5.18, 6.11, 4.5, 4.61, 5.17, 4.53, 5.33, 5.14];
const treatment = [6.31, 5.12, 5.54, 5.5, 5.37, 5.29, 4.92, 6.15, 5.8, 5.26];

export const rankTestChecks: readonly AgreementCheck[] = [
  signedRank("wilcoxonSignedRank exact", smallPairs, { exact: true }),
  signedRank("wilcoxonSignedRank approximate", [...smallPairs, ...largePairs], { exact: false }),
  signedRank("wilcoxonSignedRank uncorrected", [...smallPairs, ...largePairs], {
    exact: false,
    correct: false,
  }),
  rankSum("wilcoxonRankSum exact", smallPairs, { exact: true }),
  rankSum("wilcoxonRankSum approximate", [...smallPairs, ...largePairs], { exact: false }),
  rankSum("wilcoxonRankSum uncorrected", [...smallPairs, ...largePairs], { exact: false, correct: false }),
  {
    name: "wilcoxonSignedRank exact interval",
    against: "wilcox.test(conf.int = TRUE)",
    bound: 1e-10,
    cases: smallPairs.slice(2, 5).map(({ x, y }) => ({
      variables: { x, y },
      r: "w <- wilcox.test(x, y, paired = TRUE, conf.int = TRUE); c(w$estimate, w$conf.int, attr(w$conf.int, 'conf.level'))",
      ours: () => {
        const { estimate, interval } = wilcoxonSignedRank({ first: x, second: y });
        return [estimate, interval.lower, interval.upper, interval.level];
      },
    })),
  },
  {
    // With ties R takes P(V > v) instead of P(V >= v) for the lower end; its upper end, of the values and of their
    // negatives, is right.
    name: "wilcoxonSignedRank exact interval with ties",
    against: "wilcox.test(conf.int = TRUE)",
    bound: 1e-10,
    cases: smallPairs.slice(5, 6).map(({ x, y }) => ({
      variables: { x, y },
      r: "w <- wilcox.test(x, y, paired = TRUE, conf.int = TRUE); v <- wilcox.test(y, x, paired = TRUE, conf.int = TRUE); c(w$estimate, -v$conf.int[2], w$conf.int[2])",
      ours: () => {
        const { estimate, interval } = wilcoxonSignedRank({ first: x, second: y });
        return [estimate, interval.lower, interval.upper];
      },
    })),
  },
  {
    name: "wilcoxonRankSum exact interval",
    against: "wilcox.test(conf.int = TRUE)",
    bound: 1e-10,
    cases: [...smallPairs.slice(0, 4), ...smallPairs.slice(5, 6)].map(({ x, y }) => ({
      variables: { x, y: y.slice(1) },
      r: "w <- wilcox.test(x, y, conf.int = TRUE); c(w$estimate, w$conf.int, attr(w$conf.int, 'conf.level'))",
      ours: () => {
        const { estimate, interval } = wilcoxonRankSum({ first: x, second: y.slice(1) });
        return [estimate, interval.lower, interval.upper, interval.level];
      },
    })),
  },
  {
    // Values without ties, whose differences and means of pairs are tied all the same: R's own datasets.
    name: "Wilcoxon exact intervals of rounded values",
    against: "wilcox.test(conf.int = TRUE)",
    bound: 1e-10,
    cases: [
      {
        r: "w <- wilcox.test(PlantGrowth$weight[1:10], PlantGrowth$weight[21:30], conf.int = TRUE); c(w$estimate, w$conf.int, attr(w$conf.int, 'conf.level'))",
        ours: () => {
          const { estimate, interval } = wilcoxonRankSum({ first: control, second: treatment });
          return [estimate, interval.lower, interval.upper, interval.level];
        },
      },
      {
        r: "w <- wilcox.test(PlantGrowth$weight[1:10], mu = 5, conf.int = TRUE); c(w$estimate, w$conf.int, attr(w$conf.int, 'conf.level'))",
        ours: () => {
          const { estimate, interval } = wilcoxonSignedRank({ values: control, hypothesis: 5 });
          return [estimate, interval.lower, interval.upper, interval.level];
        },
      },
      {
        r: "w <- wilcox.test(c(0.3, 0.7, 1.1, 0.9, 2.2), conf.int = TRUE); c(w$estimate, w$conf.int, attr(w$conf.int, 'conf.level'))",
        ours: () => {
          const { estimate, interval } = wilcoxonSignedRank({ values: [0.3, 0.7, 1.1, 0.9, 2.2] });
          return [estimate, interval.lower, interval.upper, interval.level];
        },
      },
    ],
  },
  {
    name: "wilcoxon approximate intervals",
    against: "wilcox.test(conf.int = TRUE, tol.root = 1e-13)",
    bound: 1e-10,
    floor: 1,
    cases: largePairs.slice(0, 1).map(({ x, y }) => ({
      variables: { x, y },
      r: "c(wilcox.test(x, y, paired = TRUE, conf.int = TRUE, tol.root = 1e-13)$conf.int, wilcox.test(x, y, conf.int = TRUE, tol.root = 1e-13)$conf.int)",
      ours: () => {
        const paired = wilcoxonSignedRank({ first: x, second: y }).interval;
        const two = wilcoxonRankSum({ first: x, second: y }).interval;
        return [paired.lower, paired.upper, two.lower, two.upper];
      },
    })),
  },
  {
    name: "rankBiserial",
    against: "its formulas, written in R",
    bound: 1e-10,
    cases: largePairs.map(({ x, y }) => ({
      variables: { x, y },
      r: `d <- x - y; d <- d[d != 0]; k <- rank(abs(d)); n <- length(d); r <- sum(k * sign(d)) / sum(k)
        s <- sqrt((2 * n^3 + 3 * n^2 + n) / 6) / ((n^2 + n) / 2); m <- length(x)
        r2 <- mean(sign(outer(x, y, "-"))); s2 <- sqrt((2 * m + 1) / (3 * m * m)); q <- qnorm(0.975)
        c(r, tanh(atanh(r) + c(-q, q) * s), r2, tanh(atanh(r2) + c(-q, q) * s2))`,
      ours: () =>
        [wilcoxonSignedRank({ first: x, second: y }), wilcoxonRankSum({ first: x, second: y })].flatMap(
          ({ rankBiserial: { estimate, interval } }) => [
            estimate,
            interval?.lower ?? Number.NaN,
            interval?.upper ?? Number.NaN,
          ],
        ),
    })),
  },
  {
    name: "pearsonCorrelation",
    against: "cor.test",
    bound: 1e-10,
    cases: correlationPairs.flatMap(({ x, y }) =>
      alternatives.map((alternative) => ({
        variables: { x, y },
        r: `w <- cor.test(x, y, alternative = "${rAlternative(alternative)}"); c(w$estimate, w$statistic, w$p.value, w$conf.int)`,
        ours: () => {
          const { estimate, statistic, p, interval } = pearsonCorrelation({ x, y, alternative });
          return [estimate, statistic, p, interval?.lower ?? Number.NaN, interval?.upper ?? Number.NaN];
        },
      })),
    ),
  },
  ...(["kendall", "spearman"] as const).map(
    (method): AgreementCheck => ({
      name: `${method}Correlation`,
      against: `cor.test(method = "${method}")`,
      // An absolute bound: R forms upper tails as 1 - p.
      bound: 1e-12,
      floor: 1,
      cases: [...correlationPairs, ...tiedPairs].flatMap(({ x, y }) =>
        alternatives.map((alternative) => ({
          variables: { x, y },
          r: `w <- cor.test(x, y, method = "${method}", alternative = "${rAlternative(alternative)}"); c(w$estimate, w$p.value)`,
          ours: () => {
            const f = method === "kendall" ? kendallCorrelation : spearmanCorrelation;
            const { estimate, p } = f({ x, y, alternative });
            return [estimate, p];
          },
        })),
      ),
    }),
  ),
  {
    name: "friedmanTest",
    against: "friedman.test",
    bound: 1e-10,
    cases: [
      [
        [12, 15, 12, 10],
        [10, 14, 13, 12],
        [7, 14, 13, 9],
        [7, 11, 10, 9],
      ],
      Array.from({ length: 24 }, (_, i) => normalValues(500 + i, 5).map((v, j) => v + j)),
      Array.from({ length: 10 }, (_, i) => tiedValues(530 + i, 4, 3)),
      Array.from({ length: 200 }, (_, i) => normalValues(600 + i, 3).map((v, j) => v + 3 * j)),
      [
        [1, 2],
        [2, 1],
        [1, 3],
      ],
    ].map((rows) => ({
      variables: { y: { rows } },
      r: "f <- friedman.test(y); c(f$statistic, f$parameter, f$p.value)",
      ours: () => {
        const f = friedmanTest(rows);
        return [f.statistic, f.degreesOfFreedom, f.p];
      },
    })),
  },
];
