import * as body from "../../src/body";
import * as heat from "../../src/heat";
import { type Segment, segments } from "../../src/skin";
import type { EveryFunction } from "./every-function";

/** 50 numbers from one to another. */
const from = (low: number, high: number) =>
  Array.from({ length: 50 }, (_, i) => low + ((high - low) * i) / 49);
const skinfoldsMm = {
  biceps: 6.1,
  triceps: 9.3,
  subscapular: 11.7,
  suprailiac: 13.9,
  chest: 8.3,
  abdomen: 17.9,
  thigh: 14.3,
};

export const bodySamples: EveryFunction<typeof body> = {
  surfaceArea: () =>
    body.surfaceAreaFormulas.map(({ id }) =>
      from(1.4, 2).map((height) => body.surfaceArea(height, height * 41, id)),
    ),
  surfaceToMassRatio: () => from(1.4, 2).map((height) => body.surfaceToMassRatio(height, height * 41)),
  massIndex: () => from(1.4, 2).map((height) => body.massIndex(height, 71.3)),
  bodyDensity: () =>
    (["durnin womersley", "jackson pollock 3", "jackson pollock 7"] as const).flatMap((method) =>
      (["female", "male"] as const).map((sex) =>
        from(0.5, 2).map((factor) => {
          const folds = Object.entries(skinfoldsMm).map(([name, mm]) => [name, mm * factor]);
          try {
            return body.bodyDensity({ method, sex, ageYears: 31, skinfoldsMm: Object.fromEntries(folds) });
          } catch (error) {
            return String(error);
          }
        }),
      ),
    ),
  skinfoldsNeeded: () => body.skinfoldsNeeded("durnin womersley", "female"),
  bodyFatPercent: () =>
    from(1010, 1090).flatMap((density) => [
      body.bodyFatPercent(density),
      body.bodyFatPercent(density, "brozek"),
    ]),
  meanBodyTemperature: () => from(36, 40).map((core) => body.meanBodyTemperature(core, 33.1)),
  skinWeightByCoreTemperature: () => from(36, 40).map(body.skinWeightByCoreTemperature),
  heatStorage: () => from(-1, 2).map((change) => body.heatStorage(71.3, change, 1234)),
  isPlausible: () => body.isPlausible("heightM", 1.7),
};

const budget: heat.HeatBudgetInput = {
  binS: 5,
  firstBin: -20,
  segments: Object.fromEntries(
    segments.map((segment, k) => [
      segment,
      Float64Array.from({ length: 120 }, (_, i) => 31 + k / 7 + i / 130),
    ]),
  ) as Record<Segment, Float64Array>,
  surroundings: { airC: 22.3, radiantC: 23.1, airSpeed: 0.37, posture: "seated", vapourPressureKPa: 1.31 },
  surfaceAreaM2: 1.83,
  massKg: 71.3,
  metabolicPower: new Float64Array(120).fill(640),
  externalPower: new Float64Array(120).fill(140),
  meanBodyTemperature: Float64Array.from({ length: 120 }, (_, i) => 36.4 + i / 900),
  phases: [{ name: "steps", fromS: 0, toS: 400 }],
};
const state: heat.BudgetState = {
  ...budget.surroundings,
  skinC: new Map(segments.map((segment, k) => [segment, 31 + k / 7])),
  surfaceAreaM2: 1.83,
  metabolicW: 640,
  externalW: 140,
  storageW: 31,
  convectionFactor: 1,
  radiationFactor: 1,
};
const model: heat.BudgetModel = {
  posture: "standing",
  table: heat.segmentTable,
  shares: heat.segmentAreas(1),
  respiration: "ISO 7933",
  uncovered: "leave",
  wholeBodyConvection: null,
};
const { uncertainty } = heat.heatBudgetDefaults;
const view = { emissivity: 0.97, reflectedC: 21.7, transmission: 0.99, atmosphereC: 22.3 };

