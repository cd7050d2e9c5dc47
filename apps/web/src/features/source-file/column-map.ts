import { z } from "zod";
import type { Outputs } from "@/trpc/outputs";

export type ProposalAnswer = Outputs["sourceFile"]["proposal"];
export type Proposal = NonNullable<ProposalAnswer["proposal"]>;
export type ColumnMap = Proposal["columnMap"];
export type Choices = ProposalAnswer["choices"];
export type MappedColumn = ColumnMap["columns"][number];
export type MappedSeries = ColumnMap["series"][number];
export type ColumnUse = MappedColumn["use"];
export type TimeOfMap = ColumnMap["time"];

/** What somebody enters of a file: the map, and what becomes of it. */
export interface MapEntry {
  readonly map: ColumnMap;
  readonly name: string;
  readonly keep: boolean;
}

/** Whether two values are built alike: the same kinds under the same names. Lists may differ in length. */
function builtLike(value: unknown, pattern: unknown): boolean {
  if (pattern === null || value === null) return true;
  if (Array.isArray(pattern)) {
    return Array.isArray(value) && (pattern.length === 0 || value.every((one) => builtLike(one, pattern[0])));
  }
  if (typeof pattern !== "object") return typeof value === typeof pattern;
  if (typeof value !== "object") return false;
  const given = new Map(Object.entries(value));
  return Object.entries(pattern).every(([name, part]) => given.has(name) && builtLike(given.get(name), part));
}

/** An entry that was kept for this file: a map of as many columns, built as this version of the program builds them. */
export function mapEntryLike(pattern: ColumnMap): z.ZodType<MapEntry> {
  const { columns, series, ...rest } = pattern;
  return z.custom<MapEntry>((value) => {
    const shape = z
      .object({
        map: z.looseObject({
          columns: z
            .array(
              z.looseObject({
                index: z.number(),
                name: z.string(),
                use: z.looseObject({ kind: z.string() }),
              }),
            )
            .length(columns.length),
          series: z.array(z.looseObject({ key: z.array(z.string()) })).length(series.length),
        }),
        name: z.string(),
        keep: z.boolean(),
      })
      .safeParse(value);
    return shape.success && builtLike(shape.data.map, rest);
  });
}

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

/** What the numbers of places count: the lines of a text, or the rows of a workbook's sheet. */
export function placeIn(map: Pick<ColumnMap, "sheet">): "line" | "row" {
  return map.sheet === null ? "line" : "row";
}

/** The name of a series, with that of its column where the same key names series in several columns. */
export function seriesName(map: ColumnMap, { key, valueColumn }: MappedSeries): string {
  const name = key.filter((part) => part !== "").join(" ");
  if (map.layout !== "long" || map.series.every((series) => series.valueColumn === valueColumn)) return name;
  return `${name}, ${map.columns[valueColumn]?.name || `column ${valueColumn + 1}`}`;
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
