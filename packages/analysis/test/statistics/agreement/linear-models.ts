import {
  analysisOfCovariance,
  compareLinearModels,
  linearModel,
  oneWayAnalysis,
  repeatedMeasuresAnalysis,
  type WithinFactor,
} from "../../../src/statistics";
import { longley } from "../longley";
import type { AgreementCheck } from "./agreement-check";
import { normalValues } from "./inputs";

const groupsOf = (sizes: readonly number[], seed: number, offset = 0, spread = 1) =>
  sizes.map((size, i) => normalValues(seed + i, size, offset + 0.3 * i, spread * (1 + i / 3)));

const words = (n: number, levels: readonly string[]) =>
  Array.from({ length: n }, (_, i) => levels[(i * 7 + Math.floor(i / 5)) % levels.length] as string);

const regressionData = (n: number, seed: number, offset: number) => {
  const a = normalValues(seed, n, offset, 2);
  const b = normalValues(seed + 1, n);
  const f = words(n, ["bare", "covered", "warmed"]);
  const y = normalValues(seed + 2, n).map(
    (noise, i) => offset + (a[i] as number) - 0.5 * (b[i] as number) + (f[i] === "warmed" ? 2 : 0) + noise,
  );
  return { a, b, f, y };
};

const rowsOf = (n: number, cells: number, seed: number, offset = 0) =>
  Array.from({ length: n }, (_, i) => {
    const own = Math.sin(seed + i);
    return normalValues(seed + i, cells).map((noise, j) => offset + own + 0.2 * j + noise * (1 + j / 4));
  });

/**
 * R code for the within effects of a data matrix y: F, df, p, epsilons and corrected p values. The contrasts are given to
 * R: those that it derives from formulas are orthogonal to about 1e-9 only.
 */
const withinInR = (factors: readonly WithinFactor[]): string => {
  const contrasts = (i: number) => `contr.helmert(${factors[i]?.levels ?? 0})`;
  const ones = (i: number) => `matrix(1, ${factors[i]?.levels ?? 0}, 1)`;
  const effects =
    factors.length === 1
      ? [contrasts(0)]
      : [
          `kronecker(${contrasts(0)}, ${ones(1)})`,
          `kronecker(${ones(0)}, ${contrasts(1)})`,
          `kronecker(${contrasts(0)}, ${contrasts(1)})`,
        ];
  const parts = effects.map(
    (
      columns,
    ) => `{ T <- t(${columns}); a <- anova(fit, T = T, test = "Spherical"); s <- stats:::sphericity(SSD(fit), T = T)
      c(a[1, "F"], a[1, "num Df"], a[1, "den Df"], a[1, "Pr(>F)"], if (a[1, "num Df"] > 1) c(s$GG.eps, s$HF.eps, a[1, "G-G Pr"], a[1, "H-F Pr"])) }`,
  );
  return `c(${parts.join(", ")})`;
};

const withinOurs = (rows: readonly number[][], factors: readonly WithinFactor[]) =>
  repeatedMeasuresAnalysis({ rows, within: factors }).effects.flatMap((effect) => [
    effect.statistic,
    ...effect.degreesOfFreedom,
    effect.p,
    ...(effect.sphericity && effect.correctedP
      ? [
          effect.sphericity.greenhouseGeisser,
          effect.sphericity.huynhFeldt,
          effect.correctedP.greenhouseGeisser,
          effect.correctedP.huynhFeldt,
        ]
      : []),
  ]);

const oneFactor = (levels: number): WithinFactor[] => [{ name: "A", levels }];
const twoFactors: WithinFactor[] = [
  { name: "A", levels: 3 },
  { name: "B", levels: 4 },
];

