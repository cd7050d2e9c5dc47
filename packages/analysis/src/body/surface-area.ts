import { AnalysisError } from "../analysis-error";
import { log10, power, square } from "../elementary";

export type SurfaceAreaFormula = "du bois" | "mosteller" | "haycock" | "gehan george" | "boyd";

export interface SurfaceAreaFormulaEntry {
  readonly id: SurfaceAreaFormula;
  readonly label: string;
  readonly source: string;
  readonly note: string;
}

export const surfaceAreaFormulas: readonly SurfaceAreaFormulaEntry[] = [
  {
    id: "du bois",
    label: "Du Bois & Du Bois",
    source: "Du Bois & Du Bois 1916, Arch Intern Med 17:863–871",
    note: "0.007184·H^0.725·m^0.425 (H in cm). Adults; 3–5 % low in obesity. The rounded metre form 0.202·H^0.725·m^0.425 is 0.233 % smaller and is not used.",
  },
  {
    id: "mosteller",
    label: "Mosteller",
    source: "Mosteller 1987, N Engl J Med 317:1098",
    note: "√(H·m/3600)",
  },
  {
    id: "haycock",
    label: "Haycock",
    source: "Haycock et al. 1978, J Pediatr 93:62–66",
    note: "0.024265·H^0.3964·m^0.5378; infants to adults",
  },
  {
    id: "gehan george",
    label: "Gehan & George",
    source: "Gehan & George 1970, Cancer Chemother Rep 54:225–235",
    note: "0.0235·H^0.42246·m^0.51456; all ages",
  },
  {
    id: "boyd",
    label: "Boyd",
    source: "Boyd 1935",
    note: "0.0003207·H^0.3·g^(0.7285 − 0.0188·log10 g), g the mass in grams",
  },
];

/**
 * Refuses what cannot be a person's height in m and mass in kg, above all a height in centimetres or a mass in grams.
 * (The narrower limits for data entry are `plausibilityLimits`.)
 */
export function requireBody(functionName: string, heightM: number, massKg: number): void {
  if (!(heightM > 0.3 && heightM < 3)) {
    throw new AnalysisError(
      "out of range",
      functionName,
      "heightM",
      `a height in m between 0.3 and 3, not ${heightM}`,
    );
  }
  if (!(massKg > 1 && massKg < 700)) {
    throw new AnalysisError(
      "out of range",
      functionName,
      "massKg",
      `a mass in kg between 1 and 700, not ${massKg}`,
    );
  }
}

/**
 * Body surface area in m² from height in m and mass in kg. Sources and ranges: `surfaceAreaFormulas`.
 *
 * @throws AnalysisError `out of range` for what is no height in m or no mass in kg
 */
export function surfaceArea(
  heightM: number,
  massKg: number,
  formula: SurfaceAreaFormula = "du bois",
): number {
  requireBody("surfaceArea", heightM, massKg);
  const cm = heightM * 100;
  switch (formula) {
    case "du bois":
      return 0.007184 * power(cm, 0.725) * power(massKg, 0.425);
    case "mosteller":
      return Math.sqrt((cm * massKg) / 3600);
    case "haycock":
      return 0.024265 * power(cm, 0.3964) * power(massKg, 0.5378);
    case "gehan george":
      return 0.0235 * power(cm, 0.42246) * power(massKg, 0.51456);
    case "boyd": {
      const grams = massKg * 1000;
      return 0.0003207 * power(cm, 0.3) * power(grams, 0.7285 - 0.0188 * log10(grams));
    }
  }
}

/** Body surface area over mass in m²/kg (multiply by 10⁴ for cm²/kg; adults about 240 to 310 cm²/kg). */
export function surfaceToMassRatio(
  heightM: number,
  massKg: number,
  formula: SurfaceAreaFormula = "du bois",
): number {
  requireBody("surfaceToMassRatio", heightM, massKg);
  return surfaceArea(heightM, massKg, formula) / massKg;
}

/** Mass index (Quetelet) in kg/m²: mass over height squared. */
export function massIndex(heightM: number, massKg: number): number {
  requireBody("massIndex", heightM, massKg);
  return massKg / square(heightM);
}
