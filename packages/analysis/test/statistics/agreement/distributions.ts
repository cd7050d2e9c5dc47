import { betaLowerTail, betaQuantile, betaUpperTail } from "../../../src/statistics/distributions/beta";
import {
  chiSquaredLowerTail,
  chiSquaredQuantile,
  chiSquaredUpperTail,
} from "../../../src/statistics/distributions/chi-squared";
import { fLowerTail, fQuantile, fUpperTail } from "../../../src/statistics/distributions/f";
import {
  noncentralTLowerTail,
  noncentralTUpperTail,
} from "../../../src/statistics/distributions/noncentral-t";
import {
  logNormalLowerTail,
  normalQuantile,
  normalUpperTail,
} from "../../../src/statistics/distributions/normal";
import { studentTQuantile, studentTUpperTail } from "../../../src/statistics/distributions/student-t";
import type { AgreementCheck } from "./agreement-check";
import { combinations } from "./inputs";

type Args = readonly [number, number, number];

const check = (
  name: string,
  call: (args: readonly number[]) => string,
  ours: (...args: Args) => number,
  lists: readonly (readonly number[])[],
): AgreementCheck => {
  const grid = combinations(...lists);
  return {
    name,
    against: call(["x", "a", "b"].slice(0, lists.length) as unknown as number[]).split("(")[0] ?? "",
    bound: 1e-10,
    cases: [
      {
        r: `c(${grid.map((args) => call(args)).join(", ")})`,
        ours: () => grid.map((args) => ours(args[0] ?? 0, args[1] ?? 0, args[2] ?? 0)),
      },
    ],
  };
};

const tValues = [-1e5, -40, -2, -1e-8, 1e-8, 1e-3, 0.3, 1, 2.5, 8, 40, 200, 1e5];
const fValues = [1e-12, 1e-6, 0.01, 0.5, 1, 3, 20, 300, 1e5];
const betaValues = [1e-20, 1e-8, 1e-4, 0.003, 0.01, 0.1, 0.5, 0.7, 0.95, 0.999];
const chiValues = [1e-12, 1e-6, 0.1, 1, 5, 30, 300, 410, 1200, 9900, 10100];
const small = [1e-100, 1e-20, 1e-12, 1e-6, 0.001, 0.025, 0.05, 0.3, 0.7, 0.975];
const upper = "lower.tail = FALSE";

