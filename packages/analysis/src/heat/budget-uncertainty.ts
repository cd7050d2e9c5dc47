import type { Segment } from "../skin";
import { type BudgetModel, type BudgetState, type BudgetTerms, budgetTerms } from "./budget-terms";
import { type Propagated, propagate, type Uncertain } from "./propagate";

/** Standard uncertainties (one standard deviation) of what a balance is computed from. */
export interface BudgetUncertainty {
  /** Of the camera as a whole, the same for all segments, °C. */
  readonly skinCommonC: number;
  /** Of each segment's temperature apart from that, °C. */
  readonly skinSegmentC: number;
  readonly airC: number;
  readonly radiantC: number;
  /** m/s */
  readonly airSpeed: number;
  /** Share of the surface area. */
  readonly surfaceAreaShare: number;
  /** Share of the convective coefficients, all together: the model's own uncertainty. */
  readonly convectionShare: number;
  /** Share of the radiant coefficients, all together. */
  readonly radiationShare: number;
  /** Share of metabolic power. */
  readonly metabolicShare: number;
  /** Share of external power. */
  readonly externalShare: number;
  /** Of heat storage, W. */
  readonly storageW: number;
}

type SharedInput =
  | "camera"
  | "airC"
  | "radiantC"
  | "airSpeed"
  | "surfaceArea"
  | "convection coefficients"
  | "radiant coefficients"
  | "metabolic power"
  | "external power"
  | "storage";

export type BudgetInputName = SharedInput | `skin of ${Segment}`;

export interface PhaseUncertainty {
  readonly convectionW: Propagated<BudgetInputName> | null;
  readonly radiationW: Propagated<BudgetInputName> | null;
  readonly dryW: Propagated<BudgetInputName> | null;
  readonly remainderW: Propagated<BudgetInputName> | null;
}

/** The inputs of a balance with their standard uncertainties; those that segments share are single inputs. */
export function budgetInputs(
  state: BudgetState,
  uncertainty: BudgetUncertainty,
): Readonly<Record<BudgetInputName, Uncertain>> {
  const metabolic = state.metabolicW ?? 0;
  const external = state.externalW ?? 0;
  const shared: Record<SharedInput, Uncertain> = {
    camera: { value: 0, sd: uncertainty.skinCommonC },
    airC: { value: state.airC, sd: uncertainty.airC },
    radiantC: { value: state.radiantC, sd: uncertainty.radiantC },
    airSpeed: { value: state.airSpeed, sd: uncertainty.airSpeed },
    surfaceArea: { value: state.surfaceAreaM2, sd: uncertainty.surfaceAreaShare * state.surfaceAreaM2 },
    "convection coefficients": { value: 1, sd: uncertainty.convectionShare },
    "radiant coefficients": { value: 1, sd: uncertainty.radiationShare },
    "metabolic power": { value: metabolic, sd: uncertainty.metabolicShare * metabolic },
    "external power": { value: external, sd: uncertainty.externalShare * Math.abs(external) },
    storage: { value: state.storageW ?? 0, sd: state.storageW === null ? 0 : uncertainty.storageW },
  };
  const skin = [...state.skinC].map(([segment, value]) => [
    `skin of ${segment}`,
    { value, sd: uncertainty.skinSegmentC },
  ]);
  return { ...shared, ...Object.fromEntries(skin) };
}

/** The balance for one draw of its inputs. */
export function budgetFromInputs(
  state: BudgetState,
  model: BudgetModel,
  drawn: Readonly<Record<BudgetInputName, number>>,
): BudgetTerms {
  const skinC = new Map(
    [...state.skinC.keys()].map((segment) => [segment, drawn[`skin of ${segment}`] + drawn.camera] as const),
  );
  return budgetTerms(
    {
      skinC,
      airC: drawn.airC,
      radiantC: drawn.radiantC,
      // An air speed cannot be negative: below zero lies still air.
      airSpeed: Math.max(0, drawn.airSpeed),
      vapourPressureKPa: state.vapourPressureKPa,
      surfaceAreaM2: drawn.surfaceArea,
      metabolicW: state.metabolicW === null ? null : drawn["metabolic power"],
      externalW: state.externalW === null ? null : drawn["external power"],
      storageW: state.storageW === null ? null : drawn.storage,
      convectionFactor: drawn["convection coefficients"],
      radiationFactor: drawn["radiant coefficients"],
    },
    model,
  );
}

/** First-order uncertainty of the terms of a phase; null for a term that is not known. */
export function propagateBudget(
  state: BudgetState,
  model: BudgetModel,
  uncertainty: BudgetUncertainty,
  hasRemainder: boolean,
): PhaseUncertainty {
  const none = { convectionW: null, radiationW: null, dryW: null, remainderW: null };
  if (state.skinC.size === 0) return none;
  const inputs = budgetInputs(state, uncertainty);
  const of = (pick: (terms: BudgetTerms) => number | null) =>
    propagate((drawn) => pick(budgetFromInputs(state, model, drawn)) ?? Number.NaN, inputs);
  return {
    convectionW: of((terms) => terms.convectionW),
    radiationW: of((terms) => terms.radiationW),
    dryW: of((terms) => dryLoss(terms)),
    remainderW: hasRemainder ? of((terms) => terms.remainderW) : null,
  };
}

function dryLoss({ convectionW, radiationW }: BudgetTerms): number | null {
  return convectionW === null || radiationW === null ? null : convectionW + radiationW;
}
