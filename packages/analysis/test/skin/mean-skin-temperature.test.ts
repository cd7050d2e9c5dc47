import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { AnalysisError } from "../../src";
import {
  meanSkinTemperature,
  meanSkinTemperatureSeries,
  positionsServedBy,
  type RegionReading,
  regions,
  weightingById,
  weightings,
} from "../../src/skin";

function readings(values: Record<string, number>): RegionReading[] {
  return Object.entries(values).map(([regionId, value]) => ({ regionId, statistic: "mean", value }));
}

/** A body whose temperatures make every site distinguishable. */
const body = {
  "forehead-midline-anterior": 34.5,
  "cheek-left-anterior": 33.0,
  "neck-midline-posterior": 34.0,
  "scapula-right-posterior": 33.8,
  "chest-left-anterior": 33.6,
  "abdomen-right-anterior": 33.9,
  "lower-back-left-posterior": 33.2,
  "forearm-left-anterior": 32.2,
  "elbow-left-posterior": 32.0,
  "hand-left-dorsal": 31.0,
  "thigh-right-anterior": 31.8,
  "thigh-left-posterior": 31.6,
  "shin-right-anterior": 31.2,
  "calf-left-posterior": 31.5,
  "instep-right-dorsal": 30.0,
};
const bodyWithUpperArm = { ...body, "upper-arm-right-lateral": 32.8 };
const withoutAbdomenAndBack = Object.fromEntries(
  Object.entries(bodyWithUpperArm).filter(([id]) => !id.startsWith("abdomen") && !id.startsWith("scapula")),
);

