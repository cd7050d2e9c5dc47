import type { FigureTable } from "./figure-table";
import type { SeriesSign } from "./series-sign";

/** One value of one recording, on the day of the recording. */
export interface DayPoint {
  readonly id: string;
  /** In the order in which it sorts: "2026-03-14". */
  readonly day: string;
  /** What was recorded: "0007 · bare hands · occasion 1". */
  readonly label: string;
  /** The id of its group. */
  readonly group: string;
  readonly value: number;
}

/** What points are told apart by: an instrument, a condition. */
export interface DayGroup {
  readonly id: string;
  readonly label: string;
  readonly sign: SeriesSign;
}

export interface PlacedDayPoint extends DayPoint {
  /** Place on the axis: days are one apart, the points of one day side by side within it. */
  readonly x: number;
}

export interface Day {
  readonly day: string;
  readonly x: number;
  readonly count: number;
  readonly median: number;
}

/** Half the width that the points of one day may take, where days are one apart. */
const reach = 0.32;

/**
 * Places points by the day: the days on which something was recorded stand one apart, however long nothing was, so that a
 * pattern from recording to recording is seen.
 */
export function placeByDay(points: readonly DayPoint[]): {
  readonly points: readonly PlacedDayPoint[];
  readonly days: readonly Day[];
} {
  const byDay = new Map<string, DayPoint[]>();
  for (const point of points) {
    const others = byDay.get(point.day);
    if (others === undefined) byDay.set(point.day, [point]);
    else others.push(point);
  }
  const days = [...byDay.entries()].sort(([a], [b]) => (a < b ? -1 : 1));
  const placed = days.flatMap(([, members], x) =>
    [...members]
      .sort((a, b) => a.group.localeCompare(b.group) || a.label.localeCompare(b.label))
      .map((point, index) => ({
        ...point,
        x: x + (members.length < 2 ? 0 : (index / (members.length - 1) - 0.5) * 2 * reach),
      })),
  );
  return {
    points: placed,
    days: days.map(([day, members], x) => ({
      day,
      x,
      count: members.length,
      median: medianOf(members.map(({ value }) => value)),
    })),
  };
}

function medianOf(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const middle = sorted.length >> 1;
  const upper = sorted[middle] ?? Number.NaN;
  return sorted.length % 2 === 1 ? upper : ((sorted[middle - 1] ?? upper) + upper) / 2;
}

export function dayTable(
  points: readonly DayPoint[],
  groups: readonly DayGroup[],
  quantity: string,
  unit: string,
  digits: number,
): FigureTable {
  const names = new Map(groups.map(({ id, label }) => [id, label]));
  return {
    columns: [
      { label: "Day" },
      { label: "Recording" },
      { label: "Group" },
      { label: quantity, unit, digits },
    ],
    rows: placeByDay(points).points.map((point) => [
      point.day,
      point.label,
      names.get(point.group) ?? point.group,
      point.value,
    ]),
  };
}