export const heatSamples: EveryFunction<typeof heat> = {
  radiantFlux: () => from(20, 40).map((skin) => heat.radiantFlux(skin, 22.3)),
  radiantCoefficient: () => from(20, 40).map((skin) => heat.radiantCoefficient(skin, 22.3)),
  wholeBodyConvection: () =>
    heat.convectionFormulas.map(({ id, needs }) =>
      from(0, 1).map((share) =>
        heat.wholeBodyConvection(
          id,
          Object.fromEntries(needs.map(({ quantity, min, max }) => [quantity, min + (max - min) * share])),
        ),
      ),
    ),
  pressureFactor: () => from(60, 105).map(heat.pressureFactor),
  segmentConvection: () =>
    segments.map((segment) => from(0, 3).map((speed) => heat.segmentConvection(segment, "standing", speed))),
  segmentAreas: () => heat.segmentAreas(1.83),
  segmentExchange: () =>
    segments.map((segment) => heat.segmentExchange(segment, 32.7, budget.surroundings, 1.83)),
  segmentTemperatures: () =>
    heat.segmentTemperatures([
      { regionId: "chest-left-anterior", statistic: "mean", values: Float64Array.from(from(30, 33)) },
      { regionId: "chest-right-anterior", statistic: "mean", values: Float64Array.from(from(31, 35)) },
    ]),
  respiratoryLoss: () =>
    from(60, 400).flatMap((power) => [
      heat.respiratoryLoss(power, 22.3, 1.31),
      heat.respiratoryLoss(power, 22.3, 1.31, "ISO 7933"),
    ]),
  metabolicPowerFromOxygen: () =>
    from(0.3, 4).flatMap((oxygen) =>
      heat.oxygenEquations.map(({ id }) => heat.metabolicPowerFromOxygen(oxygen, 0.91, id)),
    ),
  oxygenOfCycling: () => from(50, 200).map((power) => heat.oxygenOfCycling(power, 71.3)),
  metabolicPowerFromExternalWork: () =>
    from(20, 300).map((power) => heat.metabolicPowerFromExternalWork(power)),
  grossEfficiency: () => from(20, 200).map((power) => heat.grossEfficiency(power, 1000)),
  saturationPressure: () =>
    heat.saturationForms.map(({ id }) => from(0, 60).map((celsius) => heat.saturationPressure(celsius, id))),
  vapourPressure: () => from(5, 95).map((humidity) => heat.vapourPressure(22.3, humidity)),
  dewPoint: () => from(0.5, 5).map(heat.dewPoint),
  humidityRatio: () => from(0.5, 5).map((pressure) => heat.humidityRatio(pressure)),
  maximumEvaporation: () => from(1, 12).map((coefficient) => heat.maximumEvaporation(coefficient, 33, 1.31)),
  meanRadiantFromGlobe: () => from(0, 3).map((speed) => heat.meanRadiantFromGlobe(31.7, 22.3, speed)),
  operativeTemperature: () =>
    from(1, 12).map((coefficient) => heat.operativeTemperature(22.3, 24.1, coefficient, 4.7)),
  correctApparentTemperature: () => from(20, 40).map((shown) => heat.correctApparentTemperature(shown, view)),
  apparentTemperature: () => from(20, 40).map((true_) => heat.apparentTemperature(true_, view)),
  recorrectSeries: () => [
    ...heat.recorrectSeries(Float64Array.from(from(20, 40)), { emissivity: 0.95, reflectedC: 20 }, view),
  ],
  budgetTerms: () => heat.budgetTerms(state, model),
  budgetInputs: () => heat.budgetInputs(state, uncertainty),
  budgetFromInputs: () => {
    const inputs = Object.entries(heat.budgetInputs(state, uncertainty)).map(([name, { value }]) => [
      name,
      value * 1.01,
    ]);
    return heat.budgetFromInputs(state, model, Object.fromEntries(inputs));
  },
  propagateBudget: () => heat.propagateBudget(state, model, uncertainty, true),
  heatBudget: () => heat.heatBudget(budget),
  propagate: () =>
    heat.propagate(({ a, b }) => a / b, {
      a: { value: 3.3, sd: 0.1 },
      b: { value: 0.7, sd: 0.02 },
    }),
};
