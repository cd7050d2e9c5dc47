import { gunzipSync } from "node:zlib";
import { describe, expect, it } from "vitest";
import type { SimulatedSeries, SimulatedTrace } from "../src/types";
import { writeSourceFile } from "../src/write-source-file";

const missing = Number.NaN;

function region(
  regionId: string,
  statistic: "mean" | "standard deviation",
  values: number[],
): SimulatedTrace {
  return { target: { kind: "region", regionId, statistic }, unit: "°C", values: Float64Array.from(values) };
}

const back = region("upper-back-midline-posterior", "mean", [33, 33.456, missing]);
const heart: SimulatedTrace = {
  target: { kind: "channel", channel: "heart rate" },
  unit: "1/min",
  values: Float64Array.of(60, 61, 62),
};
const series: SimulatedSeries = {
  startedAt: "2025-03-03T09:59:59Z",
  timesS: Float64Array.of(0, 1, 2),
  traces: [back, heart],
};

function text(bytes: Uint8Array, encoding: string): string {
  return new TextDecoder(encoding, { ignoreBOM: true }).decode(bytes);
}

describe("writeSourceFile writes, to the letter,", () => {
  it("commas and ISO moments", () => {
    expect(text(writeSourceFile(series, "comma-iso"), "utf-8")).toBe(
      [
        "time (UTC),upper back midline posterior mean [°C],heart rate [1/min]",
        "2025-03-03T09:59:59Z,33.00,60",
        "2025-03-03T10:00:00Z,33.46,61",
        "2025-03-03T10:00:01Z,,62",
        "",
      ].join("\n"),
    );
  });

  it("the same, packed", () => {
    expect(gunzipSync(writeSourceFile(series, "comma-iso-gzip"))).toEqual(
      Buffer.from(writeSourceFile(series, "comma-iso")),
    );
  });

  it("semicolons, decimal commas and German names in Windows-1252", () => {
    const bytes = writeSourceFile(series, "semicolon-german");
    expect(text(bytes, "windows-1252")).toBe(
      [
        "Messprotokoll (erfundene Daten)",
        "Datum;03.03.2025",
        "Raum;Bootshaus, Prüfraum 2",
        "Uhrzeit;Oberer Rücken Mitte hinten Mittelwert (°C);Herzfrequenz (1/min)",
        "09:59:59;33,00;60",
        "10:00:00;33,46;61",
        "10:00:01;-;62",
        "Ende der Messung, 3 Zeilen",
        "",
      ].join("\r\n"),
    );
    expect([...bytes].filter((byte) => byte === 0xfc)).toHaveLength(2);
  });

  it("tabs, °F and elapsed tenths in UTF-16 with a mark", () => {
    const tenths = { ...series, timesS: Float64Array.of(0, 59.9, 3661.2) };
    expect(text(writeSourceFile(tenths, "tab-fahrenheit"), "utf-16le")).toBe(
      `\ufeff${[
        "elapsed\tupper back midline posterior\theart rate",
        "hh:mm:ss.f\tmean °F\t1/min",
        "00:00:00.0\t91.40\t60",
        "00:00:59.9\t92.22\t61",
        "01:01:01.2\t\t62",
        "",
      ].join("\r\n")}`,
    );
  });

  it("one row per time and series", () => {
    expect(text(writeSourceFile(series, "pipe-long"), "utf-8")).toBe(
      `\ufeff${[
        "# skin temperature recording (invented data)",
        "# started: 2025-03-03T09:59:59Z",
        "seconds|region|statistic|unit|value",
        "0|upper back midline posterior|mean|°C|33.000",
        "0|heart rate||1/min|60",
        "1|upper back midline posterior|mean|°C|33.456",
        "1|heart rate||1/min|61",
        "2|heart rate||1/min|62",
        "",
      ].join("\n")}`,
    );
  });

  it("kelvin in columns aligned with spaces", () => {
    expect(text(writeSourceFile(series, "aligned-kelvin"), "utf-8")).toBe(
      [
        "time_ms upper_back_midline_posterior_mean_K heart_rate_per_min",
        "       0   306.15       60",
        "    1000   306.61       61",
        "    2000      NaN       62",
        "",
      ].join("\n"),
    );
  });
});

describe("writeSourceFile refuses", () => {
  it("a spread in °F or K, off which a reader would take the offset of the scale", () => {
    const spread = {
      ...series,
      traces: [region("chest-left-anterior", "standard deviation", [0.3, 0.3, 0.3])],
    };
    expect(() => writeSourceFile(spread, "tab-fahrenheit")).toThrow(RangeError);
    expect(() => writeSourceFile(spread, "aligned-kelvin")).toThrow(RangeError);
  });

  it("fractions of a second in a dialect of whole seconds", () => {
    const uneven = { ...series, timesS: Float64Array.of(0, 0.5, 1) };
    expect(() => writeSourceFile(uneven, "comma-iso")).toThrow(/whole seconds/);
  });

  it("a region that has no German words", () => {
    const toe = { ...series, traces: [region("toe-left-plantar", "mean", [30, 30, 30])] };
    expect(() => writeSourceFile(toe, "semicolon-german")).toThrow(/toe-left-plantar/);
  });
});
