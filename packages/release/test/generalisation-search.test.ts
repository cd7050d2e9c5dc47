import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { type DisclosureRule, defaultDisclosureRule } from "../src/disclosure-rule";
import { leastLossyGeneralisation } from "../src/generalisation-search";
import type { VolunteerToRelease } from "../src/release-input";
import { volunteersBetween } from "./arbitrary-study";

/** The same question asked plainly and independently: try every combination of levels, keep the cheapest. */
const widths = { sex: [0, Infinity], age: [5, 10, 20, Infinity], cmOrKg: [5, 10, 20, Infinity] };
const lossOfWidth = (width: number): number => (width === Infinity ? 1 : width / 40);

function cell(value: number | null, width: number, top = Infinity): string {
  if (width === Infinity) return "*";
  if (value === null) return "?";
  return String(Math.min(Math.floor(value / width), Math.floor(top / width)));
}

function bruteForce(
  volunteers: readonly VolunteerToRelease[],
  rule: DisclosureRule,
  mostLeftOut: number,
): number | null {
  let best: number | null = null;
  const w = rule.weights;
  for (const sex of widths.sex)
    for (const age of widths.age)
      for (const height of widths.cmOrKg)
        for (const mass of widths.cmOrKg) {
          const groups = new Map<string, number>();
          const texts = volunteers.map((v) =>
            [
              sex === Infinity ? "*" : v.sex,
              cell(v.ageYears, age, 90),
              cell(v.heightCm, height),
              cell(v.massKg, mass),
            ].join("|"),
          );
          for (const text of texts) groups.set(text, (groups.get(text) ?? 0) + 1);
          const out = texts.filter((text) => (groups.get(text) ?? 0) < rule.k).length;
          if (out > mostLeftOut) continue;
          const kept =
            (w.sex * lossOfWidth(sex) +
              w.age * lossOfWidth(age) +
              w.height * lossOfWidth(height) +
              w.mass * lossOfWidth(mass)) /
            (w.sex + w.age + w.height + w.mass);
          const loss = ((volunteers.length - out) * kept + out * rule.costOfLeavingOut) / volunteers.length;
          if (best === null || loss < best) best = loss;
        }
  return best;
}

describe("The least lossy generalisation", () => {
  it("costs what trying every combination of levels finds, with and without leaving people out", () => {
    const rules = fc.record({
      k: fc.integer({ min: 2, max: 5 }),
      largestShareLeftOut: fc.constantFrom(0, 0.1, 0.3, 0.5),
      costOfLeavingOut: fc.constantFrom(1, 1.5, 3),
      weights: fc.record({
        sex: fc.constantFrom(0.5, 1, 4),
        age: fc.constantFrom(1, 2),
        height: fc.constant(1),
        mass: fc.constantFrom(1, 3),
      }),
    });
    fc.assert(
      fc.property(volunteersBetween(1, 12), rules, (volunteers, rule) => {
        const mostLeftOut = Math.floor(rule.largestShareLeftOut * volunteers.length);
        const found = leastLossyGeneralisation(volunteers, rule, mostLeftOut);
        const expected = volunteers.length < rule.k ? null : bruteForce(volunteers, rule, mostLeftOut);
        if (expected === null) expect(found).toBeNull();
        else expect(found?.loss).toBeCloseTo(expected, 12);
      }),
      { numRuns: 300, seed: 20_261 },
    );
  });

  it("keeps the finest bands when they already hide everybody", () => {
    const alike = Array.from(
      { length: 3 },
      (_, i): VolunteerToRelease => ({
        key: `v${i}`,
        sex: "female",
        ageYears: 21 + i,
        heightCm: 171 + i,
        massKg: 61 + i,
      }),
    );
    const found = leastLossyGeneralisation(alike, defaultDisclosureRule, 0);
    expect(found?.choice).toEqual({ sex: 0, age: 0, height: 0, mass: 0 });
    expect(found?.leftOut).toEqual([]);
  });

  it("leaves out one outlier when that saves the others more than it costs, and only when allowed", () => {
    const crowd = Array.from(
      { length: 29 },
      (_, i): VolunteerToRelease => ({
        key: `v${i}`,
        sex: "male",
        ageYears: 25,
        heightCm: 181,
        massKg: 76,
      }),
    );
    const outlier: VolunteerToRelease = {
      key: "outlier",
      sex: "female",
      ageYears: 61,
      heightCm: 150,
      massKg: 120,
    };
    const allowed = leastLossyGeneralisation([...crowd, outlier], defaultDisclosureRule, 3);
    expect(allowed?.leftOut).toEqual(["outlier"]);
    expect(allowed?.choice).toEqual({ sex: 0, age: 0, height: 0, mass: 0 });
    const forced = leastLossyGeneralisation([...crowd, outlier], defaultDisclosureRule, 0);
    expect(forced?.leftOut).toEqual([]);
    expect(forced?.loss).toBe(1);
    expect(allowed?.loss).toBeLessThan(1);
  });
});
