import { describe, expect, it } from "vitest";
import {
  analysisOfCovariance,
  bootstrapInterval,
  clusterPermutationTest,
  compareLinearModels,
  kendallCorrelation,
  linearModel,
  meanCourse,
  pearsonCorrelation,
  quantiles,
  signFlipTest,
  spearmanCorrelation,
  tTest,
  wilcoxonRankSum,
} from "../../src/statistics";
import { jackknifeAcceleration } from "../../src/statistics/bootstrap";
import { expectClose } from "./close-to";

/** Student's sleep data (Student 1908, Biometrika 6:1-25; R dataset sleep): hours gained with two drugs. */
const drug1 = [0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0, 2];
const drug2 = [1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4];

describe("published examples of two samples", () => {
  it("gives Welch's and Student's two-sample t of the sleep data", () => {
    // R's reference output of example(t.test): t = -1.8608, df = 17.776, p = 0.07939, interval -3.3654832 to 0.2054832.
    const welch = tTest({ kind: "welch", first: drug1, second: drug2 });
    expect(welch.statistic.toFixed(4)).toBe("-1.8608");
    expect(welch.degreesOfFreedom.toFixed(3)).toBe("17.776");
    expect(welch.p.toFixed(5)).toBe("0.07939");
    expect(welch.interval.lower.toFixed(7)).toBe("-3.3654832");
    expect(welch.interval.upper.toFixed(7)).toBe("0.2054832");
    const pooled = tTest({ kind: "pooled", first: drug1, second: drug2 });
    expect(pooled.degreesOfFreedom).toBe(18);
    expect(pooled.p.toFixed(5)).toBe("0.07919");
  });

  it("gives the mean course and interval of the first drug, bin by bin", () => {
    // R's reference output: mean 0.75, interval -0.5297804 to 2.0297804.
    const course = meanCourse(drug1.map((gained, i) => [gained, drug2[i] as number]));
    expectClose(course.mean[0], 0.75, 1e-14);
    expect(course.lower[0]?.toFixed(7)).toBe("-0.5297804");
    expect(course.upper[0]?.toFixed(7)).toBe("2.0297804");
    expectClose(course.mean[1], 2.33, 1e-14);
  });

  it("gives the rank-sum test of Hollander and Wolfe's placental membranes", () => {
    // Hollander & Wolfe 1973, Nonparametric Statistical Methods, p. 69: W = 35, one-sided P = 0.127.
    const test = wilcoxonRankSum({
      first: [0.8, 0.83, 1.89, 1.04, 1.45, 1.38, 1.91, 1.64, 0.73, 1.46],
      second: [1.15, 0.88, 0.9, 0.74, 1.21],
      alternative: "greater",
    });
    expect(test.statistic).toBe(35);
    expect(test.p.toFixed(4)).toBe("0.1272");
  });

  it("gives Fisher's test of Darwin's maize, as a measure and as a cluster of one bin", () => {
    // Fisher 1935, The Design of Experiments, section 21: of 32,768 arrangements 863 give as large a sum or a larger one.
    const maize = [49, -67, 8, 16, 6, 23, 28, 41, 14, 29, 56, 24, 75, 60, -48];
    const rows = maize.map((difference) => [difference]);
    const options = { permutations: 32_768 };
    expect(signFlipTest({ rows, alternative: "greater", ...options }).measures[0]?.p).toBe(863 / 32_768);
    expect(signFlipTest({ rows, ...options }).measures[0]?.p).toBe(1726 / 32_768);
    const { clusters } = clusterPermutationTest({
      kind: "paired",
      differences: maize.map((difference) => [[difference]]),
      clusterAlpha: 0.06,
      ...options,
    });
    expect(clusters).toHaveLength(1);
    expect(clusters[0]?.p).toBe(1726 / 32_768);
    // Fisher's own t for these pairs: 2.148.
    expect(clusters[0]?.mass.toFixed(3)).toBe("2.148");
  });

  it("gives the bootstrap of Efron and Tibshirani's spatial test", () => {
    // Efron & Tibshirani 1993, An Introduction to the Bootstrap, section 14.2: variance 171.5, acceleration 0.061, BCa
    // interval of 90 % 115.8 to 259.6, percentile interval 100.8 to 233.9, from 2,000 draws of their own: within their scatter.
    const spatial = [
      48, 36, 20, 29, 42, 42, 20, 42, 22, 41, 45, 14, 6, 0, 33, 28, 34, 4, 32, 24, 47, 41, 24, 26, 30, 41,
    ];
    const variance = ([sample = new Float64Array()]: readonly Float64Array[]) => {
      const mean = sample.reduce((sum, value) => sum + value, 0) / sample.length;
      return sample.reduce((sum, value) => sum + (value - mean) * (value - mean), 0) / sample.length;
    };
    expect(jackknifeAcceleration([Float64Array.from(spatial)], variance).toFixed(3)).toBe("0.061");
    const run = (kind: "bca" | "percentile") =>
      bootstrapInterval({ samples: [spatial], statistic: variance, kind, level: 0.9, draws: 10_000 });
    expect(run("bca").estimate.toFixed(1)).toBe("171.5");
    expect(Math.abs(run("bca").interval.lower - 115.8)).toBeLessThan(5);
    expect(Math.abs(run("bca").interval.upper - 259.6)).toBeLessThan(5);
    expect(Math.abs(run("percentile").interval.lower - 100.8)).toBeLessThan(5);
    expect(Math.abs(run("percentile").interval.upper - 233.9)).toBeLessThan(5);
  });
});

