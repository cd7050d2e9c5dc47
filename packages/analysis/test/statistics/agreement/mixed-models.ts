import { likelihoodRatioTest, mixedModel, type Term } from "../../../src/statistics";
import { mixedModelInR } from "../mixed-model-in-r";
import type { AgreementCheck } from "./agreement-check";
import { normalValues } from "./inputs";

/** Volunteers with several rows each and effects of their own on level and slope. */
function repeatedData(volunteers: number, rows: number, seed: number, offset: number) {
  const level = normalValues(seed, volunteers, 0, 2);
  const slopes = normalValues(seed + 1, volunteers, 0.5, 0.4);
  const noise = normalValues(seed + 2, volunteers * rows);
  const g: string[] = [];
  const s: number[] = [];
  const f: string[] = [];
  const y: number[] = [];
  for (let v = 0; v < volunteers; v++) {
    // Every third volunteer lacks a row, so that the design is not balanced.
    for (let r = v % 3 === 0 ? 1 : 0; r < rows; r++) {
      g.push(`V${v}`);
      s.push(r);
      f.push(v % 2 === 0 ? "bare" : "covered");
      y.push(
        offset +
          (level[v] as number) +
          (slopes[v] as number) * r +
          (v % 2) * 0.8 +
          (noise[v * rows + r] as number),
      );
    }
  }
  return { g, s, f, y };
}

const sets = [repeatedData(8, 6, 2000, 33), repeatedData(12, 5, 2010, 1e4)];
const kinds = [
  { label: "random intercept", slope: false, correlated: true },
  { label: "random intercept and slope", slope: true, correlated: true },
  { label: "uncorrelated random intercept and slope", slope: true, correlated: false },
] as const;

const fitChecks: readonly AgreementCheck[] = kinds.map(({ label, slope, correlated }) => ({
  name: `mixedModel, ${label}`,
  against: "dense matrices and optim in R",
  bound: 1e-6,
  // Relative to one: a covariance near zero has no relative accuracy in either program.
  floor: 1,
  cases: sets.flatMap(({ g, s, f, y }) =>
    (["REML", "ML"] as const).map((estimation) => ({
      variables: { g, s, f, y },
      r: `${mixedModelInR} mixed(y, model.matrix(~ s * f), g, ${slope ? "s" : "NULL"}, ${correlated ? "TRUE" : "FALSE"}, ${estimation === "REML" ? "TRUE" : "FALSE"})`,
      ours: () => {
        const m = mixedModel({
          outcome: y,
          volunteers: g,
          variables: { s, f },
          terms: ["s", "f", ["s", "f"]],
          ...(slope ? { randomSlope: "s", correlated } : {}),
          estimation,
        });
        const { residual, intercept, slope: slopeVariance, covariance } = m.variances;
        return [
          ...m.coefficients.map((c) => c.estimate),
          ...m.coefficients.map((c) => c.standardError),
          residual,
          intercept,
          ...(slopeVariance === null || covariance === null ? [] : [slopeVariance, covariance]),
          m.criterion,
        ];
      },
    })),
  ),
}));

export const mixedModelChecks: readonly AgreementCheck[] = [
  ...fitChecks,
  {
    // R differentiates numerically here, which costs it digits; test/fixtures holds lmerTest's to 1e-7.
    name: "mixedModel, Satterthwaite degrees of freedom",
    against: "dense matrices and numerical derivatives in R",
    bound: 1e-4,
    cases: [repeatedData(20, 6, 2020, 33), repeatedData(30, 5, 2030, 1e4)].map(({ g, s, f, y }) => ({
      variables: { g, s, f, y },
      r: `${mixedModelInR} tail(mixed(y, model.matrix(~ s * f), g, s, TRUE, TRUE, df = TRUE), 4)`,
      ours: () =>
        mixedModel({
          outcome: y,
          volunteers: g,
          variables: { s, f },
          terms: ["s", "f", ["s", "f"]],
          randomSlope: "s",
        }).coefficients.map(({ degreesOfFreedom }) => degreesOfFreedom ?? Number.NaN),
    })),
  },
  {
    name: "likelihoodRatioTest",
    against: "dense matrices, optim, pchisq",
    bound: 1e-6,
    cases: sets.map(({ g, s, f, y }) => ({
      variables: { g, s, f, y },
      r: `${mixedModelInR} d <- tail(mixed(y, model.matrix(~ s), g, s, TRUE, FALSE), 1) - tail(mixed(y, model.matrix(~ s * f), g, s, TRUE, FALSE), 1); c(d, 2, pchisq(d, 2, lower.tail = FALSE))`,
      ours: () => {
        const fit = (terms: readonly Term[]) =>
          mixedModel({
            outcome: y,
            volunteers: g,
            variables: { s, f },
            terms,
            randomSlope: "s",
            estimation: "ML",
          });
        const test = likelihoodRatioTest(fit(["s", "f", ["s", "f"]]), fit(["s"]));
        return [test.statistic, test.degreesOfFreedom, test.p];
      },
    })),
  },
];
