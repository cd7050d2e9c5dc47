import { AnalysisError } from "../../analysis-error";
import { log, square } from "../../elementary";
import { buildDesign, type DesignInput } from "../model/design";
import { checkLevel } from "../numeric/check-option";
import { leastSquares } from "../numeric/least-squares";
import { cholesky } from "../numeric/small-matrix";
import type { Interval } from "../result";
import { tInterval } from "../t-interval";
import { tPValue } from "../t-p-value";
import { crossProductsOf } from "./cross-products";
import { type CriterionFit, factorOf, fitCriterion, freeEntries } from "./fit-criterion";
import { marginalRow } from "./marginal-row";
import { type ContrastVariance, contrastVariance } from "./satterthwaite";
import { slopeColumn, volunteerRows } from "./volunteer-rows";

export interface MixedModelInput extends DesignInput {
  readonly outcome: ArrayLike<number>;
  /** Whose row it is; the random effects vary between volunteers. */
  readonly volunteers: readonly (string | null)[];
  /** A covariate whose slope varies between volunteers too; only the intercept unless given. */
  readonly randomSlope?: string;
  /** Whether intercept and slope may be correlated; true unless given. */
  readonly correlated?: boolean;
  readonly estimation?: "REML" | "ML";
  readonly level?: number;
  /** Settings for which to predict the mean outcome, see `predictedMeans` of the result. */
  readonly predictAt?: readonly Readonly<Record<string, number | string>>[];
}

export interface FixedEffect {
  readonly name: string;
  readonly estimate: number;
  readonly standardError: number;
  readonly statistic: number;
  /** Satterthwaite's; null, and with it p and interval, when the fit is singular. */
  readonly degreesOfFreedom: number | null;
  readonly p: number | null;
  readonly interval: Interval | null;
}

export interface PredictedMean extends Omit<FixedEffect, "name" | "statistic" | "p"> {
  readonly at: Readonly<Record<string, number | string>>;
}

export interface MixedModelResult {
  readonly method: string;
  readonly estimation: "REML" | "ML";
  readonly coefficients: readonly FixedEffect[];
  readonly variances: {
    readonly residual: number;
    readonly intercept: number;
    readonly slope: number | null;
    readonly covariance: number | null;
    readonly correlation: number | null;
  };
  /** Each volunteer's departure from the fixed effects (best linear unbiased predictions). */
  readonly randomEffects: readonly {
    readonly volunteer: string;
    readonly intercept: number;
    readonly slope: number | null;
  }[];
  /**
   * Mean outcome at each setting asked for: covariates not named at their mean, factors not named averaged over their
   * levels with equal weight.
   */
  readonly predictedMeans: readonly PredictedMean[];
  readonly logLikelihood: number;
  /** -2 log likelihood, restricted for REML. */
  readonly criterion: number;
  /** Fixed effects, covariance parameters and the residual variance. */
  readonly parameters: number;
  readonly fixedParameters: number;
  readonly aic: number;
  readonly bic: number;
  /** A variance is estimated as nil, or the correlation as perfect: the data do not support this random part. */
  readonly singular: boolean;
  readonly n: number;
  readonly volunteers: number;
  readonly missing: number;
}

/** Below this an entry of the relative factor counts as nil. */
const NIL = 1e-4;

/**
 * Linear mixed model with volunteers as random effects, fitted by restricted or full maximum likelihood (Laird & Ware 1982,
 * Biometrics 38:963-974; Bates, Maechler, Bolker & Walker 2015, Journal of Statistical Software 67(1)), degrees of freedom
 * by Satterthwaite. Rows with a missing value are left out.
 * @throws AnalysisError `too few` (volunteers, rows, repeated rows), `refused` for terms that others determine, `constant`
 * without residual variation, `unknown`, `missing`, `not finite`, `unequal lengths`, `out of range`.
 */
