import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { DecimalReader } from "../src/parse/decimal";
import { bytesOf } from "./column-maps";

function read(
  text: string,
  mark: "." | "," = ".",
  grouping: "," | "." | " " | "'" | null = null,
  unit: string | null = null,
) {
  const bytes = bytesOf(text);
  return new DecimalReader(mark, grouping, "utf-8").read(bytes, 0, bytes.length, unit);
}

describe("a number in a cell", () => {
  test("is the double nearest to its decimals, as ECMAScript's Number() defines it", () => {
    const digits = fc.stringMatching(/^[0-9]{1,24}$/);
    fc.assert(
      fc.property(fc.constantFrom("", "-", "+"), digits, fc.option(digits), (sign, whole, decimals) => {
        const text = decimals === null ? sign + whole : `${sign}${whole}.${decimals}`;
        expect(Object.is(read(text), Number(text)), text).toBe(true);
      }),
      { numRuns: 3000 },
    );
  });

  test("comes back exactly from the shortest decimals of any double", () => {
    fc.assert(
      fc.property(fc.double({ noNaN: true, noDefaultInfinity: true }), (value) => {
        expect(Object.is(read(Object.is(value, -0) ? "-0" : String(value)), value)).toBe(true);
      }),
      { numRuns: 3000 },
    );
  });

  test.each([
    ["31,5", ",", null, 31.5],
    [",5", ",", null, 0.5],
    ["5,", ",", null, 5],
    ["1.234,5", ",", ".", 1234.5],
    ["1,234,567", ".", ",", 1_234_567],
    ["1 234.5", ".", " ", 1234.5],
    ["1\u00a0234,5", ",", " ", 1234.5],
    ["1\u202f234", ",", " ", 1234],
    ["1'234.5", ".", "'", 1234.5],
    ["1\u2019234", ".", "'", 1234],
    [" 31.5 ", ".", null, 31.5],
    ["\u221231.5", ".", null, -31.5],
    ["3.15E+01", ".", null, 31.5],
    ["315e-1", ".", null, 31.5],
  ] as const)("%j with decimal mark %j and grouping %j is %d", (text, mark, grouping, value) => {
    expect(read(text, mark, grouping)).toBe(value);
  });

  test.each([
    ["31.5 °C", "°C"],
    ["31.5°C", "°C"],
    ["31.5 C", "°C"],
    ["31.5 %", "%"],
  ])("%j may carry its column's unit %j", (text, unit) => {
    expect(read(text, ".", null, unit)).toBe(31.5);
  });

  test.each([
    "",
    " ",
    "-",
    "+",
    ".",
    "1.2.3",
    "1,2",
    "12,34",
    "1,234",
    "0x1F",
    "1e",
    "1e5.5",
    "Infinity",
    "NaN",
    "1 2",
    "--1",
    "1-",
    "٣١",
    "31.5 °F",
    "=1+1",
    "1_000",
    "1e999",
  ])("%j is no number", (text) => {
    expect(read(text, ".", null, "°C")).toBeNaN();
  });

  test.each(["1,23", "12,34,567", "1,2345", ",123", "1,234,56"])(
    "%j is no number grouped in thousands",
    (text) => {
      expect(read(text, ".", ",")).toBeNaN();
    },
  );
});
