import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  bodyDensity,
  bodyFatPercent,
  type DensityInput,
  heatStorage,
  isPlausible,
  massIndex,
  meanBodyTemperature,
  plausibilityLimits,
  skinWeightByCoreTemperature,
  surfaceArea,
  surfaceAreaFormulas,
  surfaceToMassRatio,
} from "../../src/body";

describe("surface area", () => {
  // Computed from the formulas as published (Du Bois 1916, Mosteller 1987, Haycock 1978, Gehan & George 1970, Boyd 1935),
  // with the mass index and cm²/kg beside them.
  const table = [
    [1.7, 70, 1.80971, 1.81812, 1.82568, 1.83129, 1.83467, 24.2215, 258.53],
    [1.8, 75, 1.94241, 1.93649, 1.93811, 1.94385, 1.93802, 23.1481, 258.99],
    [1.75, 70, 1.84814, 1.84466, 1.84678, 1.85385, 1.85069, 22.8571, 264.02],
    [1.6, 55, 1.56317, 1.56347, 1.56553, 1.57667, 1.57846, 21.4844, 284.21],
    [1.9, 95, 2.23355, 2.23917, 2.24853, 2.24599, 2.23963, 26.3158, 235.11],
    [1.5, 45, 1.36977, 1.36931, 1.36987, 1.38375, 1.38588, 20.0, 304.39],
    [1.0, 16, 0.65784, 0.66667, 0.66889, 0.68483, 0.68631, 16.0, 411.15],
  ] as const;

  it.each(table)(
    "of %s m and %s kg agrees with every published formula",
    (height, mass, duBois, mosteller, haycock, gehan, boyd, index, ratio) => {
      expect(surfaceArea(height, mass)).toBeCloseTo(duBois, 5);
      expect(surfaceArea(height, mass, "mosteller")).toBeCloseTo(mosteller, 5);
      expect(surfaceArea(height, mass, "haycock")).toBeCloseTo(haycock, 5);
      expect(surfaceArea(height, mass, "gehan george")).toBeCloseTo(gehan, 5);
      expect(surfaceArea(height, mass, "boyd")).toBeCloseTo(boyd, 5);
      expect(massIndex(height, mass)).toBeCloseTo(index, 4);
      expect(surfaceToMassRatio(height, mass) * 1e4).toBeCloseTo(ratio, 2);
    },
  );

  it("of a man of 1.73 m and 70 kg is 1.8 m², as the ASHRAE Handbook of Fundamentals prints", () => {
    expect(surfaceArea(1.73, 70).toFixed(1)).toBe("1.8");
  });

  it("uses the centimetre constant, 0.233 % above the rounded metre form of the thermal standards", () => {
    expect(surfaceArea(1.75, 70) / (0.202 * 1.75 ** 0.725 * 70 ** 0.425) - 1).toBeCloseTo(0.00234, 5);
  });

  it("grows with height and with mass in every formula", () => {
    const height = fc.double({ min: 1, max: 2.2, noNaN: true });
    const mass = fc.double({ min: 20, max: 200, noNaN: true });
    fc.assert(
      fc.property(height, mass, fc.constantFrom(...surfaceAreaFormulas), (h, m, { id }) => {
        expect(surfaceArea(h + 0.05, m, id)).toBeGreaterThan(surfaceArea(h, m, id));
        expect(surfaceArea(h, m + 1, id)).toBeGreaterThan(surfaceArea(h, m, id));
      }),
    );
  });

  it.each([
    [175, 70, "heightM"],
    [1.75, 70000, "massKg"],
    [Number.NaN, 70, "heightM"],
    [1.75, Number.POSITIVE_INFINITY, "massKg"],
    [0, 70, "heightM"],
  ] as const)("refuses %s m and %s kg", (height, mass, argument) => {
    expect(() => surfaceArea(height, mass)).toThrow(
      expect.objectContaining({ code: "out of range", argument }),
    );
    expect(() => massIndex(height, mass)).toThrow(expect.objectContaining({ argument }));
  });
});

