import { AnalysisError } from "../../analysis-error";
import { fUpperTail } from "../distributions/f";
import { checkLevel } from "../numeric/check-option";
import { leastSquares } from "../numeric/least-squares";
import { meanOf, sumOfSquares } from "../numeric/moments";
import type { Interval } from "../result";
import { tInterval } from "../t-interval";
import { tPValue } from "../t-p-value";
import { buildDesign, type Design, type DesignInput, usableRows } from "./design";

export interface Coefficient {
  readonly name: string;
  readonly estimate: number;
  readonly standardError: number;
  readonly interval: Interval;
  readonly statistic: number;
  readonly degreesOfFreedom: number;
  readonly p: number;
}

/** An F test: of a term, of a model, or of one model against another. */
export interface FTest {
  readonly statistic: number;
  readonly degreesOfFreedom: readonly [number, number];
  readonly p: number;
}

export interface LinearModel {
  readonly method: string;
  readonly coefficients: readonly Coefficient[];
  /** F test of the whole model against the mean alone; null without terms. */
  readonly overall: FTest | null;
  readonly rSquared: number;
  readonly adjustedRSquared: number;
  readonly residualStandardDeviation: number;
  readonly residualSumOfSquares: number;
  readonly residualDegreesOfFreedom: number;
  readonly fitted: Float64Array;
  readonly residuals: Float64Array;
  readonly n: number;
  readonly missing: number;
}

/** A fit with its design and (X'X)^-1, row by row, for means that build on it. */
export interface FittedLinearModel {
  readonly model: LinearModel;
  readonly inverse: Float64Array;
  readonly design: Design;
}

export interface LinearModelInput extends DesignInput {
  readonly outcome: ArrayLike<number>;
  readonly level?: number;
}

/**
 * Multiple regression by least squares with covariates, factors and interactions. Rows with a missing value are left out.
 * @throws AnalysisError `too few` when no degree of freedom is left, `refused` for terms that others determine, `unknown`,
 * `missing`, `constant`, `not finite`, `unequal lengths`, `out of range`.
 */
export function linearModel(input: LinearModelInput): LinearModel {
  return fitLinearModel(input).model;
}

export function fitLinearModel(input: LinearModelInput): FittedLinearModel {
  const { level = 0.95, outcome } = input;
  checkLevel(level, "linearModel");
  const names = [...new Set(input.terms.flat())];
  const rows = usableRows(outcome, input.variables, names, "linearModel");
  const design = buildDesign(input, rows, "linearModel");
  const y = Float64Array.from(rows, (row) => outcome[row] as number);
  const p = design.columns.length;
  const residualDegreesOfFreedom = y.length - p;
  if (residualDegreesOfFreedom < 1) {
    throw new AnalysisError(
      "too few",
      "linearModel",
      "outcome",
      `more than ${p} complete rows, not ${y.length}`,
    );
  }
  const fit = leastSquares(design.columns, y);
  if ("deficientColumn" in fit) {
    const name = design.names[fit.deficientColumn] ?? "a term";
    throw new AnalysisError(
      "refused",
      "linearModel",
      "terms",
      `terms that others do not determine; ${name} is one that they do`,
    );
  }
  const total = sumOfSquares(y, meanOf(y));
  const variance = fit.residualSumOfSquares / residualDegreesOfFreedom;
  const coefficients = design.names.map((name, j): Coefficient => {
    const estimate = fit.coefficients[j] as number;
    const standardError = Math.sqrt(variance * (fit.inverse[j * p + j] as number));
    const statistic = estimate / standardError;
    return {
      name,
      estimate,
      standardError,
      interval: tInterval(estimate, standardError, residualDegreesOfFreedom, level),
      statistic,
      degreesOfFreedom: residualDegreesOfFreedom,
      p: tPValue(statistic, residualDegreesOfFreedom, "two-sided"),
    };
  });
  const explained = fit.fitted.reduce((sum, value) => sum + value, 0) / y.length;
  const modelSquares = sumOfSquares(fit.fitted, explained);
  const model: LinearModel = {
    method: "linear regression by least squares",
    coefficients,
    overall: p === 1 ? null : fTest(modelSquares / (p - 1) / variance, p - 1, residualDegreesOfFreedom),
    rSquared: modelSquares / (modelSquares + fit.residualSumOfSquares),
    adjustedRSquared: 1 - variance / (total / (y.length - 1)),
    residualStandardDeviation: Math.sqrt(variance),
    residualSumOfSquares: fit.residualSumOfSquares,
    residualDegreesOfFreedom,
    fitted: fit.fitted,
    residuals: fit.residuals,
    n: y.length,
    missing: outcome.length - y.length,
  };
  return { model, inverse: fit.inverse, design };
}

/**
 * F test of a model against one that is nested in it, on the same rows.
 * @throws AnalysisError `refused` when the models do not have the same rows or the full one no more terms.
 */
export function compareLinearModels(
  full: LinearModel,
  reduced: LinearModel,
): FTest & { readonly sumOfSquares: number } {
  const df = reduced.residualDegreesOfFreedom - full.residualDegreesOfFreedom;
  if (full.n !== reduced.n || df < 1) {
    throw new AnalysisError(
      "refused",
      "compareLinearModels",
      "reduced",
      "a model of the same rows with fewer terms",
    );
  }
  const squares = reduced.residualSumOfSquares - full.residualSumOfSquares;
  const variance = full.residualSumOfSquares / full.residualDegreesOfFreedom;
  return { ...fTest(squares / df / variance, df, full.residualDegreesOfFreedom), sumOfSquares: squares };
}

export function fTest(statistic: number, df1: number, df2: number): FTest {
  return { statistic, degreesOfFreedom: [df1, df2], p: fUpperTail(statistic, df1, df2) };
}
