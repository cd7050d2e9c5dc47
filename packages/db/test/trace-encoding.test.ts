import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { decodeFloat32, decodeFloat64, encodeFloat32, encodeFloat64 } from "../src/trace-encoding";

describe("the encoding of series", () => {
  it("gives float32 values back bit for bit, NaN and infinities included", () => {
    fc.assert(
      fc.property(fc.array(fc.float()), (values) => {
        expect([...decodeFloat32(encodeFloat32(values))]).toEqual(values);
      }),
    );
  });

  it("gives float64 times back exactly", () => {
    fc.assert(
      fc.property(fc.array(fc.double()), (values) => {
        expect([...decodeFloat64(encodeFloat64(values))]).toEqual(values);
      }),
    );
  });

  it("makes a slow series several times smaller than its numbers", () => {
    const values = Float32Array.from(
      { length: 3600 },
      (_, i) => Math.round(3300 + 100 * Math.sin(i / 400)) / 100,
    );
    expect(encodeFloat32(values).length).toBeLessThan((values.length * 4) / 4);
  });

  it("refuses bytes that are no whole number of values", () => {
    expect(() => decodeFloat64(encodeFloat32([1]))).toThrow(RangeError);
  });
});
