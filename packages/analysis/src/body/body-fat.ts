import { AnalysisError } from "../analysis-error";
import { log10, square } from "../elementary";

export type Sex = "female" | "male";

/** Skinfold thicknesses in mm. Each method names those that it needs. */
export type Skinfold =
  | "abdomen"
  | "biceps"
  | "chest"
  | "midaxillary"
  | "subscapular"
  | "suprailiac"
  | "thigh"
  | "triceps";

export type Skinfolds = Partial<Readonly<Record<Skinfold, number>>>;

export type DensityMethod = "durnin womersley" | "jackson pollock 3" | "jackson pollock 7";

export interface DensityInput {
  readonly method: DensityMethod;
  readonly sex: Sex;
  readonly ageYears: number;
  readonly skinfoldsMm: Skinfolds;
}

interface AgeBand {
  readonly fromAge: number;
  readonly toAge: number;
  readonly c: number;
  readonly m: number;
}

/** Durnin & Womersley 1974, Br J Nutr 32:77–97, Table 5: density in g/cm³ = c − m·log10 Σ of four skinfolds in mm. */
const durninWomersley: Readonly<Record<Sex, readonly AgeBand[]>> = {
  male: [
    { fromAge: 17, toAge: 19, c: 1.162, m: 0.063 },
    { fromAge: 20, toAge: 29, c: 1.1631, m: 0.0632 },
    { fromAge: 30, toAge: 39, c: 1.1422, m: 0.0544 },
    { fromAge: 40, toAge: 49, c: 1.162, m: 0.07 },
    { fromAge: 50, toAge: 72, c: 1.1715, m: 0.0779 },
  ],
  female: [
    { fromAge: 16, toAge: 19, c: 1.1549, m: 0.0678 },
    { fromAge: 20, toAge: 29, c: 1.1599, m: 0.0717 },
    { fromAge: 30, toAge: 39, c: 1.1423, m: 0.0632 },
    { fromAge: 40, toAge: 49, c: 1.1333, m: 0.0612 },
    { fromAge: 50, toAge: 68, c: 1.1339, m: 0.0645 },
  ],
};

interface Quadratic {
  readonly c0: number;
  readonly c1: number;
  readonly c2: number;
  readonly perYear: number;
  readonly fromAge: number;
  readonly toAge: number;
}

/** Density in g/cm³ = c0 − c1·S + c2·S² − perYear·age; ages of the samples from memory. */
const jacksonPollock = {
  threeMale: { c0: 1.10938, c1: 0.0008267, c2: 0.0000016, perYear: 0.0002574, fromAge: 18, toAge: 61 },
  threeFemale: { c0: 1.0994921, c1: 0.0009929, c2: 0.0000023, perYear: 0.0001392, fromAge: 18, toAge: 55 },
  sevenMale: { c0: 1.112, c1: 0.00043499, c2: 0.00000055, perYear: 0.00028826, fromAge: 18, toAge: 61 },
} as const satisfies Record<string, Quadratic>;

/** The skinfolds that a method needs for a sex, or null where the method has no equation for it. */
export function skinfoldsNeeded(method: DensityMethod, sex: Sex): readonly Skinfold[] | null {
  switch (method) {
    case "durnin womersley":
      return ["biceps", "triceps", "subscapular", "suprailiac"];
    case "jackson pollock 3":
      return sex === "male" ? ["chest", "abdomen", "thigh"] : ["triceps", "suprailiac", "thigh"];
    case "jackson pollock 7":
      return sex === "male"
        ? ["chest", "midaxillary", "triceps", "subscapular", "abdomen", "suprailiac", "thigh"]
        : null;
  }
}

