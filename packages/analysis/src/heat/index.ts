export type { BudgetModel, BudgetState, BudgetTerms, SegmentLoss } from "./budget-terms";
export { budgetTerms } from "./budget-terms";
export type { BudgetInputName, BudgetUncertainty, PhaseUncertainty } from "./budget-uncertainty";
export { budgetFromInputs, budgetInputs, propagateBudget } from "./budget-uncertainty";
export type { ConvectionConditions, ConvectionFormula, ConvectionFormulaId } from "./convection";
export {
  convectionFormulas,
  editableErgometerCoefficients,
  pressureFactor,
  wholeBodyConvection,
} from "./convection";
export type { ViewingConditions } from "./emissivity-correction";
export { apparentTemperature, correctApparentTemperature, recorrectSeries } from "./emissivity-correction";
export type { BudgetCourse, HeatBudget, PhaseBudget } from "./heat-budget";
export { heatBudget } from "./heat-budget";
export type { BudgetPhase, HeatBudgetInput, HeatBudgetSettings } from "./heat-budget-input";
export { heatBudgetDefaults } from "./heat-budget-input";
export type { SaturationForm } from "./humid-air";
export {
  dewPoint,
  humidityRatio,
  lewisRelation,
  maximumEvaporation,
  saturationForms,
  saturationPressure,
  vapourPressure,
} from "./humid-air";
export type { Globe, GlobeResult } from "./mean-radiant";
export { meanRadiantFromGlobe, operativeTemperature } from "./mean-radiant";
export type { OxygenEquation } from "./metabolic-power";
export {
  grossEfficiency,
  grossEfficiencyDefault,
  metabolicPowerFromExternalWork,
  metabolicPowerFromOxygen,
  oxygenEquations,
  oxygenOfCycling,
  wattsPerM2OfMet,
} from "./metabolic-power";
export type { Propagated, Uncertain } from "./propagate";
export { propagate } from "./propagate";
export type { RadiationOptions } from "./radiation";
export {
  effectiveRadiantShares,
  kelvinOffset,
  radiantCoefficient,
  radiantFlux,
  skinEmissivity,
  stefanBoltzmann,
} from "./radiation";
export type { RespirationForm, RespiratoryLoss } from "./respiratory-loss";
export { respiratoryLoss } from "./respiratory-loss";
export type { Posture, SegmentCoefficients, SegmentTable } from "./segment-coefficients";
export { movingAirFrom, segmentAreas, segmentConvection, segmentTable } from "./segment-coefficients";
export type { Exchange, SegmentExchange, Surroundings } from "./segment-exchange";
export { segmentExchange } from "./segment-exchange";
export type { MissingSidePolicy, SegmentSeries, SegmentTemperatures } from "./segment-temperatures";
export { segmentTemperatures } from "./segment-temperatures";