describe("body density and fat from skinfolds", () => {
  const quarters = (sum: number) => ({
    biceps: sum / 4,
    triceps: sum / 4,
    subscapular: sum / 4,
    suprailiac: sum / 4,
  });

  // Equation values to 0.01, and the paper's own printed table (Durnin & Womersley 1974, men), which pools 17–29 years and
  // rounds: 0.25 percentage points.
  it.each([
    [20, 25, 7.96, 8.1],
    [30, 25, 12.73, 12.9],
    [40, 25, 16.17, 16.4],
    [50, 25, 18.87, 19.0],
    [20, 35, 12.0, 12.2],
    [30, 35, 16.17, 16.2],
    [40, 35, 19.17, 19.2],
    [50, 35, 21.53, 21.5],
    [20, 45, 12.22, 12.2],
    [30, 45, 17.6, 17.7],
    [40, 45, 21.49, 21.4],
    [50, 45, 24.56, 24.6],
    [20, 60, 12.55, 12.6],
    [30, 60, 18.56, 18.6],
    [40, 60, 22.92, 22.9],
    [50, 60, 26.35, 26.5],
  ])("by Durnin & Womersley, men, Σ %s mm at %s years", (sum, ageYears, equation, printed) => {
    const density = bodyDensity({
      method: "durnin womersley",
      sex: "male",
      ageYears,
      skinfoldsMm: quarters(sum),
    });
    expect(Math.abs(bodyFatPercent(density) - equation)).toBeLessThanOrEqual(0.0051);
    expect(Math.abs(bodyFatPercent(density) - printed)).toBeLessThanOrEqual(0.25);
  });

  it.each([
    [20, 25, 14.08],
    [30, 25, 19.64],
    [40, 35, 25.48],
    [50, 45, 30.9],
    [40, 60, 30.32],
  ])("by Durnin & Womersley, women, Σ %s mm at %s years", (sum, ageYears, equation) => {
    const density = bodyDensity({
      method: "durnin womersley",
      sex: "female",
      ageYears,
      skinfoldsMm: quarters(sum),
    });
    expect(Math.abs(bodyFatPercent(density) - equation)).toBeLessThanOrEqual(0.0051);
  });

  // Jackson & Pollock 1978; Jackson, Pollock & Ward 1980: density in g/cm³ and Siri fat from the equations.
  it.each([
    [30, 25, 1.079584, 8.51, 1.068295, 13.355],
    [45, 30, 1.067697, 13.615, 1.055293, 19.064],
    [60, 40, 1.055242, 19.087, 1.04263, 24.761],
    [90, 55, 1.03378, 28.825, 1.021105, 34.769],
  ])(
    "by Jackson & Pollock, three sites, Σ %s mm at %s years",
    (sum, ageYears, dMen, fatMen, dWomen, fatWomen) => {
      const third = sum / 3;
      const men = bodyDensity({
        method: "jackson pollock 3",
        sex: "male",
        ageYears,
        skinfoldsMm: { chest: third, abdomen: third, thigh: third },
      });
      const women = bodyDensity({
        method: "jackson pollock 3",
        sex: "female",
        ageYears,
        skinfoldsMm: { triceps: third, suprailiac: third, thigh: third },
      });
      expect(men / 1000).toBeCloseTo(dMen, 6);
      expect(women / 1000).toBeCloseTo(dWomen, 6);
      expect(bodyFatPercent(men)).toBeCloseTo(fatMen, 2);
      expect(bodyFatPercent(women)).toBeCloseTo(fatWomen, 2);
    },
  );

  it("by Jackson & Pollock, seven sites, men", () => {
    const skinfoldsMm = {
      chest: 10,
      midaxillary: 10,
      triceps: 10,
      subscapular: 10,
      abdomen: 10,
      suprailiac: 10,
      thigh: 10,
    };
    const density = bodyDensity({ method: "jackson pollock 7", sex: "male", ageYears: 30, skinfoldsMm });
    expect(density / 1000).toBeCloseTo(1.112 - 0.00043499 * 70 + 0.00000055 * 4900 - 0.00028826 * 30, 12);
  });

  // Siri 1961; Brozek et al. 1963 (constants from memory).
  it.each([
    [1100, 0, 1.255],
    [1080, 8.333, 8.948],
    [1060, 16.981, 16.932],
    [1050, 21.429, 21.038],
    [1040, 25.962, 25.223],
    [1000, 45, 42.8],
  ])("turns a density of %s kg/m³ into fat by Siri and by Brozek", (density, siri, brozek) => {
    expect(bodyFatPercent(density, "siri")).toBeCloseTo(siri, 3);
    expect(bodyFatPercent(density, "brozek")).toBeCloseTo(brozek, 3);
  });

  it("refuses ages on which no equation rests", () => {
    const at = (ageYears: number): DensityInput => ({
      method: "durnin womersley",
      sex: "male",
      ageYears,
      skinfoldsMm: quarters(40),
    });
    expect(() => bodyDensity(at(16))).toThrow(/17 to 72 years/);
    expect(() => bodyDensity(at(73))).toThrow(expect.objectContaining({ argument: "ageYears" }));
    expect(bodyDensity(at(72.9))).toBe(bodyDensity(at(60)));
    expect(() => bodyDensity(at(Number.NaN))).toThrow(expect.objectContaining({ argument: "ageYears" }));
  });

  it("refuses the other sex's folds, a fold of zero, and seven sites for women", () => {
    const folds = { chest: 10, abdomen: 10, thigh: 10 };
    expect(() =>
      bodyDensity({ method: "jackson pollock 3", sex: "female", ageYears: 30, skinfoldsMm: folds }),
    ).toThrow(/triceps is missing/);
    expect(() =>
      bodyDensity({
        method: "jackson pollock 3",
        sex: "male",
        ageYears: 30,
        skinfoldsMm: { ...folds, chest: 0 },
      }),
    ).toThrow(/chest is 0/);
    expect(() =>
      bodyDensity({ method: "jackson pollock 7", sex: "female", ageYears: 30, skinfoldsMm: folds }),
    ).toThrow(expect.objectContaining({ argument: "method" }));
  });

  it("refuses a density in g/cm³", () => {
    expect(() => bodyFatPercent(1.06)).toThrow(expect.objectContaining({ argument: "densityKgPerM3" }));
  });
});

