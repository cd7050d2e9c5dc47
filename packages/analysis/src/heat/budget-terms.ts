import type { Segment } from "../skin";
import { type RespirationForm, respiratoryLoss } from "./respiratory-loss";
import { type Posture, type SegmentTable, segmentConvection } from "./segment-coefficients";

/** What the terms of the balance at one moment, or over one phase, are computed from. */
export interface BudgetState {
  /** °C per segment with data. */
  readonly skinC: ReadonlyMap<Segment, number>;
  readonly airC: number;
  readonly radiantC: number;
  readonly airSpeed: number;
  readonly vapourPressureKPa: number;
  readonly surfaceAreaM2: number;
  readonly metabolicW: number | null;
  readonly externalW: number | null;
  readonly storageW: number | null;
  /** Factors on the coefficients; 1 but for the propagation of their uncertainty. */
  readonly convectionFactor: number;
  readonly radiationFactor: number;
}

export interface BudgetModel {
  readonly posture: Posture;
  readonly table: SegmentTable;
  /** Area shares of the segments, summing to 1. */
  readonly shares: Readonly<Record<Segment, number>>;
  readonly respiration: RespirationForm;
  /** What surface without data counts as: nothing, or the mean loss per area of the surface with data. */
  readonly uncovered: "leave" | "extrapolate";
  /** Convective coefficient of all segments instead of the table's, in W/(m²·K). */
  readonly wholeBodyConvection: number | null;
}

export interface SegmentLoss {
  readonly segment: Segment;
  readonly convectionW: number;
  readonly radiationW: number;
}

export interface BudgetTerms {
  readonly segments: readonly SegmentLoss[];
  /** Share of the body's surface whose segments have data, 0 to 1. */
  readonly coveredShare: number;
  /** Of the surface with data, or of the whole where that is extrapolated; null where no segment has data. */
  readonly convectionW: number | null;
  readonly radiationW: number | null;
  /** By breathing: warming and moistening of air. Null without metabolic power. */
  readonly respirationW: number | null;
  /** Metabolic minus external power minus all the above minus storage; null where one of them is. */
  readonly remainderW: number | null;
}

export function budgetTerms(state: BudgetState, model: BudgetModel): BudgetTerms {
  const { surfaceAreaM2: area } = state;
  const segments: SegmentLoss[] = [];
  let coveredShare = 0;
  let convection = 0;
  let radiation = 0;
  for (const [segment, skin] of state.skinC) {
    const share = model.shares[segment];
    const coefficient =
      model.wholeBodyConvection ?? segmentConvection(segment, model.posture, state.airSpeed, model.table);
    const convectionW = state.convectionFactor * coefficient * (skin - state.airC) * share * area;
    const radiant = model.table[segment].radiant[model.posture];
    const radiationW = state.radiationFactor * radiant * (skin - state.radiantC) * share * area;
    segments.push({ segment, convectionW, radiationW });
    coveredShare += share;
    convection += convectionW;
    radiation += radiationW;
  }
  const extend = model.uncovered === "extrapolate" && coveredShare > 0 ? 1 / coveredShare : 1;
  const convectionW = coveredShare > 0 ? convection * extend : null;
  const radiationW = coveredShare > 0 ? radiation * extend : null;
  const respirationW =
    state.metabolicW === null ? null : breathing(state, state.metabolicW, model.respiration);
  const { metabolicW, externalW, storageW } = state;
  const produced = metabolicW === null || externalW === null ? null : metabolicW - externalW;
  const remainderW = [convectionW, radiationW, respirationW, storageW].reduce(
    (left, term) => (left === null || term === null ? null : left - term),
    produced,
  );
  return { segments, coveredShare, convectionW, radiationW, respirationW, remainderW };
}

function breathing(state: BudgetState, metabolicW: number, form: RespirationForm): number {
  const { surfaceAreaM2, airC, vapourPressureKPa } = state;
  const { convection, evaporation } = respiratoryLoss(
    metabolicW / surfaceAreaM2,
    airC,
    vapourPressureKPa,
    form,
  );
  return (convection + evaporation) * surfaceAreaM2;
}
