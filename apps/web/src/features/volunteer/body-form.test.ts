import { describe, expect, it } from "vitest";
import { bodyInput, emptyBody, isEmptyBody, surfaceAreaOf } from "./body-form";

describe("body measures while they are typed", () => {
  it("show the surface area of Du Bois & Du Bois 1916 as soon as both numbers are plausible", () => {
    const body = { ...emptyBody(), heightCm: 170, massKg: 70 };
    expect(surfaceAreaOf(body)).toBeCloseTo(1.80971, 5);
    expect(surfaceAreaOf({ ...body, heightCm: 1.7 })).toBeNull();
    expect(surfaceAreaOf({ ...body, massKg: null })).toBeNull();
  });

  it("are not sent while nothing is typed, and sent without a number when half of it is", () => {
    expect(isEmptyBody(emptyBody())).toBe(true);
    const half = { ...emptyBody(), heightCm: 170, skinfoldsMm: { triceps: 12, biceps: null } };
    expect(isEmptyBody(half)).toBe(false);
    expect(bodyInput(half)).toMatchObject({
      heightCm: 170,
      massKg: Number.NaN,
      skinfoldsMm: { triceps: 12 },
    });
  });
});