function skinfoldSum(needed: readonly Skinfold[], skinfolds: Skinfolds): number {
  let sum = 0;
  for (const fold of needed) {
    const value = skinfolds[fold];
    if (value === undefined) {
      throw new AnalysisError(
        "missing",
        "bodyDensity",
        "skinfoldsMm",
        `the ${needed.join(", ")} skinfolds; ${fold} is missing`,
      );
    }
    if (!(value > 0 && value <= 120)) {
      throw new AnalysisError(
        "out of range",
        "bodyDensity",
        "skinfoldsMm",
        `skinfolds above 0 and up to 120 mm; ${fold} is ${value}`,
      );
    }
    sum += value;
  }
  return sum;
}

function requireAge(ageYears: number, fromAge: number, toAge: number, who: string): void {
  if (ageYears >= fromAge && ageYears < toAge + 1) return;
  throw new AnalysisError(
    "out of range",
    "bodyDensity",
    "ageYears",
    `an age from ${fromAge} to ${toAge} years, on which the equation for ${who} rests; not ${ageYears}`,
  );
}

function quadratic(sum: number, ageYears: number, equation: Quadratic, who: string): number {
  requireAge(ageYears, equation.fromAge, equation.toAge, who);
  return equation.c0 - equation.c1 * sum + equation.c2 * square(sum) - equation.perYear * ageYears;
}

/**
 * Body density in kg/m³ from skinfolds.
 *
 * Sources: Durnin & Womersley 1974, Br J Nutr 32:77–97; Jackson & Pollock 1978, Br J Nutr 40:497–504 (men, three and
 * seven sites); Jackson, Pollock & Ward 1980, Med Sci Sports Exerc 12:175–182 (women, three sites).
 *
 * @param input.ageYears completed or exact years; ages outside the equation's sample are refused
 * @param input.skinfoldsMm in mm; see `skinfoldsNeeded`
 * @throws AnalysisError `missing` for a skinfold or an equation that does not exist, `out of range` for an age or a fold
 */
export function bodyDensity({ method, sex, ageYears, skinfoldsMm }: DensityInput): number {
  const who = sex === "male" ? "men" : "women";
  const needed = skinfoldsNeeded(method, sex);
  if (needed === null) {
    throw new AnalysisError(
      "missing",
      "bodyDensity",
      "method",
      "another method for women: the seven-site equation here is for men",
    );
  }
  const sum = skinfoldSum(needed, skinfoldsMm);
  switch (method) {
    case "durnin womersley": {
      const bands = durninWomersley[sex];
      requireAge(ageYears, bands[0]?.fromAge ?? Number.NaN, bands.at(-1)?.toAge ?? Number.NaN, who);
      const band = bands.find(({ toAge }) => ageYears < toAge + 1);
      if (band === undefined)
        throw new AnalysisError("out of range", "bodyDensity", "ageYears", "an age within its bands");
      return 1000 * (band.c - band.m * log10(sum));
    }
    case "jackson pollock 3": {
      const equation = sex === "male" ? jacksonPollock.threeMale : jacksonPollock.threeFemale;
      return 1000 * quadratic(sum, ageYears, equation, who);
    }
    case "jackson pollock 7":
      return 1000 * quadratic(sum, ageYears, jacksonPollock.sevenMale, who);
  }
}

export type FatEquation = "siri" | "brozek";

/**
 * Body fat in per cent of mass from body density in kg/m³.
 *
 * Siri 1961: 495/D − 450; Brozek et al. 1963: 457/D − 414.2 (constants from memory), D in g/cm³. They agree at 1061.45
 * kg/m³.
 *
 * @throws AnalysisError `out of range` outside 900 to 1120 kg/m³ (fat and fat-free tissue, with a margin for leanness)
 */
export function bodyFatPercent(densityKgPerM3: number, equation: FatEquation = "siri"): number {
  if (!(densityKgPerM3 >= 900 && densityKgPerM3 <= 1120)) {
    throw new AnalysisError(
      "out of range",
      "bodyFatPercent",
      "densityKgPerM3",
      `a body density from 900 to 1120 kg/m³, not ${densityKgPerM3}`,
    );
  }
  const d = densityKgPerM3 / 1000;
  switch (equation) {
    case "siri":
      return 495 / d - 450;
    case "brozek":
      return 457 / d - 414.2;
  }
}
