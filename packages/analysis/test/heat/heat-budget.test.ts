import { describe, expect, it } from "vitest";
import { surfaceArea } from "../../src/body";
import {
  type BudgetInputName,
  type BudgetModel,
  type BudgetState,
  budgetFromInputs,
  budgetInputs,
  type HeatBudgetInput,
  heatBudget,
  heatBudgetDefaults,
  metabolicPowerFromOxygen,
  propagate,
  propagateBudget,
  type SegmentTable,
  segmentAreas,
  segmentExchange,
  segmentTable,
  vapourPressure,
} from "../../src/heat";
import { type Segment, segments } from "../../src/skin";
import { normal, seededRandom } from "../seeded-random";

const area = surfaceArea(1.75, 70);
const bins = 120;
const everywhere = (value: (segment: Segment, bin: number) => number) =>
  Object.fromEntries(
    segments.map((segment) => [segment, Float64Array.from({ length: bins }, (_, i) => value(segment, i))]),
  ) as Record<Segment, Float64Array>;
const constant = (value: number) => new Float64Array(bins).fill(value);

const base: HeatBudgetInput = {
  binS: 5,
  firstBin: 0,
  segments: everywhere(() => 33),
  surroundings: {
    airC: 23,
    radiantC: 23,
    airSpeed: 0.1,
    posture: "seated",
    vapourPressureKPa: vapourPressure(23, 50),
  },
  surfaceAreaM2: area,
  massKg: 70,
  metabolicPower: constant(metabolicPowerFromOxygen(2.11, 0.9)),
  externalPower: constant(150),
  meanBodyTemperature: constant(36.5),
  phases: [{ name: "steps", fromS: 0, toS: 600 }],
};

/** All segments with the linear radiant coefficient of a seated body, so that the published balance follows. */
const uniform = Object.fromEntries(
  segments.map((segment) => [
    segment,
    { ...segmentTable[segment], radiant: { seated: 4.2514, standing: 4.2514 } },
  ]),
) as unknown as SegmentTable;

