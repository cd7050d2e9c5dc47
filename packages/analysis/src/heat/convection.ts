import { AnalysisError } from "../analysis-error";
import { fourthRoot, power } from "../elementary";
import { requireWithin } from "./require-number";

/** What a formula of the whole body's convective coefficient depends on, in SI units. */
export interface ConvectionConditions {
  /** Air speed in m/s. */
  readonly airSpeed?: number;
  /** Walking or treadmill speed in m/s. */
  readonly walkingSpeed?: number;
  /** Metabolic rate in met (58.15 W/m²). */
  readonly metabolicMet?: number;
  /** Surface (skin or clothing) minus air temperature in K. */
  readonly temperatureDifference?: number;
}

export type ConvectionFormulaId =
  | "seated, Mitchell"
  | "reclining, Colin & Houdas"
  | "standing, Seppänen"
  | "free walking, Nishi & Gagge"
  | "treadmill, Nishi & Gagge"
  | "active in still air, Gagge"
  | "free, ISO 7730"
  | "ISO 7730"
  | "ISO 7933"
  | "manikin standing, de Dear"
  | "manikin seated, de Dear";

export interface ConvectionFormula {
  readonly id: ConvectionFormulaId;
  readonly formula: string;
  readonly source: string;
  /** What it asks for and from where to where it holds. */
  readonly needs: readonly {
    readonly quantity: keyof ConvectionConditions;
    readonly min: number;
    readonly max: number;
  }[];
  readonly coefficient: (given: Required<ConvectionConditions>) => number;
}

const ashrae = "ASHRAE Handbook of Fundamentals, Thermal comfort";
const speed = (min: number, max: number) => ({ quantity: "airSpeed", min, max }) as const;
const walking = { quantity: "walkingSpeed", min: 0.5, max: 2 } as const;
const difference = { quantity: "temperatureDifference", min: -60, max: 60 } as const;
const free = (kelvin: number) => 2.38 * fourthRoot(Math.abs(kelvin));

/** Published convective coefficients of the whole body in W/(m²·K). */
export const convectionFormulas: readonly ConvectionFormula[] = [
  {
    id: "seated, Mitchell",
    formula: "8.3·v^0.6, and 3.1 below 0.2 m/s",
    source: `Mitchell 1974; ${ashrae}`,
    needs: [speed(0, 4)],
    coefficient: ({ airSpeed: v }) => (v < 0.2 ? 3.1 : 8.3 * power(v, 0.6)),
  },
  {
    id: "reclining, Colin & Houdas",
    formula: "2.7 + 8.7·v^0.67, and 5.1 below 0.15 m/s",
    source: `Colin & Houdas 1967; ${ashrae}`,
    needs: [speed(0, 1.5)],
    coefficient: ({ airSpeed: v }) => (v < 0.15 ? 5.1 : 2.7 + 8.7 * power(v, 0.67)),
  },
  {
    id: "standing, Seppänen",
    formula: "14.8·v^0.69, and 4.0 below 0.15 m/s",
    source: `Seppänen et al. 1972; ${ashrae}`,
    needs: [speed(0, 1.5)],
    coefficient: ({ airSpeed: v }) => (v < 0.15 ? 4 : 14.8 * power(v, 0.69)),
  },
  {
    id: "free walking, Nishi & Gagge",
    formula: "8.6·v^0.53, v the walking speed, still air",
    source: `Nishi & Gagge 1970; ${ashrae}`,
    needs: [walking],
    coefficient: ({ walkingSpeed: v }) => 8.6 * power(v, 0.53),
  },
  {
    id: "treadmill, Nishi & Gagge",
    formula: "6.5·v^0.39, v the treadmill speed, still air",
    source: `Nishi & Gagge 1970; ${ashrae}`,
    needs: [walking],
    coefficient: ({ walkingSpeed: v }) => 6.5 * power(v, 0.39),
  },
  {
    id: "active in still air, Gagge",
    formula: "5.7·(M − 0.8)^0.39, M in met",
    source: `Gagge et al. 1976; ${ashrae}`,
    needs: [{ quantity: "metabolicMet", min: 1.1, max: 3 }],
    coefficient: ({ metabolicMet: met }) => 5.7 * power(met - 0.8, 0.39),
  },
  {
    id: "free, ISO 7730",
    formula: "2.38·|t_surface − t_air|^0.25",
    source: "ISO 7730",
    needs: [difference],
    coefficient: ({ temperatureDifference: kelvin }) => free(kelvin),
  },
  {
    id: "ISO 7730",
    formula: "the larger of 12.1·√v and free convection",
    source: "ISO 7730",
    needs: [speed(0, 1), difference],
    coefficient: ({ airSpeed: v, temperatureDifference: kelvin }) =>
      Math.max(12.1 * Math.sqrt(v), free(kelvin)),
  },
  {
    id: "ISO 7933",
    formula: "the larger of 3.5 + 5.2·v (8.7·v^0.6 above 1 m/s) and free convection",
    source: "ISO 7933",
    needs: [speed(0, 3), difference],
    coefficient: ({ airSpeed: v, temperatureDifference: kelvin }) =>
      Math.max(v <= 1 ? 3.5 + 5.2 * v : 8.7 * power(v, 0.6), free(kelvin)),
  },
  {
    id: "manikin standing, de Dear",
    formula: "the larger of 10.3·v^0.6 and 3.4",
    source: "de Dear et al. 1997, Int J Biometeorol 40:141–156 (abstract)",
    needs: [speed(0, 5)],
    coefficient: ({ airSpeed: v }) => Math.max(3.4, 10.3 * power(v, 0.6)),
  },
  {
    id: "manikin seated, de Dear",
    formula: "the larger of 10.3·v^0.6 and 3.3",
    source: "de Dear et al. 1997, Int J Biometeorol 40:141–156 (abstract)",
    needs: [speed(0, 5)],
    coefficient: ({ airSpeed: v }) => Math.max(3.3, 10.3 * power(v, 0.6)),
  },
];

