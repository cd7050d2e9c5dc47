import {
  intraclassCorrelation,
  limitsOfAgreement,
  limitsOfAgreementRepeated,
  measurementError,
  type PowerInput,
  tTestPower,
  tTestSampleSize,
} from "../../../src/statistics";
import type { AgreementCheck } from "./agreement-check";
import { combinations, normalValues } from "./inputs";

const kinds: readonly PowerInput["kind"][] = ["one-sample", "paired", "two-sample"];
const rKind = { "one-sample": "one.sample", paired: "paired", "two-sample": "two.sample" } as const;

const tables = [
  // Shrout & Fleiss 1979, table 2.
  [
    [9, 2, 5, 8],
    [6, 1, 3, 2],
    [8, 4, 6, 8],
    [7, 1, 2, 6],
    [10, 5, 6, 9],
    [6, 2, 4, 7],
  ],
  Array.from({ length: 24 }, (_, i) => normalValues(800 + i, 2, 33 + Math.sin(i), 0.2)),
  Array.from({ length: 10 }, (_, i) => normalValues(830 + i, 5, 1e6 + Math.sin(i), 0.2)),
  Array.from({ length: 3 }, (_, i) => normalValues(850 + i, 3)),
];

const pairedTable = (n: number) => ({
  x: normalValues(860 + n, n, 33, 1),
  y: normalValues(870 + n, n, 33.2, 1),
});

const repeated = (volunteers: readonly number[], seed: number) => ({
  v: volunteers.flatMap((count, i) => new Array<string>(count).fill(`V${i}`)),
  x: volunteers.flatMap((count, i) => normalValues(seed + i, count, 33 + Math.sin(i), 0.2)),
  y: volunteers.flatMap((count, i) => normalValues(seed + 50 + i, count, 33 + Math.sin(i), 0.4)),
});

