import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  apparentTemperature,
  correctApparentTemperature,
  dewPoint,
  grossEfficiency,
  humidityRatio,
  maximumEvaporation,
  meanRadiantFromGlobe,
  metabolicPowerFromExternalWork,
  metabolicPowerFromOxygen,
  operativeTemperature,
  oxygenOfCycling,
  recorrectSeries,
  saturationForms,
  saturationPressure,
  vapourPressure,
} from "../../src/heat";

describe("metabolic power", () => {
  // ISO 8996: energy equivalent (0.23·RER + 0.77)·5.88 W·h per litre; the other equations as published.
  it.each([
    [0.7, 5.47428],
    [0.8, 5.60952],
    [0.85, 5.67714],
    [0.9, 5.74476],
    [1, 5.88],
  ])("at a respiratory exchange ratio of %s", (ratio, wattHours) => {
    expect(metabolicPowerFromOxygen(1, ratio) / 60).toBeCloseTo(wattHours, 5);
  });

  it.each([
    ["ISO 8996", 727.287],
    ["weir", 726.329],
    ["brockway", 725.805],
    ["brouwer", 727.88],
  ] as const)("of 2.11 L/min of oxygen at a ratio of 0.9 by %s", (equation, expected) => {
    expect(metabolicPowerFromOxygen(2.11, 0.9, equation)).toBeCloseTo(expected, 1);
  });

  // Weir's example as published: 0.30 and 0.24 L/min give 1.44774 kcal/min.
  it("of rest by Weir is 1.44774 kcal/min", () => {
    expect((metabolicPowerFromOxygen(0.3, 0.8, "weir") * 60) / 4184).toBeCloseTo(1.44774, 5);
  });

  // American College of Sports Medicine: 62 kg at 450 kg·m/min (75 W at 6 kg·m/min per watt) gives 20 mL/(kg·min).
  it("of cycling by the college's equation", () => {
    expect((oxygenOfCycling(75, 62) / 62) * 1000).toBeCloseTo(20.0645, 4);
    expect(oxygenOfCycling(150, 70)).toBeCloseTo(2.11, 10);
  });

  it("and external power give the gross efficiency and back", () => {
    expect(grossEfficiency(150, 727.287)).toBeCloseTo(0.20625, 5);
    expect(metabolicPowerFromExternalWork(150, 0.20625)).toBeCloseTo(727.27, 1);
    expect(metabolicPowerFromExternalWork(150)).toBe(750);
  });

  it("is refused where the equation says nothing", () => {
    expect(() => metabolicPowerFromExternalWork(0)).toThrow(
      expect.objectContaining({ argument: "externalPowerW" }),
    );
    expect(() => metabolicPowerFromExternalWork(150, 20)).toThrow(
      expect.objectContaining({ argument: "grossEfficiency" }),
    );
    expect(() => metabolicPowerFromOxygen(2110)).toThrow(
      expect.objectContaining({ argument: "oxygenLPerMin" }),
    );
    expect(() => metabolicPowerFromOxygen(2, Number.NaN)).toThrow(
      expect.objectContaining({ argument: "exchangeRatio" }),
    );
    expect(() => oxygenOfCycling(0, 70)).toThrow(expect.objectContaining({ argument: "powerW" }));
    expect(() => grossEfficiency(200, 100)).toThrow(expect.objectContaining({ argument: "externalPowerW" }));
  });
});

