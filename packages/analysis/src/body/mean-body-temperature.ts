import { AnalysisError } from "../analysis-error";

export type BodyTemperatureWeighting =
  | "burton"
  | "kerslake"
  | "hardy du bois"
  | "colin hot"
  | "snellen"
  | "vasodilated";

export interface BodyTemperatureWeightingEntry {
  readonly id: BodyTemperatureWeighting;
  readonly label: string;
  readonly coreWeight: number;
  readonly source: string;
  readonly conditions: string;
}

/** Published weightings of core and skin; the skin has the rest of the weight. */
export const bodyTemperatureWeightings: readonly BodyTemperatureWeightingEntry[] = [
  {
    id: "burton",
    label: "Burton, 0.64",
    coreWeight: 0.64,
    source: "Burton 1935, J Nutr 9:261",
    conditions:
      "Neutral and cool; the classical default. Lenhardt & Sessler 2006 found it within −0.09 ± 0.42 °C.",
  },
  {
    id: "kerslake",
    label: "Kerslake, 0.67",
    coreWeight: 0.67,
    source: "Kerslake 1972",
    conditions: "Partitional calorimetry.",
  },
  {
    id: "hardy du bois",
    label: "Hardy & Du Bois, 0.70",
    coreWeight: 0.7,
    source: "Hardy & Du Bois 1938, J Nutr 15:461",
    conditions: "Neutral.",
  },
  {
    id: "colin hot",
    label: "Colin, 0.79",
    coreWeight: 0.79,
    source: "Colin, Timbal, Houdas et al. 1971, J Appl Physiol 31:484",
    conditions: "Hot.",
  },
  {
    id: "snellen",
    label: "Snellen, 0.80",
    coreWeight: 0.8,
    source: "Snellen 1966",
    conditions: "Exercise in the heat.",
  },
  {
    id: "vasodilated",
    label: "Strong vasodilation, 0.90",
    coreWeight: 0.9,
    source: "common practice; the neutral skin fraction of two-node models is 0.1",
    conditions: "Exercise with heat exposure.",
  },
];

/**
 * Mean body temperature in °C: a·core + (1 − a)·skin.
 *
 * A constant weighting is wrong while the body cools or warms fast: the skin counts for less early on.
 *
 * @param coreC core temperature in °C, 20 to 45
 * @param skinC mean skin temperature in °C, 0 to 50
 * @param weighting a published weighting, or the core's weight a between 0 and 1
 */
export function meanBodyTemperature(
  coreC: number,
  skinC: number,
  weighting: BodyTemperatureWeighting | number = "burton",
): number {
  const name = "meanBodyTemperature";
  if (!(coreC >= 20 && coreC <= 45)) {
    throw new AnalysisError(
      "out of range",
      name,
      "coreC",
      `a core temperature from 20 to 45 °C, not ${coreC}`,
    );
  }
  if (!(skinC >= 0 && skinC <= 50)) {
    throw new AnalysisError(
      "out of range",
      name,
      "skinC",
      `a mean skin temperature from 0 to 50 °C, not ${skinC}`,
    );
  }
  const coreWeight = coreWeightOf(weighting);
  return skinC + coreWeight * (coreC - skinC);
}

function coreWeightOf(weighting: BodyTemperatureWeighting | number): number {
  if (typeof weighting === "number") {
    if (weighting >= 0 && weighting <= 1) return weighting;
    throw new AnalysisError(
      "out of range",
      "meanBodyTemperature",
      "weighting",
      `a core weight from 0 to 1, not ${weighting}`,
    );
  }
  const entry = bodyTemperatureWeightings.find(({ id }) => id === weighting);
  if (entry === undefined) {
    throw new AnalysisError(
      "unknown",
      "meanBodyTemperature",
      "weighting",
      `a published weighting, not "${weighting}"`,
    );
  }
  return entry.coreWeight;
}

/**
 * Weight of the skin by core temperature: 0.3 at 36.8 °C and below, falling by 0.09 per °C to 0.1 (reached at 39.02 °C).
 * Source: ISO 7933.
 */
export function skinWeightByCoreTemperature(coreC: number): number {
  if (!Number.isFinite(coreC)) {
    throw new AnalysisError(
      "not finite",
      "skinWeightByCoreTemperature",
      "coreC",
      `a finite temperature in °C, not ${coreC}`,
    );
  }
  return Math.min(0.3, Math.max(0.1, 0.3 - 0.09 * (coreC - 36.8)));
}

/** Specific heat of the body in J/(kg·K): 0.97 W·h/(kg·K), ISO 7933. Other texts use 3474 or 3490; the spread is 0.6 %. */
export const specificHeatOfBody = 3492;

/**
 * Heat storage in W: c·m·ΔT_b/Δt. Positive when the body gains heat. Divide by the surface area for W/m².
 *
 * @param massKg body mass in kg
 * @param meanBodyTemperatureChangeK change of mean body temperature in K
 * @param durationS seconds in which it changed
 * @param specificHeat in J/(kg·K)
 */
export function heatStorage(
  massKg: number,
  meanBodyTemperatureChangeK: number,
  durationS: number,
  specificHeat: number = specificHeatOfBody,
): number {
  const name = "heatStorage";
  if (!(massKg > 1 && massKg < 700)) {
    throw new AnalysisError("out of range", name, "massKg", `a mass in kg between 1 and 700, not ${massKg}`);
  }
  if (!Number.isFinite(meanBodyTemperatureChangeK)) {
    throw new AnalysisError(
      "not finite",
      name,
      "meanBodyTemperatureChangeK",
      `a finite change in K, not ${meanBodyTemperatureChangeK}`,
    );
  }
  if (!(durationS > 0) || !Number.isFinite(durationS)) {
    throw new AnalysisError("out of range", name, "durationS", `a positive duration in s, not ${durationS}`);
  }
  if (!(specificHeat > 2000 && specificHeat < 4500)) {
    throw new AnalysisError(
      "out of range",
      name,
      "specificHeat",
      `a specific heat of tissue in J/(kg·K), 2000 to 4500, not ${specificHeat}`,
    );
  }
  return (specificHeat * massKg * meanBodyTemperatureChangeK) / durationS;
}