describe("mean body temperature", () => {
  it.each([
    ["burton", 35.56, 36.52],
    ["kerslake", 35.68, 36.685],
    ["hardy du bois", 35.8, 36.85],
    ["colin hot", 36.16, 37.345],
    ["snellen", 36.2, 37.4],
    ["vasodilated", 36.6, 37.95],
  ] as const)("by %s weighs core and skin as published", (weighting, at37, at385) => {
    expect(meanBodyTemperature(37, 33, weighting)).toBeCloseTo(at37, 10);
    expect(meanBodyTemperature(38.5, 33, weighting)).toBeCloseTo(at385, 10);
  });

  it("takes a core weight of one's own between 0 and 1, and no other", () => {
    expect(meanBodyTemperature(37, 33, 0.75)).toBe(36);
    expect(() => meanBodyTemperature(37, 33, 1.2)).toThrow(
      expect.objectContaining({ argument: "weighting" }),
    );
    expect(() => meanBodyTemperature(310, 33)).toThrow(expect.objectContaining({ argument: "coreC" }));
    expect(() => meanBodyTemperature(37, Number.NaN)).toThrow(expect.objectContaining({ argument: "skinC" }));
  });

  it("weighs the skin less as the core warms (ISO 7933)", () => {
    expect(skinWeightByCoreTemperature(36)).toBe(0.3);
    expect(skinWeightByCoreTemperature(37.8)).toBeCloseTo(0.21, 12);
    expect(skinWeightByCoreTemperature(40)).toBe(0.1);
  });
});

describe("heat storage", () => {
  // 70 kg, +0.5 °C in 30 min: ASHRAE specific heat 3490, ISO 7933 0.97 W·h/(kg·K), partitional calorimetry texts 3474.
  it.each([
    [3470, 67.472],
    [3474, 67.55],
    [3490, 67.861],
    [3492, 67.9],
  ])("with a specific heat of %s J/(kg·K)", (specificHeat, expected) => {
    expect(heatStorage(70, 0.5, 1800, specificHeat)).toBeCloseTo(expected, 3);
  });

  it("is 36.740 W/m² by default for 1.84814 m²", () => {
    expect(heatStorage(70, 0.5, 1800) / surfaceArea(1.75, 70)).toBeCloseTo(36.74, 3);
  });

  it("changes sign with the change, and is refused without a duration", () => {
    expect(heatStorage(70, -0.5, 1800)).toBe(-heatStorage(70, 0.5, 1800));
    expect(() => heatStorage(70, 0.5, 0)).toThrow(expect.objectContaining({ argument: "durationS" }));
    expect(() => heatStorage(70, Number.NaN, 1800)).toThrow(
      expect.objectContaining({ argument: "meanBodyTemperatureChangeK" }),
    );
    expect(() => heatStorage(70, 0.5, 1800, 3.49)).toThrow(
      expect.objectContaining({ argument: "specificHeat" }),
    );
  });
});

describe("plausibility limits", () => {
  it("hold an ordinary person and refuse slips of unit", () => {
    expect(isPlausible("heightM", 1.75)).toBe(true);
    expect(isPlausible("heightM", 175)).toBe(false);
    expect(isPlausible("massKg", Number.NaN)).toBe(false);
    expect(plausibilityLimits.heightM).toEqual({ min: 1, max: 2.3, unit: "m" });
  });
});