describe("published examples of correlation and regression", () => {
  it("gives Kendall's and Spearman's correlations of Hollander and Wolfe's tuna", () => {
    // Hollander & Wolfe 1973, p. 187: lightness and scores of nine lots, tau 0.444, one-sided P = 0.060.
    const x = [44.4, 45.9, 41.9, 53.3, 44.7, 44.1, 50.7, 45.2, 60.1];
    const y = [2.6, 3.1, 2.5, 5, 3.6, 4, 5.2, 2.8, 3.8];
    const tau = kendallCorrelation({ x, y, alternative: "greater" });
    expect(tau.statistic).toBe(26);
    expect(tau.estimate.toFixed(3)).toBe("0.444");
    expect(tau.p.toFixed(4)).toBe("0.0597");
    // Tables of the rank correlation for n = 9: 0.600 is the smallest significant one at 0.05, one-sided (from memory).
    const rho = spearmanCorrelation({ x, y, alternative: "greater" });
    expectClose(rho.estimate, 0.6, 1e-14);
    expect(rho.p).toBeLessThanOrEqual(0.05);
    const ranks = [1, 2, 3, 4, 5, 6, 7, 8, 9];
    const below = spearmanCorrelation({ x: ranks, y: [6, 2, 3, 4, 5, 1, 7, 8, 9], alternative: "greater" });
    expectClose(below.estimate, 1 - 50 / 120, 1e-14);
    expect(below.p).toBeGreaterThan(0.05);
  });

  it("gives Anscombe's first set", () => {
    // Anscombe 1973, The American Statistician 27:17-21: y = 3 + 0.5 x, standard error of the slope 0.118, r² 0.667,
    // sums of squares 27.50 (regression, 1) and 13.75 (residual, 9): 27.51 and 13.76 with the printed values of y.
    const x = [10, 8, 13, 9, 11, 14, 6, 4, 12, 7, 5];
    const y = [8.04, 6.95, 7.58, 8.81, 8.33, 9.96, 7.24, 4.26, 10.84, 4.82, 5.68];
    const model = linearModel({ outcome: y, variables: { x }, terms: ["x"] });
    expect(model.coefficients.map(({ estimate }) => estimate.toFixed(1))).toEqual(["3.0", "0.5"]);
    expect(model.coefficients[1]?.standardError.toFixed(3)).toBe("0.118");
    expect(model.rSquared.toFixed(3)).toBe("0.667");
    const test = compareLinearModels(model, linearModel({ outcome: y, variables: {}, terms: [] }));
    expect(test.sumOfSquares.toFixed(2)).toBe("27.51");
    expect(model.residualSumOfSquares.toFixed(2)).toBe("13.76");
    const { estimate, p } = pearsonCorrelation({ x, y });
    expectClose(estimate * estimate, model.rSquared, 1e-14);
    expectClose(p, test.p, 1e-12);
    expect(estimate.toFixed(3)).toBe("0.816");
    expect(quantiles(y, [0, 0.5, 1])).toEqual([4.26, 7.58, 10.84]);
  });

  it("gives Snedecor and Cochran's covariance analysis of leprosy treatments", () => {
    // Snedecor & Cochran 1967, Statistical Methods, p. 422, as worked in SAS/STAT's documentation of PROC GLM: type III sums of
    // squares 68.5537106 (F 2.14, P 0.1384) and 577.8974030 (F 36.01), root mean square error 4.005778, r² 0.676261, adjusted
    // means 6.7149635, 6.8239348 and 10.1611017.
    const before = [
      11, 8, 5, 14, 19, 6, 10, 6, 11, 3, 6, 6, 7, 8, 18, 8, 19, 8, 5, 15, 16, 13, 11, 9, 21, 16, 12, 12, 7,
      12,
    ];
    const after = [
      6, 0, 2, 8, 11, 4, 13, 1, 8, 0, 0, 2, 3, 1, 18, 4, 14, 9, 1, 9, 13, 10, 18, 5, 23, 12, 5, 16, 1, 20,
    ];
    const group = before.map((_, i) => (i < 10 ? "A" : i < 20 ? "D" : "F"));
    const {
      group: drugs,
      covariates,
      adjustedMeans,
      model,
    } = analysisOfCovariance({
      outcome: after,
      group,
      covariates: { before },
    });
    expect(drugs.sumOfSquares.toFixed(7)).toBe("68.5537106");
    expect(drugs.statistic.toFixed(2)).toBe("2.14");
    expect(drugs.p.toFixed(4)).toBe("0.1384");
    expect(covariates.before?.sumOfSquares.toFixed(7)).toBe("577.8974030");
    expect(covariates.before?.statistic.toFixed(2)).toBe("36.01");
    expect(adjustedMeans.map(({ estimate }) => estimate.toFixed(7))).toEqual([
      "6.7149635",
      "6.8239348",
      "10.1611017",
    ]);
    expect(model.residualStandardDeviation.toFixed(6)).toBe("4.005778");
    expect(model.rSquared.toFixed(6)).toBe("0.676261");
  });
});
