import { mixedModel } from "../../../src/statistics";
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

export const mixedModelChecks: readonly AgreementCheck[] = kinds.map(({ label, slope, correlated }) => ({
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