describe("the heat budget", () => {
  // ASHRAE balance M − W = C + R + E + C_res + E_res + S for 1.75 m, 70 kg, 150 W, 2.11 L/min: the evaporation that is left
  // in W/m² by convective coefficient.
  it.each([
    [3.1, 202.384],
    [5.4, 179.384],
    [6, 173.384],
    [6.8, 165.384],
  ])("with a convective coefficient of %s leaves the published remainder", (wholeBodyConvection, left) => {
    const { phases } = heatBudget({ ...base, settings: { wholeBodyConvection, table: uniform } });
    const [phase] = phases;
    expect((phase?.convectionW ?? 0) / area).toBeCloseTo(10 * wholeBodyConvection, 6);
    expect((phase?.radiationW ?? 0) / area).toBeCloseTo(42.514, 3);
    expect((phase?.respirationW ?? 0) / area).toBeCloseTo(6.06 + 30.402, 2);
    expect((phase?.remainderW ?? 0) / area).toBeCloseTo(left, 2);
  });

  it("closes: all terms and the remainder sum to metabolic minus external power, at each moment and over the phase", () => {
    const rising = Float64Array.from({ length: bins }, (_, i) => 36.5 + i * 0.001);
    const { course, phases } = heatBudget({
      ...base,
      segments: everywhere((_, i) => 33 - i / 100),
      meanBodyTemperature: rising,
    });
    const [phase] = phases;
    if (phase === undefined) throw new Error("a phase was given");
    const sum =
      (phase.convectionW ?? 0) +
      (phase.radiationW ?? 0) +
      (phase.respirationW ?? 0) +
      (phase.storageW ?? 0) +
      (phase.remainderW ?? 0);
    expect(sum).toBeCloseTo((phase.metabolicW ?? 0) - 150, 8);
    const at = (values: Float64Array) => values[60] ?? Number.NaN;
    const moment =
      at(course.convectionW) +
      at(course.radiationW) +
      at(course.respirationW) +
      at(course.storageW) +
      at(course.remainderW);
    expect(moment).toBeCloseTo((phase.metabolicW ?? 0) - 150, 8);
    // 0.001 °C per 5 s in 70 kg of 3492 J/(kg·K)
    expect(phase.storageW).toBeCloseTo((3492 * 70 * 0.001) / 5, 6);
    expect(at(course.storageW)).toBeCloseTo((3492 * 70 * 0.001) / 5, 6);
    expect(course.remainderW[0]).toBeNaN();
  });

  it("sums the exchange of its segments", () => {
    const { phases, course } = heatBudget(base);
    const [phase] = phases;
    const expected = segments.map((segment) => segmentExchange(segment, 33, base.surroundings, area));
    expect(phase?.coveredShare).toBeCloseTo(1, 12);
    expect(phase?.convectionW).toBeCloseTo(
      expected.reduce((sum, { convection }) => sum + convection.power, 0),
      9,
    );
    expect(phase?.radiationW).toBeCloseTo(
      expected.reduce((sum, { radiation }) => sum + radiation.power, 0),
      9,
    );
    expect(course.segments.head?.convectionW[10]).toBeCloseTo(expected[0]?.convection.power ?? Number.NaN, 9);
  });

  it("leaves segments without data without, shows the covered share, and then has no remainder", () => {
    const few = { chest: constant(33.6), "left hand": constant(31) };
    const { phases, course } = heatBudget({ ...base, segments: few });
    const [phase] = phases;
    const areas = segmentAreas(area);
    expect(phase?.coveredShare).toBeCloseTo((areas.chest + areas["left hand"]) / area, 12);
    expect(phase?.segments.map(({ segment }) => segment)).toEqual(["chest", "left hand"]);
    expect(phase?.remainderW).toBeNull();
    expect(phase?.remainderReason).toBe("only 12 % of the surface has data");
    expect(course.segments.head).toBeUndefined();
    expect(course.remainderW.every(Number.isNaN)).toBe(true);
  });

  it("extrapolates the surface without data on purpose only", () => {
    const few = { chest: constant(33.6), "left hand": constant(31) };
    const left = heatBudget({ ...base, segments: few }).phases[0];
    const extended = heatBudget({ ...base, segments: few, settings: { uncovered: "extrapolate" } }).phases[0];
    expect(extended?.convectionW).toBeCloseTo((left?.convectionW ?? 0) / (left?.coveredShare ?? 0), 9);
    expect(extended?.remainderW).not.toBeNull();
  });

  it("says what is missing from the balance", () => {
    const without = (key: "metabolicPower" | "externalPower" | "meanBodyTemperature") => {
      const { [key]: _, ...rest } = base;
      return heatBudget(rest).phases[0]?.remainderReason;
    };
    expect(without("metabolicPower")).toMatch(/metabolic power/);
    expect(without("externalPower")).toMatch(/external power/);
    expect(without("meanBodyTemperature")).toMatch(/core temperature/);
    const nothing = heatBudget({ ...base, segments: {} });
    expect(nothing.phases[0]?.remainderReason).toMatch(/no segment/);
    expect(nothing.phases[0]?.convectionW).toBeNull();
    expect(nothing.phases[0]?.uncertainty.convectionW).toBeNull();
  });

  it("has NaN where a segment is NaN, and a covered share that says so", () => {
    const gap = everywhere((segment, i) => (segment === "head" && i < 10 ? Number.NaN : 33));
    const { course } = heatBudget({ ...base, segments: gap });
    expect(course.segments.head?.convectionW[5]).toBeNaN();
    expect(course.coveredShare[5]).toBeCloseTo(1 - 0.11 / 1.868, 9);
    expect(course.coveredShare[15]).toBeCloseTo(1, 9);
  });

  it("refuses series of unequal lengths, a phase that ends before it begins, and an impossible room", () => {
    expect(() => heatBudget({ ...base, externalPower: new Float64Array(3) })).toThrow(
      expect.objectContaining({ code: "unequal lengths" }),
    );
    expect(() => heatBudget({ ...base, phases: [{ name: "back", fromS: 10, toS: 0 }] })).toThrow(
      /"back" runs from 10 to 0 s/,
    );
    expect(() => heatBudget({ ...base, surroundings: { ...base.surroundings, airC: 296 } })).toThrow(
      expect.objectContaining({ argument: "surroundings" }),
    );
  });
});

