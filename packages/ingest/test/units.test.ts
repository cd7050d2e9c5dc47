import { describe, expect, test } from "vitest";
import { readSourceFile, type TraceTarget, unitsFor } from "../src/index";
import { knownUnit, unitConversion } from "../src/units";
import { bytesOf, columnMapFor, regionColumn } from "./column-maps";

function readOne(cell: string, unit: string): number | undefined {
  const map = columnMapFor([regionColumn(1, "hand", "hand-left-dorsal", unit)]);
  return readSourceFile(bytesOf(`time,hand\n0,${cell}\n`), map).traces[0]?.values[0];
}

describe("temperatures come out in °C exactly", () => {
  // Fixed points: 0 °C = 273.15 K = 32 °F, 100 °C = 212 °F, -40 °C = -40 °F, 37 °C = 98.6 °F (NIST SP 811, B.8).
  test.each([
    ["273.15", "K", 0],
    ["304.65", "K", 31.5],
    ["310.15", "kelvin", 37],
    ["32", "°F", 0],
    ["212", "°F", 100],
    ["-40", "F", -40],
    ["98.6", "degF", 37],
    ["31.5", "celsius", 31.5],
    ["31.5", "℃", 31.5],
    ["31.5", "º C", 31.5],
  ])("%s %s is %d °C", (cell, unit, value) => {
    expect(readOne(cell, unit)).toBe(value);
  });

  test("kelvin with two decimals is the double nearest to the true difference, over the whole range of skin", () => {
    for (let hundredths = 1000; hundredths <= 4500; hundredths++) {
      const kelvin = hundredths + 27_315;
      const cell = `${Math.trunc(kelvin / 100)}.${String(kelvin % 100).padStart(2, "0")}`;
      expect(readOne(cell, "K")).toBe(hundredths / 100);
    }
  });
});

describe("units", () => {
  test("of every kind of target convert under their own names", () => {
    const targets: TraceTarget[] = [
      { kind: "region", regionId: "hand-left-dorsal", statistic: "mean" },
      { kind: "region", regionId: "hand-left-dorsal", statistic: "standard deviation" },
      { kind: "channel", channel: "heart rate" },
      { kind: "channel", channel: "oxygen uptake" },
      { kind: "channel", channel: "air speed" },
    ];
    for (const target of targets) {
      for (const unit of unitsFor(target)) {
        expect(unitConversion(target, unit), unit).not.toBeNull();
        expect(knownUnit(unit)).not.toBeNull();
      }
    }
  });

  test("a standard deviation of 0.9 °F is one of 0.5 °C, without an offset", () => {
    const target: TraceTarget = {
      kind: "region",
      regionId: "hand-left-dorsal",
      statistic: "standard deviation",
    };
    const conversion = unitConversion(target, "°F");
    expect(conversion).toEqual({ unit: "°C", factor: 5, offset: 0, divisor: 9 });
    expect(unitConversion(target, "K")).toEqual({ unit: "°C", factor: 1, offset: 0, divisor: 1 });
  });

  test.each(["mV", "°R", "V", "", "W", "%"])("%j is no unit of a skin temperature", (unit) => {
    expect(
      unitConversion({ kind: "region", regionId: "hand-left-dorsal", statistic: "mean" }, unit),
    ).toBeNull();
  });
});
