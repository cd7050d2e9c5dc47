export type { DensityInput, DensityMethod, FatEquation, Sex, Skinfold, Skinfolds } from "./body-fat";
export { bodyDensity, bodyFatPercent, skinfoldsNeeded } from "./body-fat";
export type { BodyTemperatureWeighting, BodyTemperatureWeightingEntry } from "./mean-body-temperature";
export {
  bodyTemperatureWeightings,
  heatStorage,
  meanBodyTemperature,
  skinWeightByCoreTemperature,
  specificHeatOfBody,
} from "./mean-body-temperature";
export type { LimitedQuantity, PlausibilityLimit } from "./plausibility-limits";
export { isPlausible, plausibilityLimits } from "./plausibility-limits";
export type { SurfaceAreaFormula, SurfaceAreaFormulaEntry } from "./surface-area";
export { massIndex, surfaceArea, surfaceAreaFormulas, surfaceToMassRatio } from "./surface-area";