describe("mean skin temperature", () => {
  // Expected values: Σ wᵢ·Tᵢ by hand from the published weights (see each weighting's source).
  it.each([
    ["burton-3", 32.648],
    ["newburgh-spealman-4", 32.418],
    ["ramanathan-4", 32.58],
    ["iso-9886-4", 32.68],
    ["hardy-du-bois-12", 32.44025],
    ["iso-9886-8", 32.652],
    ["nishi-gagge-8", 32.652],
    ["colin-houdas-10", 32.569],
    ["iso-9886-14", 454.9 / 14],
    ["palmes-park-6", 32.58],
    ["nadel-8", 33.244],
    ["crawshaw-8", 33.022],
    ["houdas-5", 32.6865],
    ["ouyang-5", 32.789],
    ["roberts-3", 32.824],
  ] as const)("by %s is the weighted sum of its sites", (id, expected) => {
    const result = meanSkinTemperature(id, readings(bodyWithUpperArm));
    expect(result.value).toBeCloseTo(expected, 10);
    expect(result.renormalised).toBe(false);
    expect(result.missing).toEqual([]);
    expect(
      result.positions.map((position) => position.departure).filter((departure) => departure !== null),
    ).toEqual([]);
  });

  it.each([
    ["hardy-du-bois-7", 32.47],
    ["mochida-6", 32.663],
  ] as const)(
    "by %s takes the chest for the trunk when nothing else of the trunk is recorded",
    (id, expected) => {
      expect(meanSkinTemperature(id, readings(withoutAbdomenAndBack)).value).toBeCloseTo(expected, 10);
    },
  );

  it("by Hardy & Du Bois takes the mean of chest, abdomen and back for the trunk when all are recorded", () => {
    const trunk = (33.6 + 33.9 + 33.8) / 3;
    const result = meanSkinTemperature("hardy-du-bois-7", readings(bodyWithUpperArm));
    expect(result.value).toBeCloseTo(32.47 + 0.35 * (trunk - 33.6), 10);
  });

  it("is exactly T when every site is T, whatever the weighting", () => {
    fc.assert(
      fc.property(fc.double({ min: -20, max: 60, noNaN: true }), (temperature) => {
        const everywhere = regions.map(({ id }) => ({
          regionId: id,
          statistic: "point" as const,
          value: temperature,
        }));
        for (const { id } of weightings)
          expect(meanSkinTemperature(id, everywhere).value === temperature).toBe(true);
      }),
    );
  });

  it("has weights that sum to one in every weighting", () => {
    for (const { id, positions } of weightings) {
      expect(
        positions.reduce((sum, { weight }) => sum + weight, 0),
        id,
      ).toBeCloseTo(1, 14);
    }
  });

  it("lies between the coldest and the warmest site, and shifts with all of them", () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: 15, max: 45, noNaN: true }), { minLength: 4, maxLength: 4 }),
        fc.double({ min: -5, max: 5, noNaN: true }),
        ([chest = 0, arm = 0, thigh = 0, calf = 0], shift) => {
          const of = (d: number) =>
            meanSkinTemperature(
              "ramanathan-4",
              readings({
                "chest-left-anterior": chest + d,
                "upper-arm-left-lateral": arm + d,
                "thigh-left-anterior": thigh + d,
                "calf-left-posterior": calf + d,
              }),
            ).value;
          expect(of(0)).toBeGreaterThanOrEqual(Math.min(chest, arm, thigh, calf) - 1e-12);
          expect(of(0)).toBeLessThanOrEqual(Math.max(chest, arm, thigh, calf) + 1e-12);
          expect(of(shift)).toBeCloseTo(of(0) + shift, 10);
        },
      ),
    );
  });

  it("averages left and right of a site, and the aspects of one side before the sides", () => {
    const result = meanSkinTemperature(
      "burton-3",
      readings({
        "chest-left-anterior": 33,
        "chest-right-anterior": 35,
        "forearm-left-anterior": 30,
        "forearm-right-anterior": 32,
        "calf-left-posterior": 31,
      }),
    );
    expect(result.value).toBeCloseTo(0.5 * 34 + 0.14 * 31 + 0.36 * 31, 12);
    expect(result.positions[0]?.regionIds).toEqual(["chest-left-anterior", "chest-right-anterior"]);
  });

  it("refuses a missing site by default, naming every one that is missing", () => {
    const call = () =>
      meanSkinTemperature("ramanathan-4", readings({ "chest-left-anterior": 33, "thigh-left-anterior": 32 }));
    expect(call).toThrow(AnalysisError);
    expect(call).toThrow(/missing: upper arm, calf/);
  });

  it("renormalises on purpose only, and marks the result", () => {
    const result = meanSkinTemperature(
      "ramanathan-4",
      readings({ "chest-left-anterior": 34, "thigh-left-anterior": 32 }),
      { missingSites: "renormalise" },
    );
    expect(result.value).toBeCloseTo((0.3 * 34 + 0.2 * 32) / 0.5, 12);
    expect(result.renormalised).toBe(true);
    expect(result.missing).toEqual(["upper arm", "calf"]);
    expect(result.positions.map(({ weight }) => weight)).toEqual([0.6, 0.4]);
  });

  it("has nothing to renormalise when no site is given", () => {
    expect(() => meanSkinTemperature("ramanathan-4", [], { missingSites: "renormalise" })).toThrow(
      /at least one site/,
    );
  });

  it("counts NaN as not given and refuses an infinite reading", () => {
    const some = { "chest-left-anterior": 34, "upper-arm-left-lateral": 33, "thigh-left-anterior": 32 };
    expect(() =>
      meanSkinTemperature("ramanathan-4", readings({ ...some, "calf-left-posterior": Number.NaN })),
    ).toThrow(/missing: calf/);
    expect(() =>
      meanSkinTemperature(
        "ramanathan-4",
        readings({ ...some, "calf-left-posterior": Number.POSITIVE_INFINITY }),
      ),
    ).toThrow(/finite/);
  });

  it.each(["maximum", "minimum", "standard deviation"] as const)(
    "refuses a region %s, with the reason",
    (statistic) => {
      const call = () =>
        meanSkinTemperature("burton-3", [{ regionId: "chest-left-anterior", statistic, value: 33 }]);
      expect(call).toThrow(expect.objectContaining({ code: "refused", argument: "readings" }));
      expect(call).toThrow(/Left chest is given as a/);
    },
  );

  it("refuses a region given twice and a region that does not exist", () => {
    const chest = { regionId: "chest-left-anterior", statistic: "mean", value: 33 } as const;
    expect(() => meanSkinTemperature("burton-3", [chest, chest])).toThrow(/given twice/);
    expect(() => meanSkinTemperature("burton-3", [{ ...chest, regionId: "tail-left-dorsal" }])).toThrow(
      /"tail-left-dorsal"/,
    );
  });

  it("says when a site stands on the other side than the standard names", () => {
    const mirrored = Object.fromEntries(
      Object.entries(bodyWithUpperArm).map(([id, value]) => [id.replace("hand-left", "hand-right"), value]),
    );
    const result = meanSkinTemperature("iso-9886-4", readings(mirrored));
    expect(result.positions.find(({ position }) => position === "left hand")?.departure).toMatch(
      /right side was used/,
    );
  });

  it("tells which positions of which weightings a region can serve", () => {
    expect(positionsServedBy("calf-left-posterior")).toContainEqual({
      weightingId: "ramanathan-4",
      position: "calf",
    });
    expect(positionsServedBy("toe-left-plantar")).toEqual([]);
  });

  it("knows no weighting of another name", () => {
    // @ts-expect-error a name that is not in the table
    expect(() => weightingById("everything-100")).toThrow(/everything-100/);
  });
});

