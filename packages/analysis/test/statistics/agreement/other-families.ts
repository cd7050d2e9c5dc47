import { bodyDensity, surfaceArea } from "../../../src/body";
import {
  alignTrace,
  areaUnderChange,
  fingertipFlow,
  fitBrokenLine,
  gradientOfFlow,
  movingMean,
  rateOver,
} from "../../../src/course";
import {
  correctApparentTemperature,
  dewPoint,
  meanRadiantFromGlobe,
  radiantCoefficient,
  radiantFlux,
  saturationPressure,
  wholeBodyConvection,
} from "../../../src/heat";
import { hampel } from "../../../src/quality";
import { meanSkinTemperature } from "../../../src/skin";
import type { AgreementCheck } from "./agreement-check";
import { normalValues } from "./inputs";

const written = "its formula, written in R";
const span = (low: number, high: number, count = 25) =>
  Array.from({ length: count }, (_, i) => low + ((high - low) * i) / (count - 1));

const heights = span(1.2, 2.1);
const masses = span(30, 140);
const celsius = span(0.5, 60);
const speeds = span(0.25, 1.5);
const skinC = span(15, 40);

/** Values in bins of 5 s from the origin, as a course. */
const courseOf = (values: readonly number[]) => ({
  binS: 5,
  firstBin: 0,
  values: Float64Array.from(values),
  coverage: new Float64Array(values.length).fill(1),
});
const fallAndRise = normalValues(3000, 60, 0, 0.05).map(
  (noise, i) => 33 - 0.04 * Math.min(i, 60 - i) + noise,
);
const offset = fallAndRise.map((value) => value + 1e6);
const spiked = normalValues(3010, 80, 33, 0.1).map((value, i) => (i % 17 === 5 ? value + 3 : value));

