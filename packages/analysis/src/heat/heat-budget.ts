import { AnalysisError } from "../analysis-error";
import { heatStorage } from "../body";
import type { Segment } from "../skin";
import { type BudgetModel, type BudgetState, type BudgetTerms, budgetTerms } from "./budget-terms";
import { type PhaseUncertainty, propagateBudget } from "./budget-uncertainty";
import {
  type BudgetPhase,
  type HeatBudgetInput,
  type HeatBudgetSettings,
  heatBudgetDefaults,
} from "./heat-budget-input";
import { requireCelsius, requireWithin } from "./require-number";
import { segmentAreas } from "./segment-coefficients";
import type { SegmentSeries } from "./segment-temperatures";

export interface BudgetCourse {
  /** W per bin, loss positive; NaN where not known. */
  readonly convectionW: Float64Array;
  readonly radiationW: Float64Array;
  readonly respirationW: Float64Array;
  readonly storageW: Float64Array;
  readonly remainderW: Float64Array;
  readonly coveredShare: Float64Array;
  /** Convection and radiation per segment with data. */
  readonly segments: Partial<
    Readonly<Record<Segment, { readonly convectionW: Float64Array; readonly radiationW: Float64Array }>>
  >;
}

export interface PhaseBudget extends BudgetTerms {
  readonly name: string;
  readonly durationS: number;
  readonly metabolicW: number | null;
  readonly externalW: number | null;
  readonly storageW: number | null;
  /** Why there is no remainder. */
  readonly remainderReason?: string;
  /** Standard uncertainties of the terms, and what each input contributes. */
  readonly uncertainty: PhaseUncertainty;
}

export interface HeatBudget {
  readonly course: BudgetCourse;
  readonly phases: readonly PhaseBudget[];
  readonly settings: HeatBudgetSettings;
}

function check(input: HeatBudgetInput): number {
  const name = "heatBudget";
  const { surroundings, surfaceAreaM2, massKg, binS } = input;
  requireCelsius(name, "surroundings", surroundings.airC);
  requireCelsius(name, "surroundings", surroundings.radiantC);
  requireWithin(name, "surroundings", surroundings.airSpeed, 0, 15, "an air speed in m/s");
  requireWithin(name, "surroundings", surroundings.vapourPressureKPa, 0, 20, "a vapour pressure in kPa");
  requireWithin(name, "surfaceAreaM2", surfaceAreaM2, 0.1, 5, "a surface area in m²");
  requireWithin(name, "massKg", massKg, 1, 700, "a mass in kg");
  requireWithin(name, "binS", binS, 0.01, 3600, "a bin width in s");
  const { metabolicPower, externalPower, meanBodyTemperature } = input;
  const all = [...Object.values(input.segments), metabolicPower, externalPower, meanBodyTemperature];
  const lengths = new Set(all.flatMap((values) => (values === undefined ? [] : [values.length])));
  if (lengths.size > 1) {
    const requirement = `series on one grid; their lengths are ${[...lengths].join(", ")}`;
    throw new AnalysisError("unequal lengths", name, "segments", requirement);
  }
  return [...lengths][0] ?? 0;
}

const finiteOrNull = (value: number | undefined) =>
  value !== undefined && Number.isFinite(value) ? value : null;

/** Mean of the finite values of some bins; null without any. */
function meanOver(values: Float64Array | undefined, from: number, to: number): number | null {
  let sum = 0;
  let count = 0;
  for (let i = from; i < to; i++) {
    const value = values?.[i] ?? Number.NaN;
    if (!Number.isFinite(value)) continue;
    sum += value;
    count++;
  }
  return count === 0 ? null : sum / count;
}

/** Change of mean body temperature across some bins, from the means of their first and last fifths. */
function storageAcross(
  input: HeatBudgetInput,
  from: number,
  to: number,
  specificHeat: number,
): number | null {
  const fifth = Math.max(1, Math.floor((to - from) / 5));
  if (to - from < 2) return null;
  const first = meanOver(input.meanBodyTemperature, from, from + fifth);
  const last = meanOver(input.meanBodyTemperature, to - fifth, to);
  if (first === null || last === null) return null;
  return heatStorage(input.massKg, last - first, (to - from - fifth) * input.binS, specificHeat);
}

function remainderReason(
  terms: BudgetTerms,
  state: BudgetState,
  settings: HeatBudgetSettings,
): string | null {
  if (state.metabolicW === null) return "metabolic power is not known";
  if (state.externalW === null) return "external power is not known";
  if (state.storageW === null) return "heat storage is not known without core temperature";
  if (terms.coveredShare === 0) return "no segment has data";
  if (settings.uncovered === "leave" && terms.coveredShare < settings.smallestCoveredShare) {
    return `only ${Math.round(terms.coveredShare * 100)} % of the surface has data`;
  }
  return null;
}

function finish(terms: BudgetTerms, reason: string | null): BudgetTerms {
  return reason === null ? terms : { ...terms, remainderW: null };
}

/**
 * Heat balance of a bare body over time and per phase, in W, loss positive:
 * metabolic − external = convection + radiation + respiration + storage + remainder.
 *
 * Convection and radiation are computed per segment (Ichihara et al. 1997, or the study's own table) and summed over the
 * segments with data, whose share of the surface stands beside them. Segments without data stay without: nothing is
 * filled in unless `uncovered` is set to `extrapolate`. The remainder is evaporation together with everything unexplained;
 * it is not a measurement, and where the balance is incomplete it is null with the reason. Clothing is not modelled: a
 * covered segment must be left out.
 *
 * Source of the balance: ASHRAE Handbook of Fundamentals, Thermal comfort; ISO 7933.
 *
 * @throws AnalysisError `out of range` for the room or the body, `unequal lengths` for series not on one grid
 */
