import { describe, expect, it } from "vitest";
import {
  adjustPValues,
  cohensDz,
  friedmanTest,
  hedgesG,
  intraclassCorrelation,
  limitsOfAgreement,
  linearModel,
  measurementError,
  oneWayAnalysis,
  repeatedMeasuresAnalysis,
  shareInterval,
  signFlipTest,
  singleCaseTest,
  describe as summarise,
  tTest,
  tTestPower,
  tTestSampleSize,
  wilcoxonSignedRank,
} from "../../src/statistics";
import { expectClose } from "./close-to";
import { longley } from "./longley";

/** Student's sleep data (Student 1908, Biometrika 6:1-25; R dataset sleep): hours gained with two drugs. */
const drug1 = [0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0, 2];
const drug2 = [1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4];

describe("published worked examples", () => {
  it("gives Student's paired t", () => {
    // R documentation of t.test and sleep.
    const t = tTest({ kind: "paired", first: drug1, second: drug2 });
    expect(t.statistic.toFixed(4)).toBe("-4.0621");
    expect(t.degreesOfFreedom).toBe(9);
    expect(t.p.toFixed(6)).toBe("0.002833");
    expect(t.interval.lower.toFixed(7)).toBe("-2.4598858");
    expect(t.interval.upper.toFixed(7)).toBe("-0.7001142");
    expect(tTest({ kind: "welch", first: drug1, second: drug2 }).p.toFixed(5)).toBe("0.07939");
  });

  it("gives the standardised differences of the sleep data", () => {
    // R package effectsize 0.8.3 and exact arithmetic.
    const dz = cohensDz({ first: drug2, second: drug1 });
    expectClose(dz.estimate, 1.2845575625910546);
    expectClose(dz.interval.lower, 0.4146277563804569, 1e-9);
    expectClose(dz.interval.upper, 2.118016513981601, 1e-9);
    const g = hedgesG({ first: drug2, second: drug1 });
    expectClose(g.estimate, 0.7969352391911207);
    expectClose(g.interval.lower, -0.09140773280515327, 1e-9);
    expectClose(g.interval.upper, 1.6651717906780232, 1e-9);
  });

  it("gives the exact signed-rank test of Hollander and Wolfe's depression data", () => {
    // Hollander & Wolfe 1973, Nonparametric Statistical Methods, page 29; R documentation of wilcox.test.
    const first = [1.83, 0.5, 1.62, 2.48, 1.68, 1.88, 1.55, 3.06, 1.3];
    const second = [0.878, 0.647, 0.598, 2.05, 1.06, 1.29, 1.06, 3.14, 1.29];
    const test = wilcoxonSignedRank({ first, second, alternative: "greater" });
    expect(test.statistic).toBe(40);
    expect(test.p).toBe(0.01953125);
    expectClose(test.estimate, 0.46);
  });

  it("gives Friedman's test of rounding first base", () => {
    // Hollander & Wolfe 1973, page 140; R documentation of friedman.test.
    const rows = [
      [5.4, 5.5, 5.55],
      [5.85, 5.7, 5.75],
      [5.2, 5.6, 5.5],
      [5.55, 5.5, 5.4],
      [5.9, 5.85, 5.7],
      [5.45, 5.55, 5.6],
      [5.4, 5.4, 5.35],
      [5.45, 5.5, 5.35],
      [5.25, 5.15, 5],
      [5.85, 5.8, 5.7],
      [5.25, 5.2, 5.1],
      [5.65, 5.55, 5.45],
      [5.6, 5.35, 5.45],
      [5.05, 5, 4.95],
      [5.5, 5.5, 5.4],
      [5.45, 5.55, 5.5],
      [5.55, 5.55, 5.35],
      [5.45, 5.5, 5.55],
      [5.5, 5.45, 5.25],
      [5.65, 5.6, 5.4],
      [5.7, 5.65, 5.55],
      [6.3, 6.3, 6.25],
    ];
    const test = friedmanTest(rows);
    expect(test.statistic.toFixed(3)).toBe("11.143");
    expect(test.p.toFixed(6)).toBe("0.003805");
  });

  it("gives the six intraclass correlations of Shrout and Fleiss", () => {
    // Shrout & Fleiss 1979, tables 2 and 4; intervals as printed in the documentation of R's psych::ICC.
    const rows = [
      [9, 2, 5, 8],
      [6, 1, 3, 2],
      [8, 4, 6, 8],
      [7, 1, 2, 6],
      [10, 5, 6, 9],
      [6, 2, 4, 7],
    ];
    const { forms } = intraclassCorrelation(rows);
    expect(Object.values(forms).map(({ estimate }) => estimate.toFixed(2))).toEqual([
      "0.17",
      "0.29",
      "0.71",
      "0.44",
      "0.62",
      "0.91",
    ]);
    expect(
      Object.values(forms).map(({ interval }) => [interval.lower.toFixed(2), interval.upper.toFixed(2)]),
    ).toEqual([
      ["-0.13", "0.72"],
      ["0.02", "0.76"],
      ["0.34", "0.95"],
      ["-0.88", "0.91"],
      ["0.07", "0.93"],
      ["0.68", "0.99"],
    ]);
    expectClose(measurementError(rows).standardErrorOfMeasurement.estimate, 1.0096754153907306);
  });

  it("gives the limits of agreement of Bland and Altman's peak flow data", () => {
    // Bland & Altman 1986, Lancet 327:307-310: first readings of two meters, limits there with 2 instead of 1.96.
    const wright = [494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478, 178, 423, 427];
    const mini = [512, 430, 520, 428, 500, 600, 364, 380, 658, 445, 432, 626, 260, 477, 259, 350, 451];
    const agreement = limitsOfAgreement({ first: wright, second: mini });
    expect(agreement.bias.estimate.toFixed(1)).toBe("-2.1");
    expect(agreement.standardDeviation.toFixed(1)).toBe("38.8");
    expect(agreement.bias.interval.lower.toFixed(1)).toBe("-22.0");
    expect(agreement.bias.interval.upper.toFixed(1)).toBe("17.8");
  });

  it("gives the repeated-measures analysis of Maxwell and Delaney's reaction times", () => {
    // Maxwell & Delaney 2004, Designing Experiments and Analyzing Data, table 12.1; R documentation of SSD and mauchly.test.
    const rows = [
      [420, 420, 480, 480, 600, 780],
      [420, 480, 480, 360, 480, 600],
      [480, 480, 540, 660, 780, 780],
      [420, 540, 540, 480, 780, 900],
      [540, 660, 540, 480, 660, 720],
      [360, 420, 360, 360, 480, 540],
      [480, 480, 600, 540, 720, 840],
      [480, 600, 660, 540, 720, 900],
      [540, 600, 540, 480, 720, 780],
      [480, 420, 540, 540, 660, 780],
    ];
    const [noise, angle, both] = repeatedMeasuresAnalysis({
      rows,
      within: [
        { name: "noise", levels: 2 },
        { name: "angle", levels: 3 },
      ],
    }).effects;
    expect(noise?.statistic.toFixed(3)).toBe("33.766");
    expect(angle?.statistic.toFixed(3)).toBe("40.719");
    expect(both?.statistic.toFixed(3)).toBe("45.310");
    expect(angle?.sphericity?.greenhouseGeisser.toFixed(4)).toBe("0.9616");
    expect(angle?.sphericity?.huynhFeldt.toFixed(4)).toBe("1.2176");
    expect(both?.correctedP?.greenhouseGeisser.toExponential(3)).toBe("3.454e-7");
    expect(both?.sphericity?.mauchly?.statistic.toFixed(5)).toBe("0.89378");
    expect(both?.sphericity?.mauchly?.p.toFixed(4)).toBe("0.6381");
    const [conditions] = repeatedMeasuresAnalysis({
      rows,
      within: [{ name: "condition", levels: 6 }],
    }).effects;
    expect(conditions?.statistic.toFixed(3)).toBe("38.028");
    expect(conditions?.sphericity?.mauchly?.statistic.toFixed(6)).toBe("0.031084");
  });

  it("gives Newcombe's Wilson intervals and the exact interval of R's plant data", () => {
    // Newcombe 1998, Statistics in Medicine 17:857-872, table I; R documentation of binom.test (682 of 925).
    const wilson = (count: number, n: number) => {
      const { interval } = shareInterval({ count, n, kind: "wilson" });
      return [interval.lower.toFixed(4), interval.upper.toFixed(4)];
    };
    expect(wilson(81, 263)).toEqual(["0.2553", "0.3662"]);
    expect(wilson(15, 148)).toEqual(["0.0624", "0.1605"]);
    expect(wilson(0, 20)).toEqual(["0.0000", "0.1611"]);
    expect(wilson(1, 29)).toEqual(["0.0061", "0.1718"]);
    const { interval } = shareInterval({ count: 682, n: 925 });
    expect([interval.lower.toFixed(7), interval.upper.toFixed(7)]).toEqual(["0.7076683", "0.7654066"]);
  });

  it("gives Benjamini and Hochberg's adjusted p values", () => {
    // Benjamini & Hochberg 1995, J. R. Statist. Soc. B 57:289-300, section 4.1: four hypotheses rejected at 5 %, three by Holm.
    const p = [
      0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.324, 0.4262, 0.5719, 0.6528,
      0.759, 1,
    ];
    expect(adjustPValues(p, "benjamini-hochberg").filter((value) => value <= 0.05)).toHaveLength(4);
    expect(adjustPValues(p, "holm").filter((value) => value <= 0.05)).toHaveLength(3);
  });

  it("gives Crawford and Howell's example", () => {
    // Crawford & Howell 1998, page 483: 33 against 15 controls with mean 50 and SD 10: t -1.65, 6.1 % below. Three values
    // carry that mean and SD for any n.
    const spread = 10 * Math.sqrt(14 / 12);
    const controls = Array.from({ length: 15 }, (_, i) => 50 + (i < 6 ? -spread : i < 12 ? spread : 0));
    const result = singleCaseTest({ case: 33, controls, alternative: "less" });
    expect(result.statistic.toFixed(2)).toBe("-1.65");
    expect((100 * result.shareBelow.estimate).toFixed(1)).toBe("6.1");
  });

  it("gives the power and sample sizes of R's power.t.test documentation", () => {
    // 0.8689528 there, with the tail in the direction of the effect alone; both tails here.
    expect(
      tTestPower({ kind: "two-sample", n: 20, difference: 1, standardDeviation: 1 }).power.toFixed(6),
    ).toBe("0.868953");
    const n = tTestSampleSize({ kind: "two-sample", difference: 1, standardDeviation: 1, power: 0.9 });
    expect(n.exactN.toFixed(4)).toBe("22.0211");
    expect(n.n).toBe(23);
    expect(
      tTestSampleSize({
        kind: "two-sample",
        difference: 1,
        standardDeviation: 1,
        power: 0.9,
        sided: "one-sided",
      }).exactN.toFixed(4),
    ).toBe("17.8471");
    // Cohen 1988, table 2.4.1: 64 in each group for d = 0.5 and power 0.80.
    expect(tTestSampleSize({ kind: "two-sample", difference: 0.5, standardDeviation: 1, power: 0.8 }).n).toBe(
      64,
    );
  });

  it("gives the exact sign-flip p value of the sleep data", () => {
    // Enumerated: 4 of 1,024 flips reach the observed mean (one difference is zero).
    const [measure] = signFlipTest({
      rows: drug2.map((value, i) => [value - (drug1[i] as number)]),
    }).measures;
    expect(measure?.p).toBe(4 / 1024);
  });
});

