import type { DisclosureRule } from "./disclosure-rule";
import type { RefusedPlace } from "./errors";

export type BodyColumn = "sex" | "age" | "height" | "mass";

/** How one column of body data is coarsened in a release. */
export interface ColumnCoarsening {
  readonly column: BodyColumn;
  /** 0 is the finest that is ever released. */
  readonly level: number;
  /** In words: "as recorded", "5 cm bands", "not released". */
  readonly words: string;
  /** 0 (nothing lost) to 1 (column blank). */
  readonly loss: number;
}

export interface Refusal extends RefusedPlace {
  readonly code: "too few volunteers" | "nobody left" | "no trials" | "text";
}

export interface WithheldNumbers {
  readonly what: "measure" | "trace";
  readonly name: string;
  readonly unit: string;
  readonly count: number;
  readonly reason: string;
}

/**
 * What a release would show and hide. It is for the people of the study: `leftOut` carries internal keys. What goes
 * into the package is `publicReport` of it.
 */
export interface DisclosureReport {
  /** Ties the report to the input that it was made from; `writeRelease` refuses any other. */
  readonly fingerprint: string;
  readonly rule: DisclosureRule;
  /** Empty when the release may be made. */
  readonly refusals: readonly Refusal[];
  readonly warnings: readonly string[];
  readonly volunteers: { readonly offered: number; readonly released: number };
  readonly trials: { readonly offered: number; readonly released: number };
  readonly leftOut: readonly { readonly key: string; readonly reason: string }[];
  /** With exact sex, age, height and mass, as they stand in the study. */
  readonly before: { readonly smallestGroup: number; readonly uniqueVolunteers: number };
  /** With the coarsened columns, over the volunteers who are released. Null when refused. */
  readonly after: {
    readonly smallestGroup: number;
    readonly groups: number;
    /** 1 / smallest group: the greatest chance of picking the right row for a known volunteer. */
    readonly greatestRisk: number;
    /** groups / volunteers: the mean of that chance over the volunteers. */
    readonly meanRisk: number;
    /** Smallest group for somebody who also knows which conditions and occasions a volunteer did. */
    readonly smallestGroupKnowingTrials: number;
  } | null;
  readonly columns: readonly ColumnCoarsening[];
  /** Mean loss per body cell from 0 to 1, with the cost of leaving out. */
  readonly loss: number;
  /** The best choice in which nobody is left out, to compare. Null when somebody has to be, or nobody is. */
  readonly withoutLeavingOut: { readonly columns: readonly ColumnCoarsening[]; readonly loss: number } | null;
  /** The body rows that would go out, as groups. */
  readonly groups: readonly {
    readonly cells: Readonly<Record<BodyColumn, string>>;
    readonly volunteers: number;
  }[];
  readonly withheld: readonly WithheldNumbers[];
  /** What an attacker may still learn, in plain words. */
  readonly remainingRisks: readonly string[];
}
