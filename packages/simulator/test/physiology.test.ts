import { describe, expect, it } from "vitest";
import { type BodyState, simulateBody, steppingOxygenUptake, type TrialPlan } from "../src/physiology";
import { type SkinNode, skinNodes } from "../src/skin-node";

const meanBody: BodyState = {
  massKg: 75,
  surfaceM2: 1.9,
  restingHeartRate: 62,
  maximumHeartRate: 182,
  maximumOxygenUptake: 41,
  constrictionGain: 1,
  dilationGain: 1,
  dilationThresholdC: 0.16,
  restingOffsetsC: skinNodes.map(() => 0),
};
const plan: TrialPlan = {
  condition: "bare hands",
  room: {
    airTemperatureC: 23,
    meanRadiantTemperatureC: 23,
    relativeHumidityPercent: 45,
    airSpeedMS: 0.1,
  },
  exerciseStartS: 600,
  exerciseEndS: 1800,
  endS: 2400,
};

function courseOf(regionId: string, changed: Partial<TrialPlan> = {}): Float64Array {
  const index = skinNodes.findIndex((skin) => skin.regionId === regionId);
  const course = simulateBody(skinNodes, meanBody, { ...plan, ...changed }).skinC[index];
  if (course === undefined) throw new Error(regionId);
  return course;
}

function at(course: Float64Array, second: number): number {
  const value = course[second];
  if (value === undefined) throw new Error(`no second ${second}`);
  return value;
}

/** Slope of the least-squares line over the seconds from..to, °C/s. */
function slope(course: Float64Array, from: number, to: number): number {
  const n = to - from + 1;
  let [sx, sy, sxx, sxy] = [0, 0, 0, 0];
  for (let t = from; t <= to; t += 1) {
    sx += t;
    sy += at(course, t);
    sxx += t * t;
    sxy += t * at(course, t);
  }
  return (n * sxy - sx * sy) / (n * sxx - sx * sx);
}

function lowestSecond(course: Float64Array): number {
  let lowest = plan.exerciseStartS;
  for (let t = lowest; t <= plan.exerciseEndS; t += 1) if (at(course, t) < at(course, lowest)) lowest = t;
  return lowest;
}

describe("steppingOxygenUptake", () => {
  it("gives 31.4 mL/(kg·min) for 30 steps a minute on 12 inches (printed worked example of the ACSM equation)", () => {
    expect(steppingOxygenUptake(30, 0.3048)).toBeCloseTo(31.4, 1);
  });
});

describe("the mean volunteer's bare hand, against Zontak et al. 1998", () => {
  const hand = courseOf("hand-right-dorsal");
  const lowest = lowestSecond(hand);

  it("falls for 390 ± 47 s", () => {
    expect(Math.abs(lowest - plan.exerciseStartS - 390)).toBeLessThan(47);
  });

  it("falls at -0.0075 ± 0.001 °C/s", () => {
    expect(Math.abs(slope(hand, plan.exerciseStartS, lowest) + 0.0075)).toBeLessThan(0.001);
  });

  it("then rises at 0.0055 ± 0.0031 °C/s over 484 s", () => {
    expect(Math.abs(slope(hand, lowest, lowest + 484) - 0.0055)).toBeLessThan(0.0031);
  });

  it("then is nearly steady: under a fifth of that rate until exercise ends", () => {
    expect(Math.abs(slope(hand, lowest + 484 + 99, plan.exerciseEndS))).toBeLessThan(0.0055 / 5);
  });
});

describe("simulateBody", () => {
  it("cools a fingertip without flow with a half-time of 6.6 ± 1.2 min (Rubinstein & Sessler 1990)", () => {
    const tip = skinNodes.find((skin) => skin.regionId === "fingertip-left-palmar");
    if (tip === undefined) throw new Error("no fingertip");
    const occluded: SkinNode = { ...tip, perfusedShare: 1, constriction: 60, dilation: 0 };
    const body = { ...meanBody, restingOffsetsC: [0] };
    const [course] = simulateBody([occluded], body, plan).skinC;
    if (course === undefined) throw new Error("no course");
    const from = plan.exerciseStartS + 60;
    const half = 23 + (at(course, from) - 23) / 2;
    const until = course.findIndex((value, t) => t > from && value <= half);
    expect(Math.abs((until - from) / 60 - 6.6)).toBeLessThan(1.2);
  });

  it("keeps mean skin temperature (Ramanathan 1964) within two SD of Boutcher et al. 1995 at 24 °C: 33.34 ± 0.51", () => {
    const weights: Record<string, number> = {
      "chest-left-anterior": 0.3,
      "upper-arm-left-anterior": 0.3,
      "thigh-right-anterior": 0.2,
      "calf-right-posterior": 0.2,
    };
    const room = { ...plan.room, airTemperatureC: 24, meanRadiantTemperatureC: 24 };
    const mean = Object.entries(weights).reduce(
      (sum, [id, weight]) => sum + weight * at(courseOf(id, { room }), plan.exerciseEndS),
      0,
    );
    expect(Math.abs(mean - 33.34)).toBeLessThan(2 * 0.51);
  });

  it("stays at rest when nobody exercises and the room does not change", () => {
    const still = { ...plan, exerciseStartS: 3000, exerciseEndS: 4000 };
    const body = simulateBody(skinNodes, meanBody, still);
    for (const course of body.skinC) expect(Math.abs(at(course, 2400) - at(course, 0))).toBeLessThan(1e-9);
  });

  it("changes by less than 0.005 °C when the step is a quarter: one second is fine enough", () => {
    const coarse = simulateBody(skinNodes, meanBody, plan);
    const fine = simulateBody(skinNodes, meanBody, plan, 0.25);
    coarse.skinC.forEach((course, i) => {
      const other = fine.skinC[i];
      if (other === undefined) throw new Error("no course");
      course.forEach((value, t) => {
        expect(Math.abs(value - at(other, t))).toBeLessThan(0.005);
      });
    });
  });

  it("rewarms forearms more with gloves on, and cools gloved hands less", () => {
    const gloves = { condition: "insulated gloves" as const };
    const rise = (course: Float64Array): number =>
      at(course, plan.exerciseEndS) - at(course, lowestSecond(course));
    const fall = (course: Float64Array): number =>
      at(course, plan.exerciseStartS) - at(course, lowestSecond(course));
    expect(rise(courseOf("forearm-left-anterior", gloves))).toBeGreaterThan(
      rise(courseOf("forearm-left-anterior")) + 0.3,
    );
    expect(fall(courseOf("hand-left-dorsal", gloves))).toBeLessThan(fall(courseOf("hand-left-dorsal")) - 0.5);
  });

  it("refuses moving air, for which its coefficients do not hold", () => {
    const room = { ...plan.room, airSpeedMS: 0.5 };
    expect(() => simulateBody(skinNodes, meanBody, { ...plan, room })).toThrow(/0\.2 m\/s/);
  });
});
