import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { float32Text, float64Text, roundedSeconds } from "../src/number-text";

/** Every correctly rounded decimal with fewer digits than the text has. */
const shorter = (value: number, text: string): string[] => {
  const digits = text.replace(/e.*$/, "").replace(/[-.]/g, "").replace(/^0+/, "").replace(/0+$/, "").length;
  return Array.from({ length: Math.max(0, digits - 1) }, (_, i) => value.toPrecision(i + 1));
};

const anyFloat = fc.float({ noNaN: true, noDefaultInfinity: true });
const temperature = fc
  .tuple(fc.integer({ min: -45_000_000, max: 45_000_000 }), fc.integer({ min: 0, max: 6 }))
  .map(([millionths, places]) => Math.fround(Number((millionths / 1e6).toFixed(places))));

describe("A float32 is written", () => {
  it("so that it reads back as the same float32, with no digit to spare", () => {
    fc.assert(
      fc.property(
        fc.oneof(anyFloat, temperature, fc.float({ min: -1000, max: 1000, noNaN: true })),
        (value) => {
          const text = float32Text(value);
          expect(Math.fround(Number(text)) === value).toBe(true);
          for (const candidate of shorter(value, text))
            expect(Math.fround(Number(candidate))).not.toBe(value);
        },
      ),
      { numRuns: 5000 },
    );
  });

  it("as an instrument would have printed it", () => {
    const printed = ["31.25", "30.1", "29.999", "0.1", "-4.2", "36.6", "100", "0", "1234.5", "31.234567"];
    expect(printed.map((text) => float32Text(Math.fround(Number(text))))).toEqual([
      "31.25",
      "30.1",
      "29.999",
      "0.1",
      "-4.2",
      "36.6",
      "100",
      "0",
      "1234.5",
      "31.234568",
    ]);
  });

  it("as nothing when it is missing", () => {
    expect(float32Text(Number.NaN)).toBe("");
    expect(float64Text(Number.NaN)).toBe("");
  });
});

describe("Seconds", () => {
  it("lose the binary noise of a subtraction, and nothing of a microsecond", () => {
    expect(roundedSeconds(100.3 - 100.1)).toBe(0.2);
    expect(roundedSeconds(-12.000001)).toBe(-12.000001);
  });
});