describe("mean skin temperature over time", () => {
  const series = (regionId: string, values: number[], statistic: "mean" | "maximum" = "mean") => ({
    regionId,
    statistic,
    values: Float64Array.from(values),
  });
  const complete = [
    series("chest-left-anterior", [34, 34, 34]),
    series("upper-arm-left-lateral", [33, Number.NaN, 33]),
    series("upper-arm-right-lateral", [31, 31, 31]),
    series("thigh-left-anterior", [32, 32, Number.NaN]),
    series("calf-left-posterior", [31, 31, 31]),
  ];

  it("gives NaN at moments at which a serving region is missing, so that every value is composed alike", () => {
    const { values, renormalised } = meanSkinTemperatureSeries("ramanathan-4", complete);
    expect(values[0]).toBeCloseTo(0.3 * 34 + 0.3 * 32 + 0.2 * 32 + 0.2 * 31, 12);
    expect(values[1]).toBeNaN();
    expect(values[2]).toBeNaN();
    expect(renormalised).toBe(false);
  });

  it("under renormalise uses what is present and says how much that is", () => {
    const result = meanSkinTemperatureSeries("ramanathan-4", complete, { missingSites: "renormalise" });
    expect(result.values[1]).toBeCloseTo(0.3 * 34 + 0.3 * 31 + 0.2 * 32 + 0.2 * 31, 12);
    expect(result.values[2]).toBeCloseTo((0.3 * 34 + 0.3 * 32 + 0.2 * 31) / 0.8, 12);
    expect(Array.from(result.presentWeight, (weight) => Math.round(weight * 1e9) / 1e9)).toEqual([1, 1, 0.8]);
    expect(result.renormalised).toBe(true);
  });

  it("equals the single-moment function at every moment", () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: 20, max: 40, noNaN: true }), { minLength: 16, maxLength: 16 }),
        (numbers) => {
          const ids = Object.keys(bodyWithUpperArm);
          const whole = meanSkinTemperatureSeries(
            "iso-9886-14",
            ids.map((id, k) => series(id, [numbers[k] ?? 30, 30])),
          );
          const single = meanSkinTemperature(
            "iso-9886-14",
            readings(Object.fromEntries(ids.map((id, k) => [id, numbers[k] ?? 30]))),
          );
          expect(whole.values[0]).toBe(single.value);
        },
      ),
    );
  });

  it("refuses series of unequal lengths and maxima", () => {
    const [chest] = complete;
    expect(() =>
      meanSkinTemperatureSeries("burton-3", [chest ?? series("x", []), series("calf-left-posterior", [1])]),
    ).toThrow(expect.objectContaining({ code: "unequal lengths" }));
    expect(() =>
      meanSkinTemperatureSeries("burton-3", [series("chest-left-anterior", [33], "maximum")]),
    ).toThrow(/hottest pixels/);
  });

  it("gives an empty series for series without samples", () => {
    const empty = complete.map(({ regionId }) => series(regionId, []));
    expect(meanSkinTemperatureSeries("ramanathan-4", empty).values).toHaveLength(0);
  });
});