export const distributionChecks: readonly AgreementCheck[] = [
  check("Student t, upper tail", ([t, df]) => `pt(${t}, ${df}, ${upper})`, studentTUpperTail, [
    tValues,
    [0.5, 1, 2, 3, 4.7, 9, 30, 200, 1e4, 1e7],
  ]),
  check("F, upper tail", ([f, a, b]) => `pf(${f}, ${a}, ${b}, ${upper})`, fUpperTail, [
    fValues,
    [1, 2, 5.5, 40],
    [1, 3, 11.2, 75, 2000],
  ]),
  check("F, lower tail", ([f, a, b]) => `pf(${f}, ${a}, ${b})`, fLowerTail, [
    fValues,
    [1, 2, 5.5, 40],
    [1, 3, 11.2, 75, 2000],
  ]),
  check("chi-squared, upper tail", ([x, df]) => `pchisq(${x}, ${df}, ${upper})`, chiSquaredUpperTail, [
    chiValues,
    [1, 2, 5, 30, 200, 410, 1e4],
  ]),
  check("chi-squared, lower tail", ([x, df]) => `pchisq(${x}, ${df})`, chiSquaredLowerTail, [
    chiValues,
    [1, 2, 5, 30, 200, 410, 1e4],
  ]),
  check("normal, upper tail", ([z]) => `pnorm(${z}, ${upper})`, normalUpperTail, [
    [-38, -20, -6, -1, 0, 1e-3, 0.5, 2, 7, 20, 37],
  ]),
  check("normal, logarithm of the lower tail", ([z]) => `pnorm(${z}, log.p = TRUE)`, logNormalLowerTail, [
    [-1e6, -200, -38, -30.001, -29.99, -20, -1, 0, 2, 7, 20, 37],
  ]),
  check(
    "beta, lower tail",
    ([x, a, b]) => `pbeta(${x}, ${a}, ${b})`,
    (x, a, b) => betaLowerTail(x, 1 - x, a, b),
    [betaValues, [0.25, 0.5, 1, 4, 50, 1000], [0.5, 1, 3, 20, 500]],
  ),
  check(
    "beta, upper tail",
    ([x, a, b]) => `pbeta(${x}, ${a}, ${b}, ${upper})`,
    (x, a, b) => betaUpperTail(x, 1 - x, a, b),
    [betaValues, [0.25, 0.5, 1, 4, 50, 1000], [0.5, 1, 3, 20, 500]],
  ),
  check(
    "Student t, quantile",
    ([p, df]) => `qt(${p}, ${df})`,
    (p, df) => studentTQuantile(p, df),
    [small, [1, 2, 3, 4.7, 9, 30, 200, 1e4]],
  ),
  check(
    "F, quantile",
    ([p, a, b]) => `qf(${p}, ${a}, ${b}, ${upper})`,
    (p, a, b) => fQuantile(p, a, b, true),
    [small.slice(1), [1, 2, 5.5, 40], [1, 3, 11.2, 75, 2000]],
  ),
  check(
    "chi-squared, quantile",
    ([p, df]) => `qchisq(${p}, ${df}, ${upper})`,
    (p, df) => chiSquaredQuantile(p, df, true),
    [small, [1, 2, 5, 30, 1e4]],
  ),
  check(
    "normal, quantile",
    ([p]) => `qnorm(${p})`,
    (p) => normalQuantile(p),
    [small],
  ),
  check(
    "beta, quantile",
    ([p, a, b]) => `qbeta(${p}, ${a}, ${b})`,
    (p, a, b) => betaQuantile(p, a, b),
    [small.slice(1), [0.5, 1, 4, 50], [0.5, 1, 10, 200.5]],
  ),
  ...(["lower", "upper"] as const).map((tail): AgreementCheck => {
    const grid = combinations([-4, -1, 0.5, 2, 5, 20], [2, 4, 9, 29.5, 120], [-2, 0.5, 2, 6]);
    const sign = tail === "lower" ? "" : "-";
    return {
      // On the logarithm, where an absolute difference is a relative one of the tail. R's own pt(ncp) loses the relative accuracy of its tails, so that the reference is R's quadrature of the definition.
      name: `noncentral t, ${tail} tail`,
      against: "logarithm of a quadrature over pnorm and dchisq",
      bound: 1e-10,
      floor: 1,
      cases: [
        {
          variables: {
            t: grid.map((row) => row[0] as number),
            d: grid.map((row) => row[1] as number),
            m: grid.map((row) => row[2] as number),
          },
          r: `mapply(function(t, d, m) { f <- function(u) pnorm(${sign}(t * exp(u) - m), log.p = TRUE) + dchisq(d * exp(2 * u), d, log = TRUE) + log(2 * d) + 2 * u
            o <- optimize(f, c(-6, 6), maximum = TRUE, tol = 1e-10); g <- function(u) exp(f(u) - o$objective); w <- 1
            while (f(o$maximum + w) > o$objective - 40 || f(o$maximum - w) > o$objective - 40) w <- w * 1.2
            h <- w / 400; k <- o$maximum + h * (-400:400); log(sum(g(k)) * h) + o$objective }, t, d, m)`,
          ours: () =>
            grid.map(([t, d, m]) => {
              const f = tail === "lower" ? noncentralTLowerTail : noncentralTUpperTail;
              return Math.log(f(t as number, d as number, m as number));
            }),
        },
      ],
    };
  }),
];