describe("NIST certified values (Statistical Reference Datasets)", () => {
  it("gives mean and standard deviation of the numerical accuracy sets", () => {
    const set = (first: number, a: number, b: number) => [
      first,
      ...Array.from({ length: 1000 }, (_, i) => (i % 2 === 0 ? a : b)),
    ];
    expect(summarise([10000001, 10000003, 10000002])).toMatchObject({ mean: 10000002, standardDeviation: 1 });
    const second = summarise(set(1.2, 1.1, 1.3));
    expectClose(second.mean, 1.2, 1e-14);
    expectClose(second.standardDeviation, 0.1, 1e-13);
    // The decimals are not doubles: with exact arithmetic these sets reach nine and eight digits.
    expectClose(summarise(set(1000000.2, 1000000.1, 1000000.3)).standardDeviation, 0.1, 1e-9);
    expectClose(summarise(set(10000000.2, 10000000.1, 10000000.3)).standardDeviation, 0.1, 1e-8);
    expectClose(summarise(set(1000000.2, 1000000.1, 1000000.3)).standardDeviation, 0.100000000034925, 1e-13);
  });

  it("gives the analysis of variance of SiRstv", () => {
    const groups = [
      [196.3052, 196.124, 196.189, 196.2569, 196.3403],
      [196.3042, 196.3825, 196.1669, 196.3257, 196.0422],
      [196.1303, 196.2005, 196.2889, 196.0343, 196.1811],
      [196.2795, 196.1748, 196.1494, 196.1485, 195.9885],
      [196.2119, 196.1051, 196.185, 196.0052, 196.209],
    ];
    const a = oneWayAnalysis(groups);
    expectClose(a.statistic, 1.18046237440255, 1e-11);
    expectClose(a.sumOfSquaresBetween, 5.11462616e-2, 1e-11);
    expectClose(a.sumOfSquaresWithin, 2.1663656e-1, 1e-11);
  });

  it("gives the regression of Longley's data", () => {
    const model = linearModel({ outcome: longley.y, variables: longley.x, terms: Object.keys(longley.x) });
    const certified: [number, number][] = [
      [-3482258.63459582, 890420.383607373],
      [15.0618722713733, 84.9149257747669],
      [-0.035819179292591, 0.0334910077722432],
      [-2.02022980381683, 0.488399681651699],
      [-1.03322686717359, 0.214274163161675],
      [-0.0511041056535807, 0.22607320006937],
      [1829.15146461355, 455.478499142212],
    ];
    certified.forEach(([estimate, error], j) => {
      expectClose(model.coefficients[j]?.estimate, estimate, 1e-12);
      expectClose(model.coefficients[j]?.standardError, error, 1e-10);
    });
    expectClose(model.residualStandardDeviation, 304.854073561965, 1e-12);
    expectClose(model.rSquared, 0.995479004577296, 1e-13);
    expectClose(model.overall?.statistic, 330.285339234588, 1e-11);
  });
});
