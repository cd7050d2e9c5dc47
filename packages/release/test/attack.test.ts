import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { defaultDisclosureRule } from "../src/disclosure-rule";
import { seededRandom } from "../src/random-source";
import type { ReleaseInput, VolunteerToRelease } from "../src/release-input";
import { volunteersBetween } from "./arbitrary-study";
import { exampleFrame, filesOf, seed, zipOf } from "./example-study";
import { type Row, rowsOf } from "./package-reader";

/**
 * An attacker who knows one volunteer's exact sex, age, height and mass, the formulas of surface area and mass index,
 * and that the volunteer took part. Counts the rows that could be theirs.
 */
function rowsThatFit(rows: readonly Row[], victim: VolunteerToRelease): number {
  const { sex, ageYears, heightCm, massKg } = victim;
  const both = heightCm !== null && massKg !== null;
  const area = both ? 0.007184 * heightCm ** 0.725 * massKg ** 0.425 : null;
  const index = both ? massKg / (heightCm / 100) ** 2 : null;
  return rows.filter(
    (row) =>
      (row.sex === "" || row.sex === sex) &&
      holds(row, "age", "years", ageYears) &&
      holds(row, "height", "cm", heightCm) &&
      holds(row, "mass", "kg", massKg) &&
      holds(row, "surface_area", "m2", area) &&
      holds(row, "mass_index", "kg_m2", index),
  ).length;
}

/** Whether a cell can belong to the value: a band that holds it, or an empty cell, which says nothing. */
function holds(row: Row, name: string, unit: string, value: number | null): boolean {
  const [low, high] = [row[`${name}_low_${unit}`] ?? "", row[`${name}_high_${unit}`] ?? ""];
  if (low === "") return true;
  return value !== null && Number(low) <= value && (high === "" || value < Number(high));
}

async function releasedRows(volunteers: readonly VolunteerToRelease[], k: number): Promise<Row[]> {
  const frame = exampleFrame();
  const [trial] = frame.trials;
  if (trial === undefined) throw new Error("The example has trials.");
  const input: ReleaseInput = {
    ...frame,
    volunteers,
    trials: volunteers.map(({ key }, index) => ({ ...trial, key: `t${index}`, volunteerKey: key })),
    rule: { ...defaultDisclosureRule, k },
    random: seededRandom(seed(7)),
    async *traces() {},
  };
  return rowsOf(filesOf(await zipOf(input)).get("volunteers.csv") ?? "");
}

describe("An attacker who knows exact body data", () => {
  it("finds no row or at least k rows for every volunteer of 60 studies with skewed bodies", async () => {
    await fc.assert(
      fc.asyncProperty(volunteersBetween(8, 60), fc.integer({ min: 2, max: 6 }), async (volunteers, k) => {
        const rows = await releasedRows(volunteers, k);
        for (const victim of volunteers) {
          const fitting = rowsThatFit(rows, victim);
          expect(fitting === 0 || fitting >= k, `${fitting} rows fit`).toBe(true);
        }
      }),
      { numRuns: 60, seed: 8_060 },
    );
  });

  it("finds single volunteers in the same studies when bands are of the finest kind for everybody", async () => {
    // The attack itself must be able to succeed: here against a table that nobody coarsened together.
    const [volunteers = []] = fc.sample(volunteersBetween(40, 40), { numRuns: 1, seed: 11 });
    const fine = volunteers.map((v): Row => {
      const band = (name: string, unit: string, value: number | null): Row =>
        value === null
          ? {}
          : {
              [`${name}_low_${unit}`]: String(Math.floor(value / 5) * 5),
              [`${name}_high_${unit}`]: String(Math.floor(value / 5) * 5 + 5),
            };
      const { sex, ageYears, heightCm, massKg } = v;
      return {
        sex: sex ?? "",
        ...band("age", "years", ageYears),
        ...band("height", "cm", heightCm),
        ...band("mass", "kg", massKg),
      };
    });
    expect(volunteers.filter((victim) => rowsThatFit(fine, victim) === 1).length).toBeGreaterThan(5);
    const released = await releasedRows(volunteers, 3);
    expect(volunteers.filter((victim) => rowsThatFit(released, victim) === 1)).toEqual([]);
  });
});
