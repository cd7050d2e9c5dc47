import { AnalysisError } from "../../analysis-error";
import { chiSquaredUpperTail } from "../distributions/chi-squared";
import type { MixedModelResult } from "./mixed-model";

export interface LikelihoodRatioTest {
  readonly method: string;
  readonly statistic: number;
  readonly degreesOfFreedom: number;
  readonly p: number;
}

/**
 * Likelihood-ratio test of a mixed model against one nested in it (Wilks 1938), by the chi-squared distribution. Fixed
 * effects are compared on models fitted by ML; a difference in the random part alone may use REML, and then p is on the
 * safe side, because a variance cannot be negative.
 * @throws AnalysisError `refused` when the models differ in rows or estimation, when REML fits differ in fixed effects, or
 * when the full model has no more parameters.
 */
export function likelihoodRatioTest(full: MixedModelResult, reduced: MixedModelResult): LikelihoodRatioTest {
  const refuse = (requirement: string): never => {
    throw new AnalysisError("refused", "likelihoodRatioTest", "reduced", requirement);
  };
  if (full.n !== reduced.n || full.volunteers !== reduced.volunteers) refuse("two models of the same rows");
  if (full.estimation !== reduced.estimation) refuse("two models fitted in the same way");
  if (full.estimation === "REML" && full.fixedParameters !== reduced.fixedParameters) {
    refuse("models fitted by ML, because REML criteria of different fixed effects do not compare");
  }
  const degreesOfFreedom = full.parameters - reduced.parameters;
  if (degreesOfFreedom < 1) refuse("a reduced model with fewer parameters than the full one");
  const statistic = Math.max(0, reduced.criterion - full.criterion);
  return {
    method: `likelihood-ratio test, ${full.estimation}`,
    statistic,
    degreesOfFreedom,
    p: chiSquaredUpperTail(statistic, degreesOfFreedom),
  };
}
