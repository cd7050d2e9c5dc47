import { clusterPermutationTest, signFlipTest } from "../../../src/statistics";
import { bcaInterval, jackknifeAcceleration, percentileInterval } from "../../../src/statistics/bootstrap";
import type { AgreementCheck } from "./agreement-check";
import { normalValues } from "./inputs";

const walk = (seed: number, bins: number, bump: number) => {
  let level = 0;
  return normalValues(seed, bins, 0, 0.12).map((step, i) => {
    level = 0.9 * level + step;
    return level + (i > 10 && i < 20 ? bump : 0);
  });
};
const courses = (n: number, bins: number, seed: number, bump: number) =>
  Array.from({ length: n }, (_, i) => walk(seed + i, bins, bump));

/** R: clusters of a course of t as start, end and mass, and the largest absolute mass. */
const clustersInR = `
clusters <- function(t, c) { s <- ifelse(abs(t) > c, sign(t), 0); r <- rle(s); e <- cumsum(r$lengths); b <- e - r$lengths + 1; k <- r$values != 0
  cbind(b[k], e[k], mapply(function(b, e) sum(t[b:e]), b[k], e[k])) }
biggest <- function(t, c) { m <- clusters(t, c); if (nrow(m) == 0) 0 else max(abs(unlist(m[, 3]))) }
`;

const flips = "s <- as.matrix(expand.grid(rep(list(c(1, -1)), nrow(y))))";

