import { AnalysisError } from "../../analysis-error";
import type { Design } from "../model/design";

/**
 * Row of the design for a setting: covariates not named at their mean, factors not named averaged over their levels with
 * equal weight.
 */
export function marginalRow(
  design: Design,
  at: Readonly<Record<string, number | string>>,
  functionName: string,
): Float64Array {
  for (const [name, value] of Object.entries(at)) {
    const levels = design.factors.get(name);
    if (!levels && !design.covariateMeans.has(name)) {
      throw new AnalysisError(
        "unknown",
        functionName,
        "predictAt",
        `variables of the model; ${name} is not one`,
      );
    }
    if (levels ? !levels.includes(String(value)) : typeof value !== "number" || !Number.isFinite(value)) {
      throw new AnalysisError(
        "unknown",
        functionName,
        "predictAt",
        `${levels ? "a level" : "a number"} for ${name}, not ${value}`,
      );
    }
  }
  let settings: Record<string, number | string>[] = [{ ...Object.fromEntries(design.covariateMeans), ...at }];
  for (const [name, levels] of design.factors) {
    if (Object.hasOwn(at, name)) continue;
    settings = settings.flatMap((setting) => levels.map((level) => ({ ...setting, [name]: level })));
  }
  const total = new Float64Array(design.names.length);
  for (const setting of settings) {
    design.rowAt(setting).forEach((value, j) => {
      total[j] = (total[j] as number) + value / settings.length;
    });
  }
  return total;
}