/** Body, heat, course, quality and skin: closed forms beside the same formula in R, which has its own exp, log and powers. */
export const otherFamilyChecks: readonly AgreementCheck[] = [
  {
    name: "surfaceArea",
    against: written,
    bound: 1e-10,
    cases: [
      {
        variables: { h: heights.map((h) => h * 100), m: masses },
        r: "c(0.007184 * h^0.725 * m^0.425, sqrt(h * m / 3600), 0.024265 * h^0.3964 * m^0.5378, 0.0235 * h^0.42246 * m^0.51456, 0.0003207 * h^0.3 * (1000 * m)^(0.7285 - 0.0188 * log10(1000 * m)))",
        ours: () =>
          (["du bois", "mosteller", "haycock", "gehan george", "boyd"] as const).flatMap((formula) =>
            heights.map((h, i) => surfaceArea(h, masses[i] as number, formula)),
          ),
      },
    ],
  },
  {
    name: "bodyDensity",
    against: written,
    bound: 1e-10,
    cases: [
      {
        variables: { s: span(20, 120) },
        // Durnin & Womersley 1974, men of 20 to 29 years: 1.1631 - 0.0632 log10 of the sum of four folds.
        r: "1000 * (1.1631 - 0.0632 * log10(s))",
        ours: () =>
          span(20, 120).map((sum) =>
            bodyDensity({
              method: "durnin womersley",
              sex: "male",
              ageYears: 25,
              skinfoldsMm: { biceps: sum / 4, triceps: sum / 4, subscapular: sum / 4, suprailiac: sum / 4 },
            }),
          ),
      },
    ],
  },
  {
    name: "saturationPressure",
    against: written,
    bound: 1e-10,
    cases: [
      {
        variables: { t: celsius },
        r: "k <- t + 273.15; c(exp(16.6536 - 4030.183 / (t + 235)), 0.6105 * exp(17.27 * t / (t + 237.3)), 0.6112 * exp(17.62 * t / (243.12 + t)), exp(-5800.2206 / k + 1.3914993 - 0.048640239 * k + 4.1764768e-5 * k^2 - 1.4452093e-8 * k^3 + 6.5459673 * log(k)) / 1000)",
        ours: () =>
          (["antoine", "ISO 7933", "magnus", "hyland wexler"] as const).flatMap((form) =>
            celsius.map((t) => saturationPressure(t, form)),
          ),
      },
    ],
  },
  {
    name: "dewPoint",
    against: "uniroot over the saturation pressure",
    bound: 1e-10,
    cases: [
      {
        variables: { p: span(0.7, 12) },
        r: "sapply(p, function(v) uniroot(function(t) 0.6112 * exp(17.62 * t / (243.12 + t)) / v - 1, c(-20, 80), tol = 1e-14)$root)",
        ours: () => span(0.7, 12).map(dewPoint),
      },
    ],
  },
  {
    name: "radiantFlux, radiantCoefficient",
    against: written,
    bound: 1e-10,
    cases: [
      {
        variables: { s: skinC },
        r: "k <- s + 273.15; a <- 27 + 273.15; c(0.72 * 0.98 * 5.670374419e-8 * (k^4 - a^4), 4 * 0.72 * 0.98 * 5.670374419e-8 * ((k + a) / 2)^3)",
        ours: () => {
          const options = { emissivity: 0.98, effectiveShare: 0.72 };
          return [radiantFlux, radiantCoefficient].flatMap((compute) =>
            skinC.map((skin) => compute(skin, 27, options)),
          );
        },
      },
    ],
  },
  {
    name: "wholeBodyConvection",
    against: written,
    bound: 1e-10,
    cases: [
      {
        variables: { v: speeds },
        r: "c(8.3 * v^0.6, 2.7 + 8.7 * v^0.67, 14.8 * v^0.69)",
        ours: () =>
          (["seated, Mitchell", "reclining, Colin & Houdas", "standing, Seppänen"] as const).flatMap((id) =>
            speeds.map((airSpeed) => wholeBodyConvection(id, { airSpeed })),
          ),
      },
    ],
  },
  {
    name: "meanRadiantFromGlobe",
    against: written,
    bound: 1e-10,
    cases: [
      {
        variables: { v: speeds },
        r: "g <- 45; a <- 25; h <- pmax(1.1e8 * v^0.6 / (0.95 * 0.15^0.4), 0.25e8 / 0.95 * (abs(g - a) / 0.15)^0.25); ((g + 273)^4 + h * (g - a))^0.25 - 273",
        ours: () => speeds.map((speed) => meanRadiantFromGlobe(45, 25, speed).radiantC),
      },
    ],
  },
  {
    name: "correctApparentTemperature",
    against: written,
    bound: 1e-10,
    cases: [
      {
        variables: { s: skinC },
        r: "(((s + 273.15)^4 - 0.05 * (22 + 273.15)^4) / 0.95)^0.25 - 273.15",
        ours: () =>
          skinC.map((shown) => correctApparentTemperature(shown, { emissivity: 0.95, reflectedC: 22 })),
      },
    ],
  },
  {
    name: "meanSkinTemperature",
    against: "weighted.mean",
    bound: 1e-10,
    cases: [
      {
        r: "weighted.mean(c(34.1, 32.7, 31.9, 30.3), c(0.3, 0.3, 0.2, 0.2))",
        ours: () => [
          meanSkinTemperature(
            "ramanathan-4",
            (
              [
                ["chest-left-anterior", 34.1],
                ["upper-arm-left-lateral", 32.7],
                ["thigh-left-anterior", 31.9],
                ["calf-left-posterior", 30.3],
              ] as const
            ).map(([regionId, value]) => ({ regionId, statistic: "mean", value })),
          ).value,
        ],
      },
    ],
  },
  {
    name: "fingertipFlow, gradientOfFlow",
    against: written,
    bound: 1e-10,
    cases: [
      {
        variables: { g: span(-4, 9) },
        r: "f <- 10^((0.2 - g) / 5.7); c(f, 0.2 - 5.7 * log10(f))",
        ours: () => {
          const flows = span(-4, 9).map(fingertipFlow);
          return [...flows, ...flows.map(gradientOfFlow)];
        },
      },
    ],
  },
  {
    name: "areaUnderChange",
    against: "integrate over approxfun",
    bound: 1e-10,
    cases: [
      {
        // Integrated between neighbours and at the crossings, so that integrate meets straight lines only.
        variables: { y: fallAndRise },
        r: `x <- seq_along(y) - 1; d <- y - 32.4; n <- length(d); u <- seq_len(n - 1); k <- u[d[u] * d[u + 1] < 0]; at <- sort(c(x, x[k] + d[k] / (d[k] - d[k + 1])))
          f <- approxfun(x, d); total <- function(g) sum(sapply(seq_len(length(at) - 1), function(i) integrate(g, at[i], at[i + 1])$value))
          c(total(f), total(function(v) pmax(f(v), 0)), total(function(v) pmax(-f(v), 0)))`,
        ours: () => {
          const { net, above, below } = areaUnderChange(
            fallAndRise.map((_, i) => i),
            fallAndRise,
            32.4,
          );
          return [net, above, below];
        },
      },
    ],
  },
  {
    name: "rateOver",
    against: "lm",
    bound: 1e-10,
    cases: [fallAndRise.slice(0, 30), normalValues(3020, 200, 33, 1)].map((values) => ({
      variables: { y: values },
      r: "x <- (seq_along(y) - 0.5) * 5; unname(coef(lm(y ~ x))[2])",
      ours: () => [rateOver(courseOf(values), { fromS: 0, toS: values.length * 5 })],
    })),
  },
  {
    name: "movingMean",
    against: "filter",
    bound: 1e-10,
    cases: [fallAndRise, offset].map((values) => ({
      variables: { y: values },
      r: "as.numeric(stats::filter(y, rep(1 / 7, 7)))[4:57]",
      ours: () => [...movingMean(courseOf(values), 35)].slice(3, 57),
    })),
  },
  {
    name: "alignTrace",
    against: "tapply of mean",
    bound: 1e-10,
    cases: [spiked, offset].map((values) => ({
      variables: { y: values },
      r: "as.numeric(tapply(y, (seq_along(y) - 1) %/% 7, mean))",
      ours: () => [
        ...alignTrace(
          { kind: "regular", startS: 0, stepS: 1, count: values.length },
          Float64Array.from(values),
          { originS: 0, binS: 7, firstBin: 0, binCount: Math.ceil(values.length / 7) },
        ).values,
      ],
    })),
  },
  {
    name: "hampel",
    against: "median, mad",
    bound: 1e-10,
    cases: [
      {
        variables: { y: spiked },
        r: "k <- 3; z <- y; for (i in (k + 1):(length(y) - k)) { w <- y[(i - k):(i + k)]; if (abs(y[i] - median(w)) > 3 * mad(w)) z[i] <- median(w) }; z",
        ours: () => [
          ...hampel(spiked, { halfWidth: 3, nSigma: 3, edges: "untouched", smallest: 0 }).filtered,
        ],
      },
    ],
  },
  {
    // The sum of squares at the best break that lm finds on both sides of every x and between: never below ours.
    name: "fitBrokenLine",
    against: "lm at every break, optimize",
    bound: 1e-10,
    cases: [fallAndRise, fallAndRise.map((value, i) => value + 0.3 * Math.sin(i))].map((values) => ({
      variables: { y: values },
      r: `x <- seq_along(y) - 1; sse <- function(b) sum(lm.fit(cbind(1, x, pmax(x - b, 0)), y)$residuals^2)
        between <- sapply(2:(length(x) - 4), function(i) optimize(sse, c(x[i], x[i + 1]) + c(0, 0), tol = 1e-12)$objective)
        min(between, sapply(x[3:(length(x) - 2)], sse))`,
      ours: () => {
        const fit = fitBrokenLine(
          values.map((_, i) => i),
          values,
        );
        return ["optimum" in fit && fit.optimum ? fit.optimum.sse : Number.NaN];
      },
    })),
  },
];
