import { AnalysisError } from "../analysis-error";
import { regionById } from "./region-catalogue";
import type { Weighting, WeightingId } from "./weighting";

/** What is done when a position of the weighting has no region: refuse, or share its weight among the rest. */
export type MissingSitePolicy = "error" | "renormalise";

export interface PositionUse {
  readonly position: string;
  /** The weight that was applied, after any renormalising. */
  readonly weight: number;
  readonly regionIds: readonly string[];
  readonly departure: string | null;
}

export interface WeightingUse {
  readonly weightingId: WeightingId;
  readonly policy: MissingSitePolicy;
  readonly positions: readonly PositionUse[];
  /** Positions without any region. */
  readonly missing: readonly string[];
  /** True when the weights are not the published ones: the number is not the author's mean skin temperature. */
  readonly renormalised: boolean;
}

/** A position with the series that fill it: sites, then sides of a site, then regions of a side. */
export interface FilledPosition {
  readonly name: string;
  readonly weight: number;
  readonly sites: readonly (readonly (readonly Float64Array[])[])[];
  readonly regionIds: readonly string[];
  readonly departure: string | null;
}

export interface FilledWeighting {
  readonly positions: readonly FilledPosition[];
  readonly missing: readonly string[];
}

function bySide(ids: readonly string[], given: ReadonlyMap<string, Float64Array>): Float64Array[][] {
  const sides = new Map<string, Float64Array[]>();
  for (const id of ids) {
    const values = given.get(id);
    if (values === undefined) continue;
    const { side } = regionById(id);
    const ofSide = sides.get(side);
    if (ofSide === undefined) sides.set(side, [values]);
    else ofSide.push(values);
  }
  return [...sides.values()];
}

/** Fills each position with the first of its choices of which every site is given. */
export function fillWeighting(
  weighting: Weighting,
  given: ReadonlyMap<string, Float64Array>,
): FilledWeighting {
  const positions: FilledPosition[] = [];
  const missing: string[] = [];
  for (const { name, weight, choices } of weighting.positions) {
    const choice = choices.find(({ groups }) => groups.every((group) => group.some((id) => given.has(id))));
    if (choice === undefined) {
      missing.push(name);
      continue;
    }
    positions.push({
      name,
      weight,
      sites: choice.groups.map((group) => bySide(group, given)),
      regionIds: choice.groups.flat().filter((id) => given.has(id)),
      departure: choice.departure,
    });
  }
  return { positions, missing };
}

/** Throws unless every position is filled, or the policy allows gaps and at least one position is filled. */
export function requireFilled(
  functionName: string,
  argument: string,
  weighting: Weighting,
  policy: MissingSitePolicy,
  { positions, missing }: FilledWeighting,
): void {
  if (missing.length === 0) return;
  const names = missing.join(", ");
  if (positions.length === 0) {
    throw new AnalysisError(
      "missing",
      functionName,
      argument,
      `a region for at least one site of ${weighting.label}; none was given for ${names}`,
    );
  }
  switch (policy) {
    case "renormalise":
      return;
    case "error":
      throw new AnalysisError(
        "missing",
        functionName,
        argument,
        `a region for every site of ${weighting.label}; missing: ${names}. Record them, choose another weighting, or renormalise the remaining weights on purpose`,
      );
  }
}

export function weightingUse(
  weighting: Weighting,
  policy: MissingSitePolicy,
  { positions, missing }: FilledWeighting,
): WeightingUse {
  const present = missing.length === 0 ? 1 : positions.reduce((sum, position) => sum + position.weight, 0);
  return {
    weightingId: weighting.id,
    policy,
    positions: positions.map(({ name, weight, regionIds, departure }) => ({
      position: name,
      weight: weight / present,
      regionIds,
      departure,
    })),
    missing,
    renormalised: missing.length > 0,
  };
}
