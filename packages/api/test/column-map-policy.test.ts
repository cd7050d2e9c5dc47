import { describe, expect, it } from "vitest";
import { coverageOf, fitRemembered } from "../src/column-map/policy";
import { wholeLines } from "../src/source-file/policy";
import { commaMap, recordedRegions } from "./ready-study";

const wanted = recordedRegions.map((regionId) => ({ regionId, statistic: "mean" as const }));

describe("a remembered column map", () => {
  const remembered = {
    ...commaMap(),
    missing: { words: ["lost"], sentinels: [-999] },
    columns: commaMap().columns.map((column) =>
      column.index === 6 ? { ...column, use: { kind: "ignore" as const }, unit: null } : column,
    ),
  };

  it("keeps what a person decided, and takes from the new file what differs from file to file", () => {
    const detected = {
      ...commaMap(),
      headerLines: [4],
      firstDataLine: 5,
      time: { ...commaMap().time, date: "2026-03-11" },
      columns: commaMap().columns.map((column) => ({ ...column, name: column.name.toUpperCase() })),
    };
    const fitted = fitRemembered(detected, remembered);
    expect(fitted.missing).toEqual(remembered.missing);
    expect(fitted.columns[6]?.use).toEqual({ kind: "ignore" });
    expect(fitted.columns[1]?.name).toBe("LEFT CHEST (MEAN °C)");
    expect([fitted.headerLines, fitted.firstDataLine, fitted.time.date]).toEqual([[4], 5, "2026-03-11"]);
  });

  it("keeps a first data line that a person moved, as long as the header stands where it stood", () => {
    const moved = { ...remembered, firstDataLine: 3 };
    expect(fitRemembered(commaMap(), moved).firstDataLine).toBe(3);
  });

  it("of a long layout reads series that were not there before as detection proposes", () => {
    const series = (key: string, regionId: string) => ({
      key: [key],
      valueColumn: 2,
      use: { kind: "region" as const, regionId, statistic: "mean" as const },
      unit: "°C",
    });
    const before = { ...remembered, layout: "long" as const, series: [series("A", "hand-left-dorsal")] };
    const detected = {
      ...commaMap(),
      layout: "long" as const,
      series: [series("A", "hand-right-dorsal"), series("B", "chest-left-anterior")],
    };
    expect(fitRemembered(detected, before).series).toEqual([
      series("A", "hand-left-dorsal"),
      series("B", "chest-left-anterior"),
    ]);
  });
});

describe("the regions of a file beside those of the protocol", () => {
  it("agree without a word when every one is read", () => {
    expect(coverageOf(commaMap(), wanted)).toEqual({
      covered: wanted,
      missing: [],
      unexpected: [],
      warning: null,
    });
  });

  it("differ also when the region is right and the statistic is not", () => {
    const maxima = wanted.map((region) => ({ ...region, statistic: "maximum" as const }));
    const { missing, unexpected, warning } = coverageOf(commaMap(), maxima);
    expect([missing.length, unexpected.length]).toEqual([6, 6]);
    expect(warning).toMatch(/Left chest \(maximum\).*Left chest \(mean\)/);
  });
});

describe("the first bytes of a large file", () => {
  it("end with a whole line, in one-byte and in two-byte encodings", () => {
    const text = new TextEncoder().encode("a,b\n1,2\n3,");
    expect(new TextDecoder().decode(wholeLines(text))).toBe("a,b\n1,2\n");
    const wide = new Uint8Array([0xff, 0xfe, ...Buffer.from("a\nb", "utf16le")]);
    expect([...wholeLines(wide)]).toEqual([0xff, 0xfe, 0x61, 0, 0x0a, 0]);
  });
});