/**
 * Starting points for a convective coefficient that the study states itself, in W/(m²·K). Two pairs circulate for the
 * bicycle ergometer in still air and both are from memory (Nishi & Gagge 1970): a study that uses one names its source.
 */
export const editableErgometerCoefficients = [
  { label: "bicycle ergometer, 50/min (first pair)", coefficient: 5.4 },
  { label: "bicycle ergometer, 60/min (first pair)", coefficient: 6 },
  { label: "bicycle ergometer, 50/min (second pair)", coefficient: 6 },
  { label: "bicycle ergometer, 60/min (second pair)", coefficient: 6.8 },
] as const;

/**
 * Convective coefficient of the whole body in W/(m²·K) by a published formula. Where two conditions apply (moving air and
 * walking, say) take the larger (ASHRAE).
 *
 * @throws AnalysisError `missing` for a condition that the formula needs, `out of range` outside the range it holds for,
 *   `unknown` for a formula that is in no table
 */
export function wholeBodyConvection(id: ConvectionFormulaId, conditions: ConvectionConditions): number {
  const name = "wholeBodyConvection";
  const formula = convectionFormulas.find((candidate) => candidate.id === id);
  if (formula === undefined)
    throw new AnalysisError("unknown", name, "id", `a formula of its table, not "${id}"`);
  for (const { quantity, min, max } of formula.needs) {
    const value = conditions[quantity];
    if (value === undefined) throw new AnalysisError("missing", name, quantity, `${quantity} for "${id}"`);
    requireWithin(name, quantity, value, min, max, `${quantity} for "${id}"`);
  }
  const { airSpeed = Number.NaN, walkingSpeed = Number.NaN, metabolicMet = Number.NaN } = conditions;
  const { temperatureDifference = Number.NaN } = conditions;
  return formula.coefficient({ airSpeed, walkingSpeed, metabolicMet, temperatureDifference });
}

/**
 * Factor on a convective coefficient at another air pressure in kPa: (p/101.33)^0.55. Source: ASHRAE Handbook of
 * Fundamentals.
 */
export function pressureFactor(pressureKPa: number): number {
  requireWithin("pressureFactor", "pressureKPa", pressureKPa, 30, 120, "an air pressure in kPa");
  return power(pressureKPa / 101.33, 0.55);
}
