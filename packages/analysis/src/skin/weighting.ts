import type { Aspect, Region, Side, Site } from "./region";
import { regions } from "./region-catalogue";
import { type Term, type WeightingId, type WeightingRow, weightingRows } from "./weighting-table";

/** One way of filling a position of a weighting from regions of the catalogue. */
export interface PositionChoice {
  /**
   * Groups that are averaged with equal weight, each group being one site: its regions are averaged per side first, then
   * the sides. Every group must be present for the choice to serve.
   */
  readonly groups: readonly (readonly string[])[];
  /** How this choice departs from what the author named, or null when it does not. */
  readonly departure: string | null;
}

export interface WeightingPosition {
  readonly name: string;
  readonly weight: number;
  /** In order of preference; the first one whose regions are present is used. */
  readonly choices: readonly PositionChoice[];
}

export interface Weighting {
  readonly id: WeightingId;
  readonly label: string;
  readonly source: string;
  /** The conditions it is meant for, in words. */
  readonly conditions: string;
  readonly positions: readonly WeightingPosition[];
}

export type { WeightingId };

/**
 * The aspects that may stand for a site, best first. A sensor or image region named "whole" covers the site; the rest is
 * common practice for where the sensor sits.
 */
const aspectPreference: Partial<Record<Site, readonly Aspect[]>> = {
  "upper arm": ["lateral", "whole", "anterior", "posterior", "medial"],
  forearm: ["lateral", "anterior", "whole", "posterior", "medial"],
  elbow: ["posterior", "lateral", "anterior"],
  hand: ["dorsal", "whole", "palmar"],
  thigh: ["anterior", "whole", "lateral", "medial", "posterior"],
  calf: ["posterior", "lateral", "whole", "medial"],
  foot: ["dorsal", "whole", "plantar"],
  neck: ["posterior", "lateral", "anterior"],
};

function regionsAt(site: Site, aspect: Aspect | null, side: Side | null): readonly Region[] {
  return regions.filter(
    (region) =>
      region.site === site &&
      (aspect === null || region.aspect === aspect) &&
      (side === null || region.side === side),
  );
}

/** The groups that a term can be filled with, best first. */
function choicesOfTerm(term: Term): PositionChoice[] {
  const aspects = term.aspect === undefined ? (aspectPreference[term.site] ?? [null]) : [term.aspect];
  const choices: PositionChoice[] = [];
  const add = (found: readonly Region[], departure: string | null) => {
    if (found.length > 0) choices.push({ groups: [found.map((region) => region.id)], departure });
  };
  for (const aspect of aspects) add(regionsAt(term.site, aspect, term.side ?? null), term.departure ?? null);
  if (term.side !== undefined) {
    const other = term.side === "left" ? "right" : "left";
    const departure = `the standard names the ${term.side} side; the ${other} side was used`;
    for (const aspect of aspects) add(regionsAt(term.site, aspect, other), departure);
    for (const aspect of aspects) add(regionsAt(term.site, aspect, "midline"), "a midline region was used");
  }
  return choices;
}

/** Every combination of the choices of several sites that are averaged together. */
function combined(terms: readonly Term[], departure: string | null): PositionChoice[] {
  return terms.reduce<PositionChoice[]>(
    (partial, term) =>
      partial.flatMap((first) =>
        choicesOfTerm(term).map((next) => ({
          groups: [...first.groups, ...next.groups],
          departure: first.departure ?? next.departure,
        })),
      ),
    [{ groups: [], departure }],
  );
}

function weightingOf(row: WeightingRow): Weighting {
  return {
    id: row.id,
    label: row.label,
    source: row.source,
    conditions: row.conditions,
    positions: row.positions.map(({ name, weight, alternatives }) => ({
      name,
      weight,
      choices: alternatives.flatMap((alternative) =>
        combined(alternative.average, alternative.departure ?? null),
      ),
    })),
  };
}

/** The published weightings of mean skin temperature. Each one's weights sum to 1. */
export const weightings: readonly Weighting[] = weightingRows.map(weightingOf);

/** The weightings, and their positions, that a region can serve. */
export function positionsServedBy(
  regionId: string,
): readonly { readonly weightingId: WeightingId; readonly position: string }[] {
  return weightings.flatMap((weighting) =>
    weighting.positions
      .filter((position) =>
        position.choices.some((choice) => choice.groups.some((group) => group.includes(regionId))),
      )
      .map((position) => ({ weightingId: weighting.id, position: position.name })),
  );
}
