import type { FigureTable } from "./figure-table";
import type { SeriesSign } from "./series-sign";

export interface PairedCondition {
  readonly label: string;
  readonly sign: SeriesSign;
  /** Mean over the pairs and the limits of its interval. */
  readonly mean?: { readonly value: number; readonly low: number; readonly high: number };
}

/** One volunteer's values in both conditions. */
export interface Pair {
  /** The volunteer code. */
  readonly code: string;
  readonly first: number;
  readonly second: number;
}

export interface MeanDifference {
  readonly value: number;
  readonly low: number;
  readonly high: number;
}

export function pairedTable(
  pairs: readonly Pair[],
  conditions: readonly [PairedCondition, PairedCondition],
  unit: string,
  digits: number,
): FigureTable {
  const [first, second] = conditions;
  return {
    columns: [
      { label: "Volunteer" },
      { label: first.label, unit, digits },
      { label: second.label, unit, digits },
      { label: `${second.label} − ${first.label}`, unit, digits },
    ],
    rows: pairs.map((pair) => [pair.code, pair.first, pair.second, pair.second - pair.first]),
  };
}
