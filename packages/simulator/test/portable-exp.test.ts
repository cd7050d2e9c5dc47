import { describe, expect, it } from "vitest";
import { portableExp } from "../src/portable-exp";

describe("portableExp", () => {
  it("agrees with the platform's exponential to 15 digits from -690 to 690", () => {
    for (let x = -690; x <= 690; x += 0.731) {
      expect(Math.abs(portableExp(x) / Math.exp(x) - 1)).toBeLessThan(2e-15);
    }
  });

  it("gives e at 1 and exactly 1 at 0", () => {
    expect(portableExp(1)).toBeCloseTo(Math.E, 15);
    expect(portableExp(0)).toBe(1);
  });

  it("refuses arguments beyond its range", () => {
    expect(() => portableExp(701)).toThrow(RangeError);
    expect(() => portableExp(Number.NaN)).toThrow(RangeError);
  });
});