describe("the uncertainty of the budget", () => {
  const state: BudgetState = {
    skinC: new Map(segments.map((segment, k) => [segment, 31 + k / 8])),
    airC: 22,
    radiantC: 21,
    airSpeed: 0.6,
    vapourPressureKPa: 1.3,
    surfaceAreaM2: area,
    metabolicW: 650,
    externalW: 120,
    storageW: 60,
    convectionFactor: 1,
    radiationFactor: 1,
  };
  const model: BudgetModel = {
    posture: "standing",
    table: segmentTable,
    shares: segmentAreas(1),
    respiration: "ASHRAE",
    uncovered: "leave",
    wholeBodyConvection: null,
  };

  it("by first order agrees with Monte Carlo", () => {
    const inputs = budgetInputs(state, heatBudgetDefaults.uncertainty);
    const names = Object.keys(inputs) as BudgetInputName[];
    const random = seededRandom(99);
    const draws = 40_000;
    const drawn = { convectionW: [] as number[], radiationW: [] as number[], remainderW: [] as number[] };
    for (let k = 0; k < draws; k++) {
      const one = Object.fromEntries(
        names.map((name) => [name, inputs[name].value + inputs[name].sd * normal(random)]),
      );
      const terms = budgetFromInputs(state, model, one as Record<BudgetInputName, number>);
      drawn.convectionW.push(terms.convectionW ?? Number.NaN);
      drawn.radiationW.push(terms.radiationW ?? Number.NaN);
      drawn.remainderW.push(terms.remainderW ?? Number.NaN);
    }
    const firstOrder = propagateBudget(state, model, heatBudgetDefaults.uncertainty, true);
    for (const term of ["convectionW", "radiationW", "remainderW"] as const) {
      const { sd, value } = firstOrder[term] ?? { sd: Number.NaN, value: Number.NaN };
      const mean = drawn[term].reduce((sum, x) => sum + x, 0) / draws;
      const spread = Math.sqrt(drawn[term].reduce((sum, x) => sum + (x - mean) ** 2, 0) / (draws - 1));
      // The standard error of a spread over 40,000 draws is 0.35 %; the rest is the curvature that first order leaves out.
      expect(Math.abs(sd / spread - 1), term).toBeLessThan(0.03);
      expect(Math.abs(value - mean), term).toBeLessThan(0.05 * sd);
    }
  });

  it("takes what segments share as one input: an error of the camera does not average out over them", () => {
    const only = { ...zero, skinCommonC: 0.5 };
    const apart = { ...zero, skinSegmentC: 0.5 };
    const common = propagateBudget(state, model, only, true).radiationW?.sd ?? 0;
    const independent = propagateBudget(state, model, apart, true).radiationW?.sd ?? 0;
    // 0.5 °C on an area-weighted radiant coefficient of 4.6999 W/(m²·K), standing.
    expect(common).toBeCloseTo(0.5 * 4.6999 * area, 2);
    expect(independent).toBeLessThan(common / 2);
  });

  it("names what each input contributes, and the squares add up", () => {
    const { sd, contributions } = propagateBudget(state, model, heatBudgetDefaults.uncertainty, true)
      .remainderW ?? {
      sd: 0,
      contributions: {},
    };
    const squares = Object.values(contributions).reduce((sum, c) => sum + c ** 2, 0);
    expect(Math.sqrt(squares)).toBeCloseTo(sd, 10);
    expect(contributions["metabolic power" as keyof typeof contributions]).toBeGreaterThan(0);
  });

  const zero = Object.fromEntries(
    Object.keys(heatBudgetDefaults.uncertainty).map((key) => [key, 0]),
  ) as unknown as typeof heatBudgetDefaults.uncertainty;
});

describe("propagation of uncertainty", () => {
  // JCGM 100:2008 (GUM), Annex H.2 (numbers from memory): Z = V/I for V = 4.9990 V (0.0032), I = 19.6610 mA (0.0095), without the correlations of
  // that example: 254.260 Ω with relative variances (0.0032/4.9990)² + (0.0095/19.6610)².
  it("of a quotient adds the relative variances", () => {
    const result = propagate(({ v, i }) => v / i, {
      v: { value: 4.999, sd: 0.0032 },
      i: { value: 0.019661, sd: 0.0000095 },
    });
    expect(result.value).toBeCloseTo(254.26, 2);
    expect(result.sd / result.value).toBeCloseTo(Math.hypot(0.0032 / 4.999, 0.0095 / 19.661), 7);
  });

  it("is exact for a linear function", () => {
    const { sd, contributions } = propagate(({ a, b }) => 3 * a - 2 * b, {
      a: { value: 1, sd: 0.1 },
      b: { value: 5, sd: 0.2 },
    });
    expect(sd).toBeCloseTo(0.5, 12);
    expect(contributions.a).toBeCloseTo(0.3, 12);
    expect(contributions.b).toBeCloseTo(0.4, 12);
  });

  it("refuses negative and infinite uncertainties and results that are not finite", () => {
    expect(() => propagate(({ a }) => a, { a: { value: 1, sd: -1 } })).toThrow(
      expect.objectContaining({ argument: "a" }),
    );
    expect(() => propagate(({ a }) => a, { a: { value: Number.NaN, sd: 1 } })).toThrow(
      expect.objectContaining({ code: "not finite" }),
    );
    expect(() => propagate(({ a }) => Math.log(a), { a: { value: -1, sd: 0 } })).toThrow(
      expect.objectContaining({ argument: "compute" }),
    );
    expect(() => propagate(({ a }) => Math.sqrt(a), { a: { value: 1, sd: 2 } })).toThrow(
      expect.objectContaining({ argument: "a" }),
    );
  });
});