export const powerAndAgreementChecks: readonly AgreementCheck[] = [
  {
    // R's pt(ncp) is good to about 1e-12 absolute.
    name: "tTestPower",
    against: "power.t.test(strict = TRUE)",
    bound: 1e-10,
    floor: 0.01,
    cases: kinds.flatMap((kind) =>
      combinations([2, 3, 10, 24, 200], [0.05, 0.5, 1.5], [0.05, 0.001]).map(([n, difference, alpha]) => ({
        r: `c(power.t.test(n = ${n}, delta = ${difference}, sd = 1.1, sig.level = ${alpha}, type = "${rKind[kind]}", strict = TRUE)$power, power.t.test(n = ${n}, delta = ${difference}, sd = 1.1, sig.level = ${alpha}, type = "${rKind[kind]}", alternative = "one.sided")$power)`,
        ours: () =>
          (["two-sided", "one-sided"] as const).map(
            (sided) =>
              tTestPower({
                kind,
                n: n as number,
                difference: difference as number,
                standardDeviation: 1.1,
                alpha: alpha as number,
                sided,
              }).power,
          ),
      })),
    ),
  },
  {
    name: "tTestSampleSize",
    against: "power.t.test(strict = TRUE, tol = 1e-12)",
    bound: 1e-9,
    cases: kinds.flatMap((kind) =>
      combinations([0.2, 0.5, 1.2], [0.8, 0.95], [0.05, 0.001]).map(([difference, power, alpha]) => ({
        r: `power.t.test(delta = ${difference}, power = ${power}, sig.level = ${alpha}, type = "${rKind[kind]}", strict = TRUE, tol = 1e-12)$n`,
        ours: () => [
          tTestSampleSize({
            kind,
            difference: difference as number,
            standardDeviation: 1,
            power: power as number,
            alpha: alpha as number,
          }).exactN,
        ],
      })),
    ),
  },
  {
    name: "intraclassCorrelation",
    against: "aov, qf (formulas of McGraw & Wong 1996, written in R)",
    bound: 1e-10,
    floor: 1,
    cases: tables.map((rows) => ({
      variables: { y: { rows: rows.map((row) => row.map((value) => value - (rows[0]?.[0] ?? 0))) } },
      r: `n <- nrow(y); k <- ncol(y); a <- 0.025
        s <- anova(lm(c(y) ~ factor(row(y)) + factor(col(y))))[["Mean Sq"]]; B <- s[1]; C <- s[2]; E <- s[3]
        W <- anova(lm(c(y) ~ factor(row(y))))[["Mean Sq"]][2]
        f1 <- B / W; l1 <- f1 / qf(1 - a, n - 1, n * (k - 1)); u1 <- f1 * qf(1 - a, n * (k - 1), n - 1)
        f3 <- B / E; l3 <- f3 / qf(1 - a, n - 1, (n - 1) * (k - 1)); u3 <- f3 * qf(1 - a, (n - 1) * (k - 1), n - 1)
        i2 <- (B - E) / (B + (k - 1) * E + k * (C - E) / n); j <- C / E
        v <- (k - 1) * (n - 1) * (k * i2 * j + n * (1 + (k - 1) * i2) - k * i2)^2 / ((n - 1) * k^2 * i2^2 * j^2 + (n * (1 + (k - 1) * i2) - k * i2)^2)
        U <- qf(1 - a, n - 1, v); L <- qf(1 - a, v, n - 1)
        lo <- n * (B - U * E) / (U * (k * C + (k * n - k - n) * E) + n * B); hi <- n * (L * B - E) / (k * C + (k * n - k - n) * E + n * L * B)
        c((B - W) / (B + (k - 1) * W), (l1 - 1) / (l1 + k - 1), (u1 - 1) / (u1 + k - 1), i2, lo, hi,
          (B - E) / (B + (k - 1) * E), (l3 - 1) / (l3 + k - 1), (u3 - 1) / (u3 + k - 1),
          (B - W) / B, 1 - 1 / l1, 1 - 1 / u1, (B - E) / (B + (C - E) / n), lo * k / (1 + lo * (k - 1)), hi * k / (1 + hi * (k - 1)),
          (B - E) / B, 1 - 1 / l3, 1 - 1 / u3, pf(f1, n - 1, n * (k - 1), lower.tail = FALSE), pf(f3, n - 1, (n - 1) * (k - 1), lower.tail = FALSE))`,
      ours: () => {
        const { forms } = intraclassCorrelation(rows);
        const order = ["ICC(1,1)", "ICC(2,1)", "ICC(3,1)", "ICC(1,k)", "ICC(2,k)", "ICC(3,k)"] as const;
        return [
          ...order.flatMap((form) => {
            const { estimate, interval } = forms[form];
            return [estimate, interval.lower, interval.upper];
          }),
          forms["ICC(1,1)"].p,
          forms["ICC(3,1)"].p,
        ];
      },
    })),
  },
  {
    name: "measurementError",
    against: "aov, qchisq",
    bound: 1e-10,
    cases: tables.map((rows) => ({
      variables: { y: { rows: rows.map((row) => row.map((value) => value - (rows[0]?.[0] ?? 0))) } },
      r: `m <- anova(lm(c(y) ~ factor(row(y)) + factor(col(y)))); E <- m[["Mean Sq"]][3]; d <- m$Df[3]
        s <- sqrt(E); i <- s * sqrt(d / qchisq(c(0.975, 0.025), d)); c(s, i, qnorm(0.975) * sqrt(2) * c(s, i))`,
      ours: () => {
        const { standardErrorOfMeasurement: sem, smallestDetectableChange: sdc } = measurementError(rows);
        return [sem, sdc].flatMap(({ estimate, interval }) => [estimate, interval.lower, interval.upper]);
      },
    })),
  },
  {
    name: "limitsOfAgreement",
    against: "t.test, qnorm",
    bound: 1e-10,
    cases: [2, 5, 17, 200].map((n) => {
      const { x, y } = pairedTable(n);
      return {
        variables: { x, y },
        r: "d <- x - y; z <- qnorm(0.975); c(mean(d), t.test(d)$conf.int, mean(d) - z * sd(d), mean(d) + z * sd(d))",
        ours: () => {
          const { bias, lowerLimit, upperLimit } = limitsOfAgreement({ first: x, second: y });
          return [
            bias.estimate,
            bias.interval.lower,
            bias.interval.upper,
            lowerLimit.estimate,
            upperLimit.estimate,
          ];
        },
      };
    }),
  },
  {
    // R's own noncentral t is good to about 1e-12 absolute, which its quantile magnifies.
    name: "limitsOfAgreement interval",
    against: "uniroot over pt(ncp)",
    bound: 1e-9,
    cases: [5, 17, 200].map((n) => {
      const { x, y } = pairedTable(n);
      return {
        variables: { x, y },
        r: "d <- x - y; n <- length(d); z <- qnorm(0.975); q <- function(p) uniroot(function(t) pt(t, n - 1, z * sqrt(n)) - p, c(0, 200), tol = 1e-13)$root / sqrt(n); mean(d) + sd(d) * c(q(0.025), q(0.975), -q(0.975), -q(0.025))",
        ours: () => {
          const { lowerLimit, upperLimit } = limitsOfAgreement({ first: x, second: y });
          return [upperLimit, lowerLimit].flatMap(({ interval }) => [interval.lower, interval.upper]);
        },
      };
    }),
  },
  {
    name: "limitsOfAgreementRepeated",
    against: "formulas of Zou 2013, written in R",
    bound: 1e-10,
    cases: [
      repeated([3, 5, 4, 2, 6, 3, 4], 900),
      repeated(new Array<number>(18).fill(5), 1000),
      repeated([1, 2], 1100),
    ].map(({ v, x, y }) => ({
      variables: { v, x, y },
      r: `d <- x - y; g <- factor(v); m <- tapply(d, g, mean); k <- length(m); N <- length(d); w <- sum((d - m[g])^2) / (N - k)
          h <- k / sum(1 / table(g)); B <- var(c(m)); P <- (1 - 1 / h) * w; S <- sqrt(B + P); z <- qnorm(0.975); b <- mean(m)
          l <- B + P - sqrt((B * (1 - (k - 1) / qchisq(0.975, k - 1)))^2 + (P * (1 - (N - k) / qchisq(0.975, N - k)))^2)
          u <- B + P + sqrt((B * ((k - 1) / qchisq(0.025, k - 1) - 1))^2 + (P * ((N - k) / qchisq(0.025, N - k) - 1))^2)
          o <- sqrt(z^2 * B / k + z^2 * (sqrt(u) - S)^2); i <- sqrt(z^2 * B / k + z^2 * (S - sqrt(max(0, l)))^2)
          c(b, S, b - z * S, b - z * S - o, b - z * S + i, b + z * S, b + z * S - i, b + z * S + o)`,
      ours: () => {
        const { bias, standardDeviation, lowerLimit, upperLimit } = limitsOfAgreementRepeated({
          first: x,
          second: y,
          volunteers: v,
        });
        return [
          bias.estimate,
          standardDeviation,
          ...[lowerLimit, upperLimit].flatMap(({ estimate, interval }) => [
            estimate,
            interval.lower,
            interval.upper,
          ]),
        ];
      },
    })),
  },
];