export const resamplingChecks: readonly AgreementCheck[] = [
  {
    name: "clusterPermutationTest paired",
    against: "all sign flips, enumerated in R",
    bound: 1e-10,
    cases: [
      [6, 0.6],
      [8, 0.2],
    ].map(([n, bump]) => {
      const rows = courses(n as number, 30, 2100 + (n as number), bump as number);
      return {
        variables: { y: { rows } },
        r: `${clustersInR} ${flips}; n <- nrow(y); c0 <- qt(0.975, n - 1); tt <- function(x) colMeans(x) / apply(x, 2, sd) * sqrt(n)
          o <- clusters(tt(y), c0); N <- apply(s, 1, function(f) biggest(tt(y * f), c0))
          c(tt(y), t(cbind(o, sapply(o[, 3], function(m) mean(N >= abs(m) * (1 - 1e-9))))))`,
        ours: () => {
          const result = clusterPermutationTest({ kind: "paired", differences: rows.map((row) => [row]) });
          return [
            ...(result.t[0] ?? []),
            ...result.clusters.flatMap(({ start, end, mass, p }) => [start + 1, end + 1, mass, p]),
          ];
        },
      };
    }),
  },
  {
    name: "clusterPermutationTest unpaired",
    against: "all choices of a group, enumerated in R",
    bound: 1e-10,
    cases: [
      [3, 5],
      [4, 4],
    ].map(([n1, n2]) => {
      const first = courses(n1 as number, 30, 2200, 0.5);
      const second = courses(n2 as number, 30, 2300, 0);
      return {
        variables: { y: { rows: [...first, ...second] } },
        r: `${clustersInR} n1 <- ${n1}; n <- nrow(y); c0 <- qt(0.975, n - 2)
          q <- function(m) colSums(sweep(m, 2, colMeans(m))^2)
          tt <- function(i) { a <- y[i, ]; b <- y[-i, ]; (colMeans(a) - colMeans(b)) / sqrt((q(a) + q(b)) / (n - 2) * (1 / n1 + 1 / (n - n1))) }
          o <- clusters(tt(1:n1), c0); N <- combn(n, n1, function(i) biggest(tt(i), c0))
          c(tt(1:n1), t(cbind(o, sapply(o[, 3], function(m) mean(N >= abs(m) * (1 - 1e-9))))))`,
        ours: () => {
          const result = clusterPermutationTest({
            kind: "unpaired",
            first: first.map((row) => [row]),
            second: second.map((row) => [row]),
          });
          return [
            ...(result.t[0] ?? []),
            ...result.clusters.flatMap(({ start, end, mass, p }) => [start + 1, end + 1, mass, p]),
          ];
        },
      };
    }),
  },
  {
    name: "signFlipTest",
    against: "all sign flips, enumerated in R",
    bound: 1e-12,
    floor: 1,
    cases: (["two-sided", "less", "greater"] as const).flatMap((alternative) =>
      [4, 8].map((n) => {
        const rows = Array.from({ length: n }, (_, i) =>
          normalValues(2400 + i, 4).map((v, j) => v + 0.4 * j),
        );
        const side = { "two-sided": "abs(t)", less: "-t", greater: "t" }[alternative];
        return {
          variables: { y: { rows } },
          r: `${flips}; n <- nrow(y); f <- function(t) ${side}; tt <- function(x) colMeans(x) / apply(x, 2, sd) * sqrt(n)
            o <- f(tt(y)); N <- apply(s, 1, function(k) f(tt(y * k))); M <- apply(N, 2, max)
            c(tt(y), rowMeans(N >= o - 1e-10 * abs(o)), sapply(o, function(x) mean(M >= x - 1e-10 * abs(x))))`,
          ours: () => {
            const { measures } = signFlipTest({ rows, alternative });
            return [
              ...measures.map((m) => m.statistic),
              ...measures.map((m) => m.p),
              ...measures.map((m) => m.adjustedP),
            ];
          },
        };
      }),
    ),
  },
  {
    // An end of the interval is where the one-sided p value, from all flips, crosses 2.5 %.
    name: "signFlipTest interval",
    against: "p values just inside and outside, from all flips in R",
    bound: 0,
    cases: [8, 10].map((n) => {
      const values = normalValues(2500 + n, n, 0.5);
      const { interval } = signFlipTest({ rows: values.map((value) => [value]) }).measures[0] ?? {
        interval: null,
      };
      const lower = interval?.lower ?? Number.NaN;
      const upper = interval?.upper ?? Number.NaN;
      return {
        variables: { x: values, lower, upper },
        r: `s <- as.matrix(expand.grid(rep(list(c(1, -1)), length(x)))); g <- function(m, d) mean(d * (s %*% (x - m)) >= d * sum(x - m) - 1e-12); e <- 1e-7
          c(g(lower - e, 1) > 0.025, g(lower + e, 1) > 0.025, g(upper - e, -1) > 0.025, g(upper + e, -1) > 0.025)`,
        ours: () => [0, 1, 1, 0],
      };
    }),
  },
  {
    name: "bootstrap intervals of given draws",
    against: "quantile(type = 7), qnorm",
    bound: 1e-10,
    cases: [0, 0.1].map((shift) => {
      const x = normalValues(2600, 20, 33, 1).map((value) => value ** 2 / 33);
      const mean = (values: ArrayLike<number>) =>
        Array.from(values).reduce((total, value) => total + value, 0) / values.length;
      const estimate = mean(x);
      const replicates = Float64Array.from(normalValues(2601, 999, estimate + shift, 0.3));
      return {
        variables: { x, b: replicates },
        r: `t0 <- mean(x); z0 <- qnorm(mean(b < t0)); j <- sapply(seq_along(x), function(i) mean(x[-i])); u <- mean(j) - j
          a <- sum(u^3) / (6 * sum(u^2)^1.5); z <- z0 + qnorm(c(0.025, 0.975)); c(quantile(b, c(0.025, 0.975)), quantile(b, pnorm(z0 + z / (1 - a * z))))`,
        ours: () => {
          const percentile = percentileInterval(replicates, 0.95);
          const acceleration = jackknifeAcceleration([Float64Array.from(x)], ([sample]) =>
            mean(sample ?? []),
          );
          const bca = bcaInterval(replicates, estimate, acceleration, 0.95);
          return [percentile.lower, percentile.upper, bca.lower, bca.upper];
        },
      };
    }),
  },
];