export function mixedModel(input: MixedModelInput): MixedModelResult {
  const { level = 0.95, estimation = "REML", correlated = true, outcome } = input;
  checkLevel(level, "mixedModel");
  const { rows, labels, volunteerOf } = volunteerRows(input);
  const design = buildDesign(input, rows, "mixedModel");
  const y = Float64Array.from(rows, (row) => outcome[row] as number);
  const n = y.length;
  const p = design.columns.length;
  if (n - p < 1)
    throw new AnalysisError("too few", "mixedModel", "outcome", `more than ${p} complete rows, not ${n}`);
  const ordinary = leastSquares(design.columns, y);
  if ("deficientColumn" in ordinary) {
    const name = design.names[ordinary.deficientColumn] ?? "a term";
    throw new AnalysisError(
      "refused",
      "mixedModel",
      "terms",
      `terms that others do not determine; ${name} is one that they do`,
    );
  }
  const toOrthonormal = cholesky(ordinary.inverse, p);
  const largest = y.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
  if (toOrthonormal === null || !(ordinary.residualSumOfSquares > n * square(1e-13 * largest))) {
    throw new AnalysisError(
      "constant",
      "mixedModel",
      "outcome",
      "an outcome that the fixed effects do not determine",
    );
  }
  const slope = input.randomSlope === undefined ? null : slopeColumn(input, rows, input.randomSlope);
  const slopeScale = slope ? Math.sqrt(slope.reduce((total, value) => total + value * value, 0) / n) : 1;
  const data = crossProductsOf(
    orthonormalColumns(design.columns, toOrthonormal),
    ordinary.residuals,
    volunteerOf,
    labels.length,
    slope === null ? null : slope.map((value) => value / slopeScale),
  );
  const restricted = estimation === "REML";
  const free = freeEntries(data.q, correlated);
  const fit = fitCriterion(data, free, restricted);
  if (fit === null) {
    throw new AnalysisError(
      "constant",
      "mixedModel",
      "outcome",
      "an outcome that the model does not determine",
    );
  }
  const factor = factorOf(fit.parameters, free, data.q);
  const singular = free.some(([row, column]) => {
    const own = Math.abs(factor[row * data.q + column] as number);
    return row === column && own < NIL * (row === 1 ? slopeScale : 1);
  });
  const variance = contrastVariance(data, free, restricted, fit, singular);
  const degrees = restricted ? n - p : n;
  const residual = fit.at.residual / degrees;
  const coefficients = backTransformed(ordinary.coefficients, fit, toOrthonormal);
  const estimate = estimator(coefficients, toOrthonormal, variance, level);
  const criterion =
    fit.at.value + (restricted ? ordinary.logDeterminant : 0) + degrees * (1 + log((2 * Math.PI) / degrees));
  const parameters = p + free.length + 1;
  return {
    method: `linear mixed model by ${estimation}, random ${slope ? `intercept and slope of ${input.randomSlope}${correlated ? "" : ", uncorrelated"}` : "intercept"}, Satterthwaite degrees of freedom`,
    estimation,
    coefficients: design.names.map((name, j) => {
      const unit = new Float64Array(p);
      unit[j] = 1;
      const own = estimate(unit);
      const statistic = own.estimate / own.standardError;
      const df = own.degreesOfFreedom;
      return { name, ...own, statistic, p: df === null ? null : tPValue(statistic, df, "two-sided") };
    }),
    variances: variancesOf(factor, data.q, residual, slopeScale),
    randomEffects: randomEffectsOf(fit, factor, data.q, labels, slopeScale),
    predictedMeans: (input.predictAt ?? []).map((at) => ({
      at,
      ...estimate(marginalRow(design, at, "mixedModel")),
    })),
    logLikelihood: -criterion / 2,
    criterion,
    parameters,
    fixedParameters: p,
    aic: criterion + 2 * parameters,
    bic: criterion + log(n) * parameters,
    singular,
    n,
    volunteers: labels.length,
    missing: outcome.length - n,
  };
}

/** X L for the lower factor L of (X'X)^-1: columns that are orthonormal and span the same space. */
function orthonormalColumns(columns: readonly Float64Array[], lower: Float64Array): Float64Array[] {
  const p = columns.length;
  return columns.map((_, k) => {
    const combined = new Float64Array(columns[0]?.length ?? 0);
    for (let j = k; j < p; j++) {
      const weight = lower[j * p + k] as number;
      const column = columns[j] as Float64Array;
      for (let i = 0; i < combined.length; i++)
        combined[i] = (combined[i] as number) + weight * (column[i] as number);
    }
    return combined;
  });
}

function backTransformed(ordinary: Float64Array, fit: CriterionFit, lower: Float64Array): Float64Array {
  const p = ordinary.length;
  return ordinary.map((value, j) => {
    let total = value;
    for (let k = 0; k <= j; k++) total += (lower[j * p + k] as number) * (fit.at.coefficients[k] as number);
    return total;
  });
}

function estimator(
  coefficients: Float64Array,
  lower: Float64Array,
  variance: ContrastVariance,
  level: number,
) {
  const p = coefficients.length;
  return (contrast: Float64Array) => {
    const rotated = new Float64Array(p);
    for (let k = 0; k < p; k++) {
      for (let j = k; j < p; j++) {
        rotated[k] = (rotated[k] as number) + (lower[j * p + k] as number) * (contrast[j] as number);
      }
    }
    const own = variance(rotated);
    const estimate = contrast.reduce((total, weight, j) => total + weight * (coefficients[j] as number), 0);
    const standardError = Math.sqrt(own.variance);
    return {
      estimate,
      standardError,
      degreesOfFreedom: own.degreesOfFreedom,
      interval:
        own.degreesOfFreedom === null
          ? null
          : tInterval(estimate, standardError, own.degreesOfFreedom, level),
    };
  };
}

function variancesOf(factor: Float64Array, q: number, residual: number, slopeScale: number) {
  const intercept = residual * square(factor[0] as number);
  if (q === 1) return { residual, intercept, slope: null, covariance: null, correlation: null };
  const [l11, l21, l22] = [factor[0] as number, factor[2] as number, factor[3] as number];
  const slope = (residual * (l21 * l21 + l22 * l22)) / square(slopeScale);
  const covariance = (residual * l11 * l21) / slopeScale;
  const product = Math.sqrt(intercept * slope);
  return { residual, intercept, slope, covariance, correlation: product > 0 ? covariance / product : null };
}

function randomEffectsOf(
  fit: CriterionFit,
  factor: Float64Array,
  q: number,
  labels: readonly string[],
  slopeScale: number,
) {
  return labels.map((volunteer, g) => {
    const inner = Array.from({ length: q }, (_, c) => {
      let value = 0;
      for (let a = c; a < q; a++)
        value += (factor[a * q + c] as number) * (fit.at.scores[g * q + a] as number);
      return value;
    });
    const effects = Array.from({ length: q }, (_, a) =>
      inner.reduce((total, value, c) => total + (factor[a * q + c] as number) * value, 0),
    );
    return {
      volunteer,
      intercept: effects[0] as number,
      slope: q === 2 ? (effects[1] as number) / slopeScale : null,
    };
  });
}
