import { specificHeatOfBody } from "../body";
import type { BudgetUncertainty } from "./budget-uncertainty";
import type { RespirationForm } from "./respiratory-loss";
import { type SegmentTable, segmentTable } from "./segment-coefficients";
import type { Surroundings } from "./segment-exchange";
import type { SegmentSeries } from "./segment-temperatures";

export interface BudgetPhase {
  readonly name: string;
  /** s from the origin of the grid. */
  readonly fromS: number;
  readonly toS: number;
}

export interface HeatBudgetInput {
  readonly binS: number;
  readonly firstBin: number;
  /** °C per segment and bin; NaN is missing. */
  readonly segments: SegmentSeries;
  readonly surroundings: Surroundings & { readonly vapourPressureKPa: number };
  readonly surfaceAreaM2: number;
  readonly massKg: number;
  /** W per bin; absent where it was not recorded. */
  readonly metabolicPower?: Float64Array;
  readonly externalPower?: Float64Array;
  /** Mean body temperature in °C per bin; absent without core temperature. */
  readonly meanBodyTemperature?: Float64Array;
  readonly phases: readonly BudgetPhase[];
  readonly settings?: Partial<HeatBudgetSettings>;
}

export interface HeatBudgetSettings {
  readonly respiration: RespirationForm;
  readonly specificHeat: number;
  /** Storage at a moment is taken from the change of mean body temperature over this many s around it. */
  readonly storageOverS: number;
  /** What surface without data counts as in the totals. */
  readonly uncovered: "leave" | "extrapolate";
  /** Share of surface with data below which the balance has no remainder (unless extrapolated). */
  readonly smallestCoveredShare: number;
  /** The table of segment coefficients; a study may bring its own. */
  readonly table: SegmentTable;
  /** One convective coefficient for all segments instead of the table's, W/(m²·K); null for the table's. */
  readonly wholeBodyConvection: number | null;
  readonly uncertainty: BudgetUncertainty;
}

export const heatBudgetDefaults: HeatBudgetSettings = {
  respiration: "ASHRAE",
  specificHeat: specificHeatOfBody,
  storageOverS: 300,
  uncovered: "leave",
  smallestCoveredShare: 0.95,
  table: segmentTable,
  wholeBodyConvection: null,
  // Common practice for a room that is measured and a camera that is checked; the model's share after published
  // disagreement between sets of segment coefficients (30 to 50 % for one segment).
  uncertainty: {
    skinCommonC: 0.5,
    skinSegmentC: 0.3,
    airC: 0.3,
    radiantC: 0.5,
    airSpeed: 0.05,
    surfaceAreaShare: 0.03,
    convectionShare: 0.3,
    radiationShare: 0.1,
    metabolicShare: 0.05,
    externalShare: 0.02,
    storageW: 20,
  },
};
