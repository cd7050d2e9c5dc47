import { expect } from "vitest";
import { relativeDifference } from "./agreement/agreement-check";

/** Expects a number to lie within a relative distance of a published one. */
export function expectClose(
  actual: number | null | undefined,
  published: number,
  relative = 1e-10,
  floor?: number,
): void {
  expect(
    relativeDifference(actual ?? Number.NaN, published, floor),
    `${actual} against ${published}`,
  ).toBeLessThanOrEqual(relative);
}
