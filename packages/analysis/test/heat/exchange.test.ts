import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { surfaceArea } from "../../src/body";
import {
  type ConvectionFormulaId,
  convectionFormulas,
  effectiveRadiantShares,
  pressureFactor,
  radiantCoefficient,
  radiantFlux,
  respiratoryLoss,
  segmentAreas,
  segmentConvection,
  segmentExchange,
  segmentTable,
  segmentTemperatures,
  wholeBodyConvection,
} from "../../src/heat";
import { type Segment, segments } from "../../src/skin";

describe("radiation", () => {
  // f·ε·σ·(T_s⁴ − T_r⁴) in kelvin with ε 0.98 and the CODATA constant.
  it.each([
    [33, 23, 1, 60.725],
    [33, 23, 0.7, 42.507],
    [33, 23, 0.73, 44.329],
    [33, 23, 0.77, 46.758],
    [34, 25, 1, 55.47],
    [32, 20, 1, 71.437],
    [34, 28.8, 1, 32.652],
  ])(
    "of skin at %s °C to surroundings at %s °C with a share of %s",
    (skin, radiant, effectiveShare, expected) => {
      expect(radiantFlux(skin, radiant, { effectiveShare })).toBeCloseTo(expected, 2);
    },
  );

  it("has a linear coefficient as in the ASHRAE handbook, 0.03 % below the exact one at a difference of 10 °C", () => {
    expect(radiantCoefficient(33, 23)).toBeCloseTo(6.0708, 3);
    expect(radiantFlux(33, 23) / 10).toBeCloseTo(6.0725, 3);
    expect(radiantCoefficient(33, 23, { effectiveShare: 0.7 })).toBeCloseTo(4.2514, 2);
  });

  it("reverses with the temperatures and vanishes between equal ones", () => {
    const celsius = fc.double({ min: -20, max: 60, noNaN: true });
    fc.assert(
      fc.property(celsius, celsius, (a, b) => {
        expect(radiantFlux(a, b)).toBeCloseTo(-radiantFlux(b, a), 9);
        expect(radiantFlux(a, a)).toBe(0);
        if (Math.abs(a - b) > 1e-6) expect(Math.sign(radiantFlux(a, b))).toBe(Math.sign(a - b));
      }),
    );
  });

  it("refuses kelvin, NaN and shares above one", () => {
    expect(() => radiantFlux(306.15, 23)).toThrow(expect.objectContaining({ argument: "skinC" }));
    expect(() => radiantFlux(33, Number.NaN)).toThrow(expect.objectContaining({ argument: "radiantC" }));
    expect(() => radiantFlux(33, 23, { effectiveShare: 1.1 })).toThrow(
      expect.objectContaining({ argument: "effectiveShare" }),
    );
    for (const { share } of Object.values(effectiveRadiantShares)) expect(share).toBeLessThan(1);
  });
});

