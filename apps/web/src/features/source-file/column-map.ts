import type { Outputs } from "@/trpc/outputs";

export type ProposalAnswer = Outputs["sourceFile"]["proposal"];
export type Proposal = NonNullable<ProposalAnswer["proposal"]>;
export type ColumnMap = Proposal["columnMap"];
export type Choices = ProposalAnswer["choices"];
export type MappedColumn = ColumnMap["columns"][number];
export type MappedSeries = ColumnMap["series"][number];
export type ColumnUse = MappedColumn["use"];
export type TimeOfMap = ColumnMap["time"];

/** The choices of a map as the server lists them, narrowed to what the map itself may hold. */
export function oneOf<T extends string>(choices: readonly T[], text: string): T | null {
  return choices.find((choice) => choice === text) ?? null;
}

/** The units that a use can have; none for columns that hold no quantity. */
export function unitsOf(use: ColumnUse, choices: Choices): readonly string[] {
  switch (use.kind) {
    case "region":
      return choices.temperatureUnits;
    case "channel":
      return choices.channels.find(({ channel }) => channel === use.channel)?.units ?? [];
    case "time":
    case "ignore":
    case "key":
    case "value":
      return [];
  }
}

/** A unit that fits the use: the present one where it does, else the usual one. */
export function fittingUnit(use: ColumnUse, unit: string | null, choices: Choices): string | null {
  const units = unitsOf(use, choices);
  if (unit !== null && units.includes(unit)) return unit;
  return units[0] ?? null;
}

/**
 * The map with a column used otherwise. A new time column takes the place of the old one; only a date and a time of day
 * may stand in two columns.
 */
export function withColumnUse(map: ColumnMap, index: number, use: ColumnUse, choices: Choices): ColumnMap {
  const isTime = use.kind === "time";
  const others = map.time.columns.filter((column) => column !== index);
  const kept = isTime && map.time.format === "date and time" ? others.slice(0, 1) : isTime ? [] : others;
  const columns = map.columns.map((column): MappedColumn => {
    if (column.index === index) return { ...column, use, unit: fittingUnit(use, column.unit, choices) };
    const dropped = column.use.kind === "time" && !kept.includes(column.index);
    return dropped ? { ...column, use: { kind: "ignore" }, unit: null } : column;
  });
  const timeColumns = isTime ? [...kept, index].sort((a, b) => a - b) : kept;
  return { ...map, columns, time: { ...map.time, columns: timeColumns } };
}

export function withColumnUnit(map: ColumnMap, index: number, unit: string): ColumnMap {
  return {
    ...map,
    columns: map.columns.map((column) => (column.index === index ? { ...column, unit } : column)),
  };
}

export function withSeries(map: ColumnMap, index: number, change: Partial<MappedSeries>): ColumnMap {
  return { ...map, series: map.series.map((series, i) => (i === index ? { ...series, ...change } : series)) };
}

const marks: Readonly<Record<string, string>> = {
  ",": "comma ,",
  ";": "semicolon ;",
  "\t": "tab",
  "|": "bar |",
  spaces: "spaces",
  "wide spaces": "two or more spaces",
  ".": "point .",
  " ": "space",
  "'": "apostrophe '",
};

/** A sign that can hardly be seen, by its name. */
export function markName(mark: string): string {
  return marks[mark] ?? mark;
}
