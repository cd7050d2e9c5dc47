import type { Alternative, Interval } from "../../../src/statistics";
import {
  cohensD,
  cohensDz,
  hedgesG,
  meanCourse,
  quantiles,
  describe as summarise,
  tTest,
} from "../../../src/statistics";
import type { AgreementCheck } from "./agreement-check";
import { normalValues, pairedSeries, tiedValues } from "./inputs";

const alternatives: readonly Alternative[] = ["two-sided", "less", "greater"];
const ends = (interval: Interval | null) => [interval?.lower ?? Number.NaN, interval?.upper ?? Number.NaN];
const rAlternative = (alternative: Alternative) => (alternative === "two-sided" ? "two.sided" : alternative);
const parts = "c(t$statistic, t$parameter, t$p.value, t$conf.int, t$stderr)";

const someSeries = [
  ...pairedSeries.map(({ x }) => x),
  tiedValues(20, 17),
  [3, 3, 3, 3, 4],
  [1e6 + 0.1, 1e6 + 0.2, 1e6 + 0.1],
  [-1e-8, 2e-8],
];

/** Inverts the noncentral t of R for an interval of a standardised effect. */
const invert = (t: string, df: string, scale: string) =>
  `{ f <- function(q) uniroot(function(d) pt(${t}, ${df}, d) - q, c(${t} - 12, ${t} + 12), tol = 1e-13)$root / ${scale}; c(f(0.975), f(0.025)) }`;

export const tTestChecks: readonly AgreementCheck[] = [
  {
    name: "describe",
    against: "mean, var, sd, quantile(type = 7), mad, t.test",
    bound: 1e-10,
    cases: someSeries.map((x) => ({
      variables: { x },
      r: "c(mean(x), var(x), sd(x), sd(x) / sqrt(length(x)), t.test(x, conf.level = 0.9)$conf.int, quantile(x), mad(x))",
      ours: () => {
        const d = summarise(x, { level: 0.9 });
        return [
          d.mean,
          d.variance,
          d.standardDeviation,
          d.standardError,
          ...ends(d.interval),
          d.minimum,
          d.lowerQuartile,
          d.median,
          d.upperQuartile,
          d.maximum,
          d.medianAbsoluteDeviation,
        ].map((value) => value ?? Number.NaN);
      },
    })),
  },
  {
    name: "quantiles",
    against: "quantile(type = 7)",
    floor: 1e-12,
    bound: 1e-10,
    cases: someSeries.map((x) => ({
      variables: { x, s: [0, 0.01, 0.1, 1 / 3, 0.5, 0.9, 0.975, 1] },
      r: "quantile(x, s)",
      ours: () => quantiles(x, [0, 0.01, 0.1, 1 / 3, 0.5, 0.9, 0.975, 1]),
    })),
  },
  ...(["one-sample", "paired", "welch", "pooled"] as const).map(
    (kind): AgreementCheck => ({
      name: `tTest ${kind}`,
      against: {
        "one-sample": "t.test(x)",
        paired: "t.test(paired = TRUE)",
        welch: "t.test",
        pooled: "t.test(var.equal = TRUE)",
      }[kind],
      bound: 1e-10,
      cases: pairedSeries.flatMap(({ x, y }) =>
        alternatives.flatMap((alternative) =>
          [0.95, 0.999].map((level) => {
            // R forms its interval around the hypothesis, so that a far-off one would cost R its digits.
            const hypothesis = Math.abs(x[0] as number) < 1e-5 ? 1e-8 : 0.1;
            const options = `mu = ${hypothesis}, alternative = "${rAlternative(alternative)}", conf.level = ${level}`;
            const call = {
              "one-sample": `t.test(x, ${options})`,
              paired: `t.test(x, y, paired = TRUE, ${options})`,
              welch: `t.test(x, y, ${options})`,
              pooled: `t.test(x, y, var.equal = TRUE, ${options})`,
            }[kind];
            return {
              variables: { x, y },
              r: `t <- ${call}; ${parts}`,
              ours: () => {
                const shared = { hypothesis, alternative, level };
                const t =
                  kind === "one-sample"
                    ? tTest({ kind, values: x, ...shared })
                    : tTest({ kind, first: x, second: y, ...shared });
                return [t.statistic, t.degreesOfFreedom, t.p, ...ends(t.interval), t.standardError];
              },
            };
          }),
        ),
      ),
    }),
  ),
  {
    name: "cohensD, hedgesG",
    against: "pooled sd, gamma",
    bound: 1e-10,
    cases: pairedSeries
      .filter(({ x }) => x.length < 300)
      .map(({ x, y }) => ({
        variables: { x, y },
        r: "df <- length(x) + length(y) - 2; d <- (mean(x) - mean(y)) / sqrt((var(x) + var(y)) / 2); c(d, d * exp(lgamma(df / 2) - lgamma((df - 1) / 2)) / sqrt(df / 2))",
        ours: () => [cohensD({ first: x, second: y }).estimate, hedgesG({ first: x, second: y }).estimate],
      })),
  },
  {
    // R's own noncentral t is good to about 1e-12 absolute, which the inversion magnifies.
    name: "cohensD interval",
    against: "uniroot over pt(ncp)",
    bound: 1e-9,
    floor: 1,
    cases: pairedSeries.slice(0, 4).map(({ x, y }) => ({
      variables: { x, y },
      r: `t <- t.test(x, y, var.equal = TRUE); ${invert("t$statistic", "t$parameter", "sqrt(length(x) / 2)")}`,
      ours: () => ends(cohensD({ first: x, second: y }).interval),
    })),
  },
  {
    name: "cohensDz interval",
    against: "uniroot over pt(ncp)",
    bound: 1e-9,
    floor: 1,
    cases: pairedSeries.slice(0, 4).map(({ x, y }) => ({
      variables: { x, y },
      r: `t <- t.test(x, y, paired = TRUE); c(mean(x - y) / sd(x - y), ${invert("t$statistic", "t$parameter", "sqrt(length(x))")})`,
      ours: () => {
        const dz = cohensDz({ first: x, second: y });
        return [dz.estimate, ...ends(dz.interval)];
      },
    })),
  },
  {
    name: "meanCourse",
    against: "t.test per bin",
    bound: 1e-10,
    cases: [2, 3, 24].map((volunteers) => {
      const courses = Array.from({ length: volunteers }, (_, i) =>
        normalValues(30 + i, 20, 33, 0.5).map((value, bin) =>
          bin > 3 && i > 1 && bin % 4 === i % 4 ? Number.NaN : value,
        ),
      );
      return {
        variables: { m: { rows: courses } },
        r: "c(apply(m, 2, function(x) { t <- t.test(x); c(t$estimate, t$conf.int) }))",
        ours: () => {
          const course = meanCourse(courses);
          return Array.from(course.mean).flatMap((mean, bin) => [
            mean,
            course.lower[bin] as number,
            course.upper[bin] as number,
          ]);
        },
      };
    }),
  },
];