describe("the convective coefficient of the whole body", () => {
  // The published formulas evaluated at the speeds given.
  it.each([
    ["seated, Mitchell", [3.16, 5.476, 8.3, 12.58]],
    ["standing, Seppänen", [4.875, 9.174, 14.8, null]],
    ["manikin standing, de Dear", [3.922, 6.795, 10.3, 15.612]],
    ["ISO 7933", [4.54, 6.1, 8.7, 13.187]],
    ["ISO 7730", [5.411, 8.556, 12.1, null]],
  ] as const)("by %s at 0.2, 0.5, 1 and 2 m/s", (id, expected) => {
    for (const [k, airSpeed] of [0.2, 0.5, 1, 2].entries()) {
      const value = expected[k];
      if (value === null || value === undefined) {
        expect(() => wholeBodyConvection(id, { airSpeed, temperatureDifference: 1 })).toThrow(
          expect.objectContaining({ argument: "airSpeed" }),
        );
        continue;
      }
      expect(wholeBodyConvection(id, { airSpeed, temperatureDifference: 1 })).toBeCloseTo(value, 3);
    }
  });

  it("by ISO 7730 is that of free convection where the air is still", () => {
    expect(wholeBodyConvection("ISO 7730", { airSpeed: 0, temperatureDifference: 10 })).toBeCloseTo(
      4.2323,
      4,
    );
    for (const [kelvin, expected] of [
      [5, 3.5589],
      [10, 4.2323],
      [15, 4.6838],
      [-15, 4.6838],
    ] as const) {
      expect(wholeBodyConvection("free, ISO 7730", { temperatureDifference: kelvin })).toBeCloseTo(
        expected,
        4,
      );
    }
  });

  it("by Nishi & Gagge for walking at 1 m/s is 8.6, on the treadmill 6.5", () => {
    expect(wholeBodyConvection("free walking, Nishi & Gagge", { walkingSpeed: 1 })).toBeCloseTo(8.6, 12);
    expect(wholeBodyConvection("treadmill, Nishi & Gagge", { walkingSpeed: 1 })).toBeCloseTo(6.5, 12);
  });

  it("raises the speed to its exponent and does not multiply by it", () => {
    expect(wholeBodyConvection("seated, Mitchell", { airSpeed: 1 })).toBe(8.3);
  });

  it("asks for what it needs and refuses what it does not hold for", () => {
    expect(() => wholeBodyConvection("ISO 7933", { airSpeed: 1 })).toThrow(
      expect.objectContaining({ code: "missing", argument: "temperatureDifference" }),
    );
    expect(() => wholeBodyConvection("active in still air, Gagge", { metabolicMet: 8 })).toThrow(
      expect.objectContaining({ argument: "metabolicMet" }),
    );
    expect(() => wholeBodyConvection("a breeze" as ConvectionFormulaId, {})).toThrow(
      expect.objectContaining({ code: "unknown" }),
    );
  });

  it("never falls with the air speed", () => {
    const airSpeed = fc.double({ min: 0.2, max: 0.95, noNaN: true });
    fc.assert(
      fc.property(airSpeed, fc.constantFrom(...convectionFormulas), (v, { id }) => {
        const at = (speed: number) =>
          wholeBodyConvection(id, {
            airSpeed: speed,
            walkingSpeed: 1,
            metabolicMet: 2,
            temperatureDifference: 8,
          });
        expect(at(v + 0.05)).toBeGreaterThanOrEqual(at(v));
      }),
    );
  });

  it("falls with air pressure as (p/101.33)^0.55 (ASHRAE)", () => {
    expect(pressureFactor(101.33)).toBe(1);
    expect(pressureFactor(70)).toBeCloseTo(0.8159, 3);
  });
});

describe("the exchange of body segments", () => {
  const room = { airC: 23, radiantC: 23, airSpeed: 0.1, posture: "seated" as const };
  const area = surfaceArea(1.75, 70);

  it("has areas that sum to the body's surface area, 1.868 m² in the source", () => {
    expect(Object.values(segmentTable).reduce((sum, entry) => sum + entry.area, 0)).toBeCloseTo(1.868, 12);
    fc.assert(
      fc.property(fc.double({ min: 0.5, max: 3, noNaN: true }), (surface) => {
        expect(Object.values(segmentAreas(surface)).reduce((sum, value) => sum + value, 0)).toBeCloseTo(
          surface,
          10,
        );
      }),
    );
  });

  it("has area-weighted mean coefficients close to those of the whole body", () => {
    const weighted = (pick: (segment: Segment) => number) =>
      segments.reduce((sum, segment) => sum + pick(segment) * segmentTable[segment].area, 0) / 1.868;
    expect(weighted((s) => segmentTable[s].natural.standing)).toBeCloseTo(3.0, 3);
    expect(weighted((s) => segmentTable[s].natural.seated)).toBeCloseTo(2.9994, 4);
    expect(weighted((s) => segmentTable[s].radiant.standing)).toBeCloseTo(4.6999, 3);
    expect(weighted((s) => segmentTable[s].radiant.seated)).toBeCloseTo(4.5556, 4);
    expect(weighted((s) => segmentConvection(s, "seated", 1))).toBeCloseTo(15.0473, 3);
    expect(weighted((s) => segmentConvection(s, "seated", 0.2))).toBeCloseTo(5.6101, 3);
  });

  // Coefficients of Ichihara et al. 1997, seated, air and surroundings at 23 °C, a body of 1.75 m and 70 kg.
  it.each([
    ["right hand", 31, 54.4, 2.6911, 9.7908],
    ["chest", 33.6, 75.366, 13.0488, 27.5109],
    ["right thigh", 31.8, 62.304, 12.8831, 32.9356],
    ["head", 34.5, 111.665, 12.1526, 24.981],
  ] as const)("of the %s at %s °C", (segment, skin, flux, still, moving) => {
    const exchange = segmentExchange(segment, skin, room, area);
    expect(exchange.convection.flux + exchange.radiation.flux).toBeCloseTo(flux, 3);
    expect(exchange.dryPower).toBeCloseTo(still, 3);
    expect(segmentExchange(segment, skin, { ...room, airSpeed: 1 }, area).dryPower).toBeCloseTo(moving, 3);
  });

  it("is a gain in a room hotter than the skin", () => {
    expect(segmentExchange("head", 34, { ...room, airC: 40, radiantC: 40 }, area).dryPower).toBeLessThan(0);
  });

  it("takes a table of the study's own", () => {
    const table = { ...segmentTable, head: { ...segmentTable.head, natural: { seated: 9.5, standing: 9 } } };
    expect(segmentExchange("head", 33, room, area, table).convection.coefficient).toBe(9.5);
  });

  it("is refused for an area in cm² and a negative air speed", () => {
    expect(() => segmentExchange("head", 33, room, 18481)).toThrow(
      expect.objectContaining({ argument: "surfaceAreaM2" }),
    );
    expect(() => segmentExchange("head", 33, { ...room, airSpeed: -1 }, area)).toThrow(
      expect.objectContaining({ argument: "airSpeed" }),
    );
  });
});

