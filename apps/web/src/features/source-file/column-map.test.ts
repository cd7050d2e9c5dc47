import { describe, expect, it } from "vitest";
import { type ColumnMap, mapEntryLike, placeIn, seriesName } from "./column-map";

const map: ColumnMap = {
  version: 1,
  encoding: "utf-8",
  sheet: null,
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
    clock: null,
    date: null,
    serialEpoch: 1900,
  },
  columns: [
    { index: 0, name: "time (s)", use: { kind: "time" }, unit: null },
    { index: 1, name: "hand", use: { kind: "ignore" }, unit: null },
  ],
  series: [],
  missing: { words: [], sentinels: [] },
  unreadable: "missing",
  decidedBy: "detection",
};
const entry = { map, name: "Hand", keep: true };

describe("an entry that was kept over a reload", () => {
  const schema = mapEntryLike(map);
  const taken = (value: unknown) => schema.safeParse(value).success;

  it("is taken up when it is a map of the same file", () => {
    expect(taken(entry)).toBe(true);
    const [time, hand] = map.columns;
    const changed = {
      ...map,
      decimalMark: ",",
      time: { ...map.time, frameRate: 30 },
      missing: { words: ["none"], sentinels: [-999] },
      columns: [time, { ...hand, use: { kind: "region", regionId: "hand-left-dorsal", statistic: "mean" } }],
    };
    expect(taken(JSON.parse(JSON.stringify({ ...entry, map: changed })))).toBe(true);
  });

  it("is left alone when it is anything else", () => {
    const { missing: _, ...older } = map;
    for (const value of [
      null,
      "text",
      {},
      { ...entry, name: 3 },
      { ...entry, map: older },
      { ...entry, map: { ...map, columns: map.columns.slice(1) } },
      { ...entry, map: { ...map, time: { columns: "0" } } },
    ]) {
      expect(taken(value)).toBe(false);
    }
  });
});

describe("what a map is spoken of by", () => {
  const use = { kind: "ignore" } as const;
  const left = { key: ["Left hand"], valueColumn: 1, use, unit: null };

  it("names a series by its key, and by its column where several columns hold values of one key", () => {
    const long: ColumnMap = { ...map, layout: "long", series: [left] };
    expect(seriesName(long, left)).toBe("Left hand");
    const two: ColumnMap = { ...long, series: [{ ...left, valueColumn: 0 }, left] };
    expect(two.series.map((series) => seriesName(two, series))).toEqual([
      "Left hand, time (s)",
      "Left hand, hand",
    ]);
  });

  it("names a series of blocks by title and name, and by the name alone where no title stands", () => {
    const blocks: ColumnMap = { ...map, layout: "blocks", series: [] };
    expect(seriesName(blocks, { ...left, key: ["Left hand", "mean"] })).toBe("Left hand mean");
    expect(seriesName(blocks, { ...left, key: ["", "mean"] })).toBe("mean");
  });

  it("counts lines in a text and rows in a workbook", () => {
    expect(placeIn(map)).toBe("line");
    expect(placeIn({ sheet: "Skin" })).toBe("row");
  });
});
