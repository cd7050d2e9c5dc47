import { AnalysisError } from "../analysis-error";
import { requireWithin } from "./require-number";

/** One met in W/m² (ISO 8996). */
export const wattsPerM2OfMet = 58.15;

export type OxygenEquation = "ISO 8996" | "weir" | "brockway" | "brouwer";

export const oxygenEquations: readonly { readonly id: OxygenEquation; readonly source: string }[] = [
  { id: "ISO 8996", source: "ISO 8996: (0.23·RER + 0.77)·5.88 W·h per litre of oxygen" },
  {
    id: "weir",
    source: "Weir 1949, J Physiol 109:1: 3.941·VO2 + 1.106·VCO2 kcal, urinary nitrogen left out",
  },
  { id: "brockway", source: "Brockway 1987: 16.58·VO2 + 4.51·VCO2 kJ, urinary nitrogen left out" },
  { id: "brouwer", source: "Brouwer 1965: 16.18·VO2 + 5.02·VCO2 kJ (from memory)" },
];

/**
 * Metabolic power in W from gas exchange in L/min (STPD). Below a respiratory exchange ratio of 0.7 and above 1 carbon
 * dioxide does not come from fuel alone; ratios from 0.6 to 1.3 are accepted, for the reader to judge.
 *
 * @param oxygenLPerMin 0.05 to 8 L/min
 * @param exchangeRatio carbon dioxide over oxygen; 0.85 where it was not measured (ISO 8996)
 */
export function metabolicPowerFromOxygen(
  oxygenLPerMin: number,
  exchangeRatio = 0.85,
  equation: OxygenEquation = "ISO 8996",
): number {
  const name = "metabolicPowerFromOxygen";
  requireWithin(name, "oxygenLPerMin", oxygenLPerMin, 0.05, 8, "an oxygen uptake in L/min");
  requireWithin(name, "exchangeRatio", exchangeRatio, 0.6, 1.3, "a respiratory exchange ratio");
  const carbonDioxide = oxygenLPerMin * exchangeRatio;
  switch (equation) {
    case "ISO 8996":
      return (0.23 * exchangeRatio + 0.77) * 5.88 * oxygenLPerMin * 60;
    case "weir":
      return ((3.941 * oxygenLPerMin + 1.106 * carbonDioxide) * 4184) / 60;
    case "brockway":
      return ((16.58 * oxygenLPerMin + 4.51 * carbonDioxide) * 1000) / 60;
    case "brouwer":
      return ((16.18 * oxygenLPerMin + 5.02 * carbonDioxide) * 1000) / 60;
  }
}

/**
 * Oxygen uptake in L/min expected of leg cycling: 10.8·W/kg + 7 mL/(kg·min). Source: American College of Sports Medicine;
 * for 50 to 200 W. (Its form in kg·m/min is 2 % higher, because 10.8 takes a watt for 6 kg·m/min.)
 */
export function oxygenOfCycling(powerW: number, massKg: number): number {
  requireWithin("oxygenOfCycling", "powerW", powerW, 50, 200, "a power in W");
  requireWithin("oxygenOfCycling", "massKg", massKg, 20, 300, "a mass in kg");
  return ((10.8 * powerW) / massKg + 7) * (massKg / 1000);
}

/**
 * Gross mechanical efficiency to start from where oxygen uptake was not measured. On the bicycle ergometer it reaches 0.20
 * to 0.24 (ASHRAE); elsewhere the study states its own.
 */
export const grossEfficiencyDefault = 0.2;

/** Metabolic power in W from external power and gross efficiency. Refused for no power: efficiency says nothing of rest. */
export function metabolicPowerFromExternalWork(
  externalPowerW: number,
  grossEfficiency: number = grossEfficiencyDefault,
): number {
  const name = "metabolicPowerFromExternalWork";
  requireWithin(name, "grossEfficiency", grossEfficiency, 0.01, 0.35, "a gross efficiency");
  if (!(externalPowerW > 0) || !Number.isFinite(externalPowerW)) {
    throw new AnalysisError(
      "out of range",
      name,
      "externalPowerW",
      `a positive external power in W, not ${externalPowerW}`,
    );
  }
  return externalPowerW / grossEfficiency;
}

/** Share of metabolic power that becomes external power. */
export function grossEfficiency(externalPowerW: number, metabolicPowerW: number): number {
  requireWithin("grossEfficiency", "metabolicPowerW", metabolicPowerW, 1, 5000, "a metabolic power in W");
  requireWithin(
    "grossEfficiency",
    "externalPowerW",
    externalPowerW,
    -metabolicPowerW,
    metabolicPowerW,
    "an external power in W",
  );
  return externalPowerW / metabolicPowerW;
}