describe("segment temperatures from regions", () => {
  const trace = (regionId: string, ...values: number[]) => ({
    regionId,
    statistic: "mean" as const,
    values: Float64Array.from(values),
  });

  it("are the mean of the segment's regions with a value at that time", () => {
    const { series } = segmentTemperatures([
      trace("chest-left-anterior", 33, 34),
      trace("chest-right-anterior", 35, Number.NaN),
    ]);
    expect([...(series.chest ?? [])]).toEqual([34, 34]);
  });

  it("leave segments without data without, and mirror a side only on purpose", () => {
    const only = [trace("hand-left-dorsal", 31)];
    expect(segmentTemperatures(only).missing).toHaveLength(16);
    expect(segmentTemperatures(only).series["right hand"]).toBeUndefined();
    const mirrored = segmentTemperatures(only, "mirror");
    expect(mirrored.mirrored).toEqual(["right hand"]);
    expect([...(mirrored.series["right hand"] ?? [])]).toEqual([31]);
    expect(mirrored.missing).not.toContain("right hand");
  });

  it("refuse maxima and traces of unequal length", () => {
    const maximum = { ...trace("hand-left-dorsal", 31), statistic: "maximum" as const };
    expect(() => segmentTemperatures([maximum])).toThrow(expect.objectContaining({ code: "refused" }));
    expect(() => segmentTemperatures([trace("hand-left-dorsal", 31), trace("chest-left-anterior")])).toThrow(
      expect.objectContaining({ code: "unequal lengths" }),
    );
  });
});

describe("the respiratory loss", () => {
  // ASHRAE Handbook of Fundamentals: 0.0014·M·(34 − t_a), 0.0173·M·(5.87 − p_a).
  it("at 393.523 W/m² in air of 23 °C and 1.40437 kPa", () => {
    const { convection, evaporation } = respiratoryLoss(393.523, 23, 1.40437);
    expect(convection).toBeCloseTo(6.06, 2);
    expect(evaporation).toBeCloseTo(30.402, 2);
  });

  it("by ISO 7933 is of the same size", () => {
    const iso = respiratoryLoss(393.523, 23, 1.40437, "ISO 7933");
    const expired = 28.56 + 0.115 * 23 + 0.641 * 1.40437;
    expect(iso.convection).toBeCloseTo(0.001516 * 393.523 * (expired - 23), 9);
    expect(iso.convection + iso.evaporation).toBeGreaterThan(25);
    expect(iso.convection + iso.evaporation).toBeLessThan(40);
  });

  it("is refused for a metabolic rate in W of the whole body at hard work, and for humidity in per cent", () => {
    expect(() => respiratoryLoss(1600, 23, 1.4)).toThrow(
      expect.objectContaining({ argument: "metabolicWPerM2" }),
    );
    expect(() => respiratoryLoss(100, 23, 50)).toThrow(
      expect.objectContaining({ argument: "vapourPressureKPa" }),
    );
  });
});
