import type { Interval } from "../result";
import { tInterval } from "../t-interval";
import type { Variable } from "./design";
import {
  compareLinearModels,
  type FittedLinearModel,
  type FTest,
  fitLinearModel,
  type LinearModel,
} from "./linear-model";

export interface AdjustedMean {
  readonly group: string;
  readonly estimate: number;
  readonly standardError: number;
  readonly interval: Interval;
}

export interface CovarianceAnalysis {
  readonly method: string;
  /** Group differences at equal covariates. */
  readonly group: FTest & { readonly sumOfSquares: number; readonly partialEtaSquared: number };
  readonly covariates: Readonly<Record<string, FTest & { readonly sumOfSquares: number }>>;
  /** Whether the slopes differ between groups; if they do, one adjusted difference does not describe the groups. */
  readonly equalSlopes: FTest & { readonly sumOfSquares: number };
  /** Group means at the mean of every covariate. */
  readonly adjustedMeans: readonly AdjustedMean[];
  readonly model: LinearModel;
  readonly n: number;
  readonly missing: number;
}

/**
 * Analysis of covariance: groups compared at equal covariates (Fisher 1932), each effect tested with all others in the
 * model, equality of slopes tested apart.
 * @throws AnalysisError as `linearModel`.
 */
export function analysisOfCovariance(input: {
  readonly outcome: ArrayLike<number>;
  readonly group: readonly (string | null)[];
  readonly covariates: Readonly<Record<string, ArrayLike<number>>>;
  readonly groupLevels?: readonly string[];
  readonly level?: number;
}): CovarianceAnalysis {
  const { outcome, level = 0.95 } = input;
  const names = Object.keys(input.covariates);
  // The group's key must differ from every covariate's name.
  let key = "group";
  while (names.includes(key)) key = `${key} `;
  const kept = (name: string) =>
    keepTogether(name === key ? input.group : (input.covariates[name] as Variable), input);
  const variables: Record<string, Variable> = {};
  for (const name of [...names, key]) variables[name] = kept(name);
  const usable = keepTogether(outcome, input) as ArrayLike<number>;
  const fit = (terms: readonly (string | readonly string[])[]) =>
    fitLinearModel({
      outcome: usable,
      variables,
      terms,
      level,
      ...(input.groupLevels ? { levels: { [key]: input.groupLevels } } : {}),
    });
  const fitted = fit([...names, key]);
  const { model } = fitted;
  const group = compareLinearModels(model, fit(names).model);
  const covariates: Record<string, FTest & { sumOfSquares: number }> = {};
  for (const name of names) {
    covariates[name] = compareLinearModels(
      model,
      fit([...names.filter((other) => other !== name), key]).model,
    );
  }
  const separate = fit([...names, key, ...names.map((name) => [name, key])]);
  const levels = fitted.design.factors.get(key) ?? [];
  return {
    method: "analysis of covariance, each effect adjusted for all others",
    group: {
      ...group,
      partialEtaSquared: group.sumOfSquares / (group.sumOfSquares + model.residualSumOfSquares),
    },
    covariates,
    equalSlopes: compareLinearModels(separate.model, model),
    adjustedMeans: levels.map((one) => adjustedMean(fitted, key, one, level)),
    model,
    n: model.n,
    missing: outcome.length - model.n,
  };
}

/** A variable with every row made missing in which any variable of the analysis is, so that all models share their rows. */
function keepTogether(
  variable: Variable,
  input: {
    readonly outcome: ArrayLike<number>;
    readonly group: readonly (string | null)[];
    readonly covariates: Readonly<Record<string, ArrayLike<number>>>;
  },
): Variable {
  const lacks = (i: number) =>
    Number.isNaN(input.outcome[i]) ||
    input.group[i] === null ||
    Object.values(input.covariates).some((values) => Number.isNaN(values[i]));
  return typeof variable[0] === "string" || variable[0] === null
    ? (Array.from(variable as readonly (string | null)[], (value, i) => (lacks(i) ? null : value)) as (
        | string
        | null
      )[])
    : Array.from(variable as ArrayLike<number>, (value, i) => (lacks(i) ? Number.NaN : value));
}

function adjustedMean(
  { model, design, inverse }: FittedLinearModel,
  key: string,
  group: string,
  level: number,
): AdjustedMean {
  const values: Record<string, number | string> = { [key]: group };
  for (const [name, mean] of design.covariateMeans) values[name] = mean;
  const row = design.rowAt(values);
  const p = row.length;
  let estimate = 0;
  let variance = 0;
  for (let a = 0; a < p; a++) {
    estimate += (row[a] as number) * (model.coefficients[a]?.estimate as number);
    for (let b = 0; b < p; b++) {
      variance += (row[a] as number) * (row[b] as number) * (inverse[a * p + b] as number);
    }
  }
  const standardError = Math.sqrt(variance) * model.residualStandardDeviation;
  return {
    group,
    estimate,
    standardError,
    interval: tInterval(estimate, standardError, model.residualDegreesOfFreedom, level),
  };
}