describe("humid air", () => {
  // The four published forms in kPa; they spread by 0.3 %. Hyland–Wexler is within 0.1 % of steam tables.
  it.each([
    [0, 0.60889, 0.6105, 0.6112, 0.61121],
    [10, 1.22614, 1.22736, 1.22603, 1.228],
    [20, 2.33722, 2.33713, 2.3326, 2.3388],
    [25, 3.16735, 3.16622, 3.16006, 3.16922],
    [30, 4.24339, 4.24098, 4.23372, 4.24603],
    [33, 5.03092, 5.02768, 5.02031, 5.03434],
    [34, 5.32018, 5.31665, 5.30939, 5.32391],
    [40, 7.37716, 7.37199, 7.36746, 7.38346],
  ])("is saturated at %s °C", (celsius, ...expected) => {
    for (const [k, form] of (["antoine", "ISO 7933", "magnus", "hyland wexler"] as const).entries()) {
      expect(saturationPressure(celsius, form)).toBeCloseTo(expected[k] ?? Number.NaN, 5);
    }
  });

  it("at 25 °C and 50 % has 1.5837 kPa and 9.876 g of water per kilogram", () => {
    expect(vapourPressure(25, 50)).toBeCloseTo(1.583676, 5);
    expect(humidityRatio(vapourPressure(25, 50))).toBeCloseTo(0.0098757, 6);
  });

  it("has its dew point where it would be saturated", () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 45, noNaN: true }), (celsius) => {
        expect(dewPoint(saturationPressure(celsius, "magnus"))).toBeCloseTo(celsius, 9);
      }),
    );
  });

  it("holds more vapour the warmer it is, in every form", () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0, max: 70, noNaN: true }),
        fc.constantFrom(...saturationForms),
        (celsius, { id }) => {
          expect(saturationPressure(celsius + 0.5, id)).toBeGreaterThan(saturationPressure(celsius, id));
        },
      ),
    );
  });

  it("bounds evaporation from wet skin by the Lewis relation: 16.5 K/kPa (ASHRAE), 16.7 (ISO 7933)", () => {
    expect(maximumEvaporation(3.3, 34, vapourPressure(25, 50))).toBeCloseTo(203.453, 2);
    expect(maximumEvaporation(3.3, 34, vapourPressure(25, 50), 16.7)).toBeCloseTo(205.919, 2);
  });

  it("is refused for a humidity above 100 % or given as a share of one in a hundred and one", () => {
    expect(() => vapourPressure(25, 101)).toThrow(
      expect.objectContaining({ argument: "relativeHumidityPercent" }),
    );
    expect(() => saturationPressure(-5, "hyland wexler")).toThrow(
      expect.objectContaining({ argument: "celsius" }),
    );
    expect(() => dewPoint(0)).toThrow(expect.objectContaining({ argument: "vapourPressureKPa" }));
  });
});

describe("the mean radiant temperature", () => {
  // ISO 7726: globe 55 °C, air 30 °C, 0.3 m/s; the standard's example prints 74.7 (from memory), its constants give 74.47.
  it("from a standard globe", () => {
    const { radiantC, convection } = meanRadiantFromGlobe(55, 30, 0.3);
    expect(radiantC).toBeCloseTo(74.47, 1);
    expect(convection).toBe("forced");
  });

  it("from a globe of 10 cm is 74.8 °C in a published worked example", () => {
    expect(Math.abs(meanRadiantFromGlobe(53.2, 30, 0.3, { diameterM: 0.1 }).radiantC - 74.8)).toBeLessThan(
      0.2,
    );
  });

  it("takes natural convection in still air and equals the air where the globe does", () => {
    expect(meanRadiantFromGlobe(55, 30, 0).convection).toBe("natural");
    expect(meanRadiantFromGlobe(55, 30, 0).radiantC).toBeCloseTo(70.6, 1);
    expect(meanRadiantFromGlobe(23, 23, 0.2).radiantC).toBeCloseTo(23, 9);
  });

  it("gives the operative temperature as the mean weighted by the coefficients (ASHRAE)", () => {
    expect(operativeTemperature(25, 30, 3.3, 4.5)).toBeCloseTo(27.8846, 4);
  });

  it("is refused for kelvin", () => {
    expect(() => meanRadiantFromGlobe(328, 30, 0.3)).toThrow(expect.objectContaining({ argument: "globeC" }));
    expect(() => meanRadiantFromGlobe(20, 90, 15)).toThrow(expect.objectContaining({ argument: "globeC" }));
  });
});