export const linearModelChecks: readonly AgreementCheck[] = [
  {
    name: "oneWayAnalysis",
    against: "anova(lm), oneway.test",
    bound: 1e-10,
    cases: [
      groupsOf([5, 6, 7], 1200),
      groupsOf([2, 2], 1210),
      groupsOf([24, 24, 20, 10], 1220, 33, 0.4),
      groupsOf([10, 10], 1230, 1e6, 0.01),
    ].map((groups) => ({
      variables: {
        y: groups.flat(),
        g: groups.flatMap((group, i) => group.map(() => `G${i}`)),
      },
      r: "g <- factor(g); y <- y - y[1]; a <- anova(lm(y ~ g)); w <- oneway.test(y ~ g); c(a[['F value']][1], a[['Pr(>F)']][1], a[['Sum Sq']], w$statistic, w$parameter, w$p.value)",
      ours: () => {
        const a = oneWayAnalysis(groups);
        return [
          a.statistic,
          a.p,
          a.sumOfSquaresBetween,
          a.sumOfSquaresWithin,
          ...(a.welch ? [a.welch.statistic, ...a.welch.degreesOfFreedom, a.welch.p] : []),
        ];
      },
    })),
  },
  {
    name: "linearModel",
    against: "lm, confint",
    bound: 1e-10,
    cases: [regressionData(12, 1300, 0), regressionData(60, 1310, 33), regressionData(400, 1320, 200)].map(
      ({ a, b, f, y }) => ({
        variables: { a, b, f, y },
        r: "m <- lm(y ~ a + b + f + a:f); s <- summary(m); c(t(s$coefficients), t(confint(m)), s$sigma, s$r.squared, s$adj.r.squared, s$fstatistic)",
        ours: () => {
          const m = linearModel({ outcome: y, variables: { a, b, f }, terms: ["a", "b", "f", ["a", "f"]] });
          return [
            ...m.coefficients.flatMap((c) => [c.estimate, c.standardError, c.statistic, c.p]),
            ...m.coefficients.flatMap((c) => [c.interval.lower, c.interval.upper]),
            m.residualStandardDeviation,
            m.rSquared,
            m.adjustedRSquared,
            ...(m.overall ? [m.overall.statistic, ...m.overall.degreesOfFreedom] : []),
          ];
        },
      }),
    ),
  },
  {
    // R's single-precision-safe QR has about nine good digits here; the certified values are in the test of linearModel.
    name: "linearModel on Longley's data",
    against: "lm",
    bound: 1e-9,
    cases: [
      {
        variables: { y: longley.y, ...longley.x },
        r: "m <- summary(lm(y ~ x1 + x2 + x3 + x4 + x5 + x6)); c(t(m$coefficients))",
        ours: () =>
          linearModel({
            outcome: longley.y,
            variables: longley.x,
            terms: Object.keys(longley.x),
          }).coefficients.flatMap((c) => [c.estimate, c.standardError, c.statistic, c.p]),
      },
    ],
  },
  {
    name: "compareLinearModels",
    against: "anova(lm, lm)",
    bound: 1e-10,
    cases: [regressionData(12, 1300, 0), regressionData(200, 1310, 1e4)].map(({ a, b, f, y }) => ({
      variables: { a, b, f, y },
      r: `g <- anova(lm(y ~ a), lm(y ~ a + b + f)); c(g$F[2], g$Df[2], g$Res.Df[2], g[["Pr(>F)"]][2], g[["Sum of Sq"]][2])`,
      ours: () => {
        const variables = { a, b, f };
        const full = linearModel({ outcome: y, variables, terms: ["a", "b", "f"] });
        const c = compareLinearModels(full, linearModel({ outcome: y, variables, terms: ["a"] }));
        return [c.statistic, ...c.degreesOfFreedom, c.p, c.sumOfSquares];
      },
    })),
  },
  {
    name: "analysisOfCovariance",
    against: "anova(lm, lm), predict",
    bound: 1e-10,
    cases: [regressionData(15, 1400, 0), regressionData(72, 1410, 80)].map(({ a, b, f, y }) => ({
      variables: { a, b, f, y },
      r: `m <- lm(y ~ a + b + f); g <- anova(lm(y ~ a + b), m); ca <- anova(lm(y ~ b + f), m); h <- anova(m, lm(y ~ (a + b) * f))
        p <- predict(m, data.frame(a = mean(a), b = mean(b), f = sort(unique(f))), se.fit = TRUE)
        c(g$F[2], g[["Pr(>F)"]][2], g[["Sum of Sq"]][2], ca$F[2], ca[["Pr(>F)"]][2], h$F[2], h[["Pr(>F)"]][2], p$fit, p$se.fit)`,
      ours: () => {
        const c = analysisOfCovariance({ outcome: y, group: f, covariates: { a, b } });
        return [
          c.group.statistic,
          c.group.p,
          c.group.sumOfSquares,
          c.covariates.a?.statistic ?? Number.NaN,
          c.covariates.a?.p ?? Number.NaN,
          c.equalSlopes.statistic,
          c.equalSlopes.p,
          ...c.adjustedMeans.map(({ estimate }) => estimate),
          ...c.adjustedMeans.map(({ standardError }) => standardError),
        ];
      },
    })),
  },
  {
    name: "repeatedMeasuresAnalysis, one within factor",
    against: 'anova.mlm(test = "Spherical")',
    bound: 1e-10,
    cases: [rowsOf(10, 6, 1500), rowsOf(5, 3, 1520), rowsOf(24, 10, 1540, 33), rowsOf(3, 2, 1580)].map(
      (rows) => ({
        variables: { y: { rows } },
        r: `fit <- lm(y ~ 1); ${withinInR(oneFactor(rows[0]?.length ?? 0))}`,
        ours: () => withinOurs(rows, oneFactor(rows[0]?.length ?? 0)),
      }),
    ),
  },
  {
    name: "repeatedMeasuresAnalysis, two within factors",
    against: 'anova.mlm(test = "Spherical")',
    bound: 1e-10,
    cases: [rowsOf(10, 12, 1600), rowsOf(24, 12, 1620, 33)].map((rows) => ({
      variables: { y: { rows } },
      r: `fit <- lm(y ~ 1); ${withinInR(twoFactors)}`,
      ours: () => withinOurs(rows, twoFactors),
    })),
  },
  {
    name: "repeatedMeasuresAnalysis, mixed design, type II",
    against: 'anova.mlm(test = "Spherical")',
    bound: 1e-10,
    cases: [rowsOf(12, 4, 1700), rowsOf(27, 5, 1720, 33)].map((rows) => {
      const groups = rows.map((_, i) => (i % 3 === 0 ? "a" : "b"));
      const levels = rows[0]?.length ?? 0;
      return {
        variables: { y: { rows }, g: groups },
        r: `d <- data.frame(A = factor(1:${levels})); fit <- lm(y ~ factor(g)); a <- anova(fit, X = ~1, idata = d, test = "Spherical"); b <- anova(lm(rowMeans(y) ~ factor(g)))
          c(b[["F value"]][1], b[["Pr(>F)"]][1], t(as.matrix(a)[1:2, c("F", "num Df", "den Df", "Pr(>F)", "G-G Pr", "H-F Pr")]))`,
        ours: () => {
          const { effects } = repeatedMeasuresAnalysis({
            rows,
            within: [{ name: "A", levels }],
            between: { name: "g", groups },
            typeOfSquares: "II",
          });
          const [between, ...others] = effects;
          return [
            between?.statistic ?? Number.NaN,
            between?.p ?? Number.NaN,
            ...others.flatMap((effect) => [
              effect.statistic,
              ...effect.degreesOfFreedom,
              effect.p,
              effect.correctedP?.greenhouseGeisser ?? Number.NaN,
              effect.correctedP?.huynhFeldt ?? Number.NaN,
            ]),
          ];
        },
      };
    }),
  },
  {
    name: "repeatedMeasuresAnalysis, mixed design, type III",
    against: "lm with contr.sum per contrast",
    bound: 1e-10,
    cases: [rowsOf(12, 4, 1750), rowsOf(27, 5, 1770, 33)].map((rows) => {
      const groups = rows.map((_, i) => (i % 3 === 0 ? "a" : "b"));
      const levels = rows[0]?.length ?? 0;
      return {
        variables: { y: { rows }, g: groups },
        r: `k <- ncol(y); C <- contr.helmert(k); C <- sweep(C, 2, sqrt(colSums(C^2)), "/"); g <- factor(g)
          s <- apply(y %*% C, 2, function(z) { f <- lm(z ~ g, contrasts = list(g = "contr.sum")); t <- coef(summary(f))[1, 3]; c(t^2 * summary(f)$sigma^2, deviance(f)) })
          ss <- sum(s[1, ]); e <- sum(s[2, ]); c(ss, e, (ss / (k - 1)) / (e / ((k - 1) * (length(g) - 2))))`,
        ours: () => {
          const { effects } = repeatedMeasuresAnalysis({
            rows,
            within: [{ name: "A", levels }],
            between: { name: "g", groups },
          });
          const effect = effects.find(({ name }) => name === "A");
          return effect ? [effect.sumOfSquares, effect.errorSumOfSquares, effect.statistic] : [];
        },
      };
    }),
  },
  {
    name: "Mauchly's test",
    against: "mauchly.test of the contrasts",
    bound: 1e-10,
    cases: [rowsOf(10, 3, 1800), rowsOf(10, 6, 1820), rowsOf(24, 5, 1840, 33)].map((rows) => ({
      variables: { y: { rows } },
      r: `C <- contr.helmert(ncol(y)); C <- sweep(C, 2, sqrt(colSums(C^2)), "/"); z <- y %*% C; m <- mauchly.test(lm(z ~ 1)); c(m$statistic, m$p.value)`,
      ours: () => {
        const [effect] = repeatedMeasuresAnalysis({ rows, within: oneFactor(rows[0]?.length ?? 0) }).effects;
        const mauchly = effect?.sphericity?.mauchly;
        return mauchly ? [mauchly.statistic, mauchly.p] : [];
      },
    })),
  },
];