export function heatBudget(input: HeatBudgetInput): HeatBudget {
  const length = check(input);
  const settings: HeatBudgetSettings = { ...heatBudgetDefaults, ...input.settings };
  const shares = segmentAreas(1, settings.table);
  const { respiration, uncovered, table, wholeBodyConvection } = settings;
  const { posture } = input.surroundings;
  const model: BudgetModel = { posture, table, shares, respiration, uncovered, wholeBodyConvection };
  return {
    course: budgetCourse(input, length, model, settings),
    phases: input.phases.map((phase) => phaseBudget(input, phase, length, model, settings)),
    settings,
  };
}

function stateOf(
  input: HeatBudgetInput,
  skinC: Map<Segment, number>,
  powers: Pick<BudgetState, "metabolicW" | "externalW" | "storageW">,
): BudgetState {
  const { airC, radiantC, airSpeed, vapourPressureKPa } = input.surroundings;
  const { surfaceAreaM2 } = input;
  return {
    skinC,
    airC,
    radiantC,
    airSpeed,
    vapourPressureKPa,
    surfaceAreaM2,
    convectionFactor: 1,
    radiationFactor: 1,
    ...powers,
  };
}

function entriesOf(series: SegmentSeries): [Segment, Float64Array][] {
  return Object.entries(series) as [Segment, Float64Array][];
}

function budgetCourse(
  input: HeatBudgetInput,
  length: number,
  model: BudgetModel,
  settings: HeatBudgetSettings,
): BudgetCourse {
  const empty = () => new Float64Array(length).fill(Number.NaN);
  const entries = entriesOf(input.segments);
  const perSegment = new Map(
    entries.map(([segment]) => [segment, { convectionW: empty(), radiationW: empty() }]),
  );
  const course = {
    convectionW: empty(),
    radiationW: empty(),
    respirationW: empty(),
    storageW: empty(),
    remainderW: empty(),
    coveredShare: empty(),
  };
  const half = Math.max(1, Math.round(settings.storageOverS / input.binS / 2));
  for (let i = 0; i < length; i++) {
    const skinC = new Map<Segment, number>();
    for (const [segment, values] of entries) {
      const value = values[i] as number;
      if (Number.isFinite(value)) skinC.set(segment, value);
    }
    const around = i - half >= 0 && i + half < length;
    const storageW = around ? storageAcross(input, i - half, i + half + 1, settings.specificHeat) : null;
    const metabolicW = finiteOrNull(input.metabolicPower?.[i]);
    const externalW = finiteOrNull(input.externalPower?.[i]);
    const state = stateOf(input, skinC, { metabolicW, externalW, storageW });
    const all = budgetTerms(state, model);
    const terms = finish(all, remainderReason(all, state, settings));
    course.coveredShare[i] = terms.coveredShare;
    course.respirationW[i] = terms.respirationW ?? Number.NaN;
    course.storageW[i] = storageW ?? Number.NaN;
    course.remainderW[i] = terms.remainderW ?? Number.NaN;
    course.convectionW[i] = terms.convectionW ?? Number.NaN;
    course.radiationW[i] = terms.radiationW ?? Number.NaN;
    for (const { segment, convectionW, radiationW } of terms.segments) {
      const into = perSegment.get(segment);
      if (into === undefined) continue;
      into.convectionW[i] = convectionW;
      into.radiationW[i] = radiationW;
    }
  }
  return { ...course, segments: Object.fromEntries(perSegment) };
}

/** Bins wholly within a phase. */
function binsOf(input: HeatBudgetInput, phase: BudgetPhase, length: number): { from: number; to: number } {
  if (!(phase.toS > phase.fromS)) {
    const requirement = `phases that end after they begin; "${phase.name}" runs from ${phase.fromS} to ${phase.toS} s`;
    throw new AnalysisError("out of range", "heatBudget", "phases", requirement);
  }
  const from = Math.max(0, Math.ceil(phase.fromS / input.binS - 1e-9) - input.firstBin);
  const to = Math.min(length, Math.floor(phase.toS / input.binS + 1e-9) - input.firstBin);
  return { from, to: Math.max(from, to) };
}

/** The exchange is linear in skin temperature, so that its mean over a phase is that of the mean temperature. */
function phaseBudget(
  input: HeatBudgetInput,
  phase: BudgetPhase,
  length: number,
  model: BudgetModel,
  settings: HeatBudgetSettings,
): PhaseBudget {
  const { from, to } = binsOf(input, phase, length);
  const skinC = new Map<Segment, number>();
  for (const [segment, values] of entriesOf(input.segments)) {
    const mean = meanOver(values, from, to);
    if (mean !== null) skinC.set(segment, mean);
  }
  const metabolicW = meanOver(input.metabolicPower, from, to);
  const externalW = meanOver(input.externalPower, from, to);
  const storageW = storageAcross(input, from, to, settings.specificHeat);
  const state = stateOf(input, skinC, { metabolicW, externalW, storageW });
  const all = budgetTerms(state, model);
  const reason = remainderReason(all, state, settings);
  const terms = finish(all, reason);
  const uncertainty = propagateBudget(state, model, settings.uncertainty, reason === null);
  return {
    name: phase.name,
    durationS: phase.toS - phase.fromS,
    ...terms,
    metabolicW,
    externalW,
    storageW,
    ...(reason === null ? {} : { remainderReason: reason }),
    uncertainty,
  };
}