describe("the correction for emissivity and reflected temperature", () => {
  // {[T_app⁴ − (1 − ε)·T_refl⁴]/ε}^¼ in kelvin.
  it.each([
    [33, 0.98, 22, 33.2125],
    [33, 0.97, 22, 33.3218],
    [33, 0.95, 22, 33.547],
    [30, 0.98, 20, 30.194],
    [36, 0.98, 25, 36.2126],
    [33, 0.98, 33, 33],
    [33, 0.98, 60, 32.3698],
  ])("of %s °C at emissivity %s with %s °C reflected", (apparent, emissivity, reflectedC, expected) => {
    expect(correctApparentTemperature(apparent, { emissivity, reflectedC })).toBeCloseTo(expected, 4);
  });

  it("allows for the air between", () => {
    const conditions = { emissivity: 0.98, reflectedC: 22, transmission: 0.99, atmosphereC: 23 };
    expect(correctApparentTemperature(33, conditions)).toBeCloseTo(33.3103, 4);
    expect(() =>
      correctApparentTemperature(33, { emissivity: 0.98, reflectedC: 22, transmission: 0.9 }),
    ).toThrow(expect.objectContaining({ code: "missing", argument: "atmosphereC" }));
  });

  it("agrees within 0.003 °C with the integral of Planck's law over 8 to 14 µm", () => {
    expect(
      Math.abs(correctApparentTemperature(33, { emissivity: 0.98, reflectedC: 22 }) - planck(33, 0.98, 22)),
    ).toBeLessThan(0.003);
    expect(
      Math.abs(correctApparentTemperature(33, { emissivity: 0.95, reflectedC: 22 }) - planck(33, 0.95, 22)),
    ).toBeLessThan(0.0035);
    expect(planck(33, 0.98, 22)).toBeCloseTo(33.2136, 3);
  });

  it("is undone by the apparent temperature", () => {
    const celsius = fc.double({ min: 10, max: 45, noNaN: true });
    fc.assert(
      fc.property(
        celsius,
        celsius,
        fc.double({ min: 0.9, max: 1, noNaN: true }),
        (surface, reflectedC, emissivity) => {
          const conditions = { emissivity, reflectedC, transmission: 0.98, atmosphereC: 21 };
          expect(
            correctApparentTemperature(apparentTemperature(surface, conditions), conditions),
          ).toBeCloseTo(surface, 9);
        },
      ),
    );
    expect(apparentTemperature(33, { emissivity: 0.98, reflectedC: 22 })).toBeCloseTo(32.7914, 4);
  });

  it("of a series undoes what the camera had assumed, so that nothing is corrected twice", () => {
    const assumed = { emissivity: 0.95, reflectedC: 20 };
    const actual = { emissivity: 0.98, reflectedC: 24 };
    const truth = [33, 31.5];
    const recorded = Float64Array.from([...truth, Number.NaN], (t) =>
      Number.isNaN(t) ? t : correctApparentTemperature(apparentTemperature(t, actual), assumed),
    );
    const corrected = recorrectSeries(recorded, assumed, actual);
    expect(corrected[0]).toBeCloseTo(33, 9);
    expect(corrected[1]).toBeCloseTo(31.5, 9);
    expect(corrected[2]).toBeNaN();
    expect(recorrectSeries(recorded, assumed, assumed)[0]).toBeCloseTo(recorded[0] ?? Number.NaN, 9);
  });

  it("is refused for an emissivity of zero and for more reflection than radiance", () => {
    expect(() => correctApparentTemperature(33, { emissivity: 0, reflectedC: 22 })).toThrow(
      expect.objectContaining({ argument: "emissivity" }),
    );
    expect(() => correctApparentTemperature(-50, { emissivity: 0.2, reflectedC: 150 })).toThrow(
      expect.objectContaining({ argument: "apparentC" }),
    );
  });
});

/** The same correction by integrating Planck's law over 8 to 14 µm and inverting it by bisection. */
function planck(apparentC: number, emissivity: number, reflectedC: number): number {
  const band = (celsius: number) => {
    let sum = 0;
    for (let k = 0; k < 600; k++) {
      const metres = (8 + (k + 0.5) / 100) * 1e-6;
      sum += 1 / (metres ** 5 * Math.expm1(0.01438776877 / (metres * (celsius + 273.15))));
    }
    return sum;
  };
  const wanted = (band(apparentC) - (1 - emissivity) * band(reflectedC)) / emissivity;
  let low = 0;
  let high = 60;
  for (let step = 0; step < 50; step++) {
    const middle = (low + high) / 2;
    if (band(middle) < wanted) low = middle;
    else high = middle;
  }
  return low;
}
