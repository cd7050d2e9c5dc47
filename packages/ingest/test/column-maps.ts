import type { ColumnMap, MappedColumn } from "../src/index";

/** A column map for "time [s]" and the given columns, comma-separated, one header line. */
export function columnMapFor(columns: readonly MappedColumn[], change: Partial<ColumnMap> = {}): ColumnMap {
  return {
    version: 1,
    sheet: null,
    encoding: "utf-8",
    delimiter: ",",
    decimalMark: ".",
    digitGrouping: null,
    quote: '"',
    headerLines: [1],
    firstDataLine: 2,
    layout: "wide",
    time: {
      columns: [0],
      format: "number",
      unit: "s",
      dateOrder: "year-month-day",
      frameRate: null,
      zone: null,
      date: null,
      clock: null,
      serialEpoch: 1900,
    },
    columns: [{ index: 0, name: "time", use: { kind: "time" }, unit: null }, ...columns],
    series: [],
    missing: { words: ["nan", "-"], sentinels: [] },
    unreadable: "missing",
    decidedBy: "person",
    ...change,
  };
}

export function regionColumn(
  index: number,
  name: string,
  regionId: string,
  unit: string | null = "°C",
): MappedColumn {
  return { index, name, use: { kind: "region", regionId, statistic: "mean" }, unit };
}

/** A file of two columns, time and left hand. */
export const handMap: ColumnMap = columnMapFor([regionColumn(1, "hand", "hand-left-dorsal")]);

export function bytesOf(text: string): Uint8Array {
  return new TextEncoder().encode(text);
}
