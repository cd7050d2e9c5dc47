import { portableExp } from "./portable-exp";
import { heatTransfer, operativeTemperature, type SkinNode } from "./skin-node";
import type { ConditionName, SimulatedRoom } from "./types";

/**
 * The equations, also written out with their sources in this package's README.md. One integration step is 1 s;
 * Heun's method. All quantities in SI units, temperatures in °C.
 */

/** The exercise: stepping on a bench, at a constant rate. */
export const bench = { heightM: 0.2, stepsPerMinute: 20 } as const;

/** Additional resistance of the glove between skin and room, m²·K/W (about 0.8 clo). Invented. */
const gloveResistance = 0.12;

/** Factor on the forearms' dilation with gloves on: the planted effect of the condition. Invented. */
export const gloveForearmGain = 1.22;

/** J/(kg·K), whole body (0.83 kcal/(kg·K), Burton 1935). */
const bodySpecificHeat = 3490;
/** W/(m²·K): heat lost by sweating and flow per degree of core rise and body surface. Invented, gives 0.6 °C in 20 min. */
const coreLoss = 205;
const coreRestingC = 36.9;

const constrictionOnS = 50;
const constrictionOffS = 110;
const dilationS = 70;
const dilationSpanC = 0.2;
const metabolismS = 120;
const muscleS = 420;
const sweatS = 150;
const heartOnS = 35;
const heartOffS = 70;

/** What makes one body in one trial differ from another. */
export interface BodyState {
  readonly massKg: number;
  readonly surfaceM2: number;
  readonly restingHeartRate: number;
  readonly maximumHeartRate: number;
  /** mL/(kg·min). */
  readonly maximumOxygenUptake: number;
  readonly constrictionGain: number;
  readonly dilationGain: number;
  /** Core rise at which dilation starts, °C. */
  readonly dilationThresholdC: number;
  /** Added to each node's resting level, °C, in the order of the nodes. */
  readonly restingOffsetsC: readonly number[];
}

export interface TrialPlan {
  readonly condition: ConditionName;
  readonly room: SimulatedRoom;
  /** Seconds from the first instant to the start of exercise, to its end, and to the last instant. */
  readonly exerciseStartS: number;
  readonly exerciseEndS: number;
  readonly endS: number;
}

/** Values at whole seconds 0, 1, …, endS. */
export interface BodyCourse {
  readonly skinC: readonly Float64Array[];
  /** Dilation of each region, 0 to 1: also drives how patchy the region looks. */
  readonly dilation: readonly Float64Array[];
  readonly coreC: Float64Array;
  readonly heartRate: Float64Array;
}

/**
 * Oxygen uptake of bench stepping, mL/(kg·min): 0.2·f + 1.33·1.8·f·h + 3.5, with f in steps per minute and h in m.
 * American College of Sports Medicine; checked against measurement by Latin, Berg, Kissinger et al. 2001.
 */
export function steppingOxygenUptake(stepsPerMinute: number, heightM: number): number {
  return 0.2 * stepsPerMinute + 1.33 * 1.8 * stepsPerMinute * heightM + 3.5;
}

/** Metabolic power, W, from oxygen uptake at a respiratory exchange ratio of 0.85 (ISO 8996: 5.68 W·h per litre). */
function metabolicPower(oxygenUptake: number, massKg: number): number {
  return 5.68 * ((oxygenUptake * massKg * 60) / 1000);
}

export function simulateBody(
  nodes: readonly SkinNode[],
  body: BodyState,
  plan: TrialPlan,
  stepS = 1,
): BodyCourse {
  if (body.restingOffsetsC.length !== nodes.length) {
    throw new RangeError(`simulateBody: ${nodes.length} nodes, ${body.restingOffsetsC.length} offsets`);
  }
  if (plan.room.airSpeedMS >= 0.2) {
    throw new RangeError(
      `simulateBody: the coefficients hold below 0.2 m/s, the room has ${plan.room.airSpeedMS}`,
    );
  }
  const gloves = plan.condition === "insulated gloves";
  const skins = nodes.map((skin, i) => preparedSkin(skin, body, plan, gloves, body.restingOffsetsC[i] ?? 0));
  const exerciseUptake = steppingOxygenUptake(bench.stepsPerMinute, bench.heightM);
  const externalPower = (body.massKg * 9.81 * bench.heightM * bench.stepsPerMinute) / 60;
  const extraHeat =
    metabolicPower(exerciseUptake, body.massKg) - metabolicPower(3.5, body.massKg) - externalPower;
  const load = Math.min(1, (exerciseUptake - 3.5) / (body.maximumOxygenUptake - 3.5));
  const coreCapacity = body.massKg * bodySpecificHeat;

  // State: constriction, metabolism, muscle, core rise, sweating, heart rate, then dilation and temperature per node.
  const first = 6;
  const size = first + 2 * skins.length;
  const initial = new Float64Array(size);
  initial[5] = body.restingHeartRate;
  skins.forEach((skin, i) => {
    initial[first + 2 * i + 1] = skin.initialC;
  });

  function slope(timeS: number, y: Float64Array, out: Float64Array): void {
    const active = timeS >= plan.exerciseStartS && timeS < plan.exerciseEndS ? 1 : 0;
    const [constriction = 0, metabolism = 0, muscle = 0, coreRise = 0, sweat = 0, heart = 0] = y;
    out[0] = (active - constriction) / (active ? constrictionOnS : constrictionOffS);
    out[1] = (active - metabolism) / metabolismS;
    out[2] = (active - muscle) / muscleS;
    out[3] = (metabolism * extraHeat - coreLoss * body.surfaceM2 * coreRise) / coreCapacity;
    out[4] = (ramp(coreRise, 0.15, 0.6) - sweat) / sweatS;
    // Reserve in use plus a drift with core temperature (15 per min and °C, invented).
    const target =
      body.restingHeartRate +
      active * load * (body.maximumHeartRate - body.restingHeartRate) +
      15 * coreRise * (active ? 1 : 0.6);
    out[5] = (target - heart) / (active ? heartOnS : heartOffS);
    skins.forEach((skin, i) => {
      const at = first + 2 * i;
      const dilation = y[at] ?? 0;
      const temperature = y[at + 1] ?? 0;
      out[at] = (ramp(coreRise, skin.thresholdC, dilationSpanC) - dilation) / dilationS;
      const flow = portableExp(skin.dilation * dilation - skin.constriction * constriction);
      const exchange = skin.conduction + skin.perfusion * Math.min(flow, 4);
      const blood = skin.bloodC + coreRise + skin.node.muscleC * muscle;
      out[at + 1] =
        (exchange * (blood - temperature) -
          skin.toRoom * (temperature - skin.operativeC) -
          skin.node.sweatWM2 * sweat) /
        skin.node.heatCapacity;
    });
  }

  return integrate(initial, slope, plan.endS, stepS, skins.length, first);
}

interface PreparedSkin {
  readonly node: SkinNode;
  readonly toRoom: number;
  readonly operativeC: number;
  readonly bloodC: number;
  readonly conduction: number;
  readonly perfusion: number;
  readonly initialC: number;
  readonly constriction: number;
  readonly dilation: number;
  readonly thresholdC: number;
}

/** The exchange at rest is chosen so that the bare region rests at its level in a room of 23 °C. */
function preparedSkin(
  skin: SkinNode,
  body: BodyState,
  plan: TrialPlan,
  gloves: boolean,
  offsetC: number,
): PreparedSkin {
  const bloodC = coreRestingC - skin.bloodDropC;
  const restingC = skin.restingC + offsetC;
  if (restingC >= bloodC) throw new RangeError(`${skin.regionId}: the resting level exceeds its blood`);
  const bare = heatTransfer(skin);
  const exchange = (bare * (restingC - 23)) / (bloodC - restingC);
  const toRoom = gloves && skin.gloved ? 1 / (1 / bare + gloveResistance) : bare;
  const operativeC = operativeTemperature(skin, plan.room.airTemperatureC, plan.room.meanRadiantTemperatureC);
  const forearmGain = gloves && skin.regionId.startsWith("forearm-") ? gloveForearmGain : 1;
  return {
    node: skin,
    toRoom,
    operativeC,
    bloodC,
    conduction: exchange * (1 - skin.perfusedShare),
    perfusion: exchange * skin.perfusedShare,
    initialC: (exchange * bloodC + toRoom * operativeC) / (exchange + toRoom),
    constriction: skin.constriction * body.constrictionGain,
    dilation: skin.dilation * body.dilationGain * forearmGain,
    thresholdC: Math.max(0.02, body.dilationThresholdC + skin.thresholdShiftC),
  };
}

function ramp(value: number, from: number, span: number): number {
  return Math.min(1, Math.max(0, (value - from) / span));
}

/** Heun's method with a fixed step that divides one second; keeps the state at whole seconds. */
function integrate(
  initial: Float64Array,
  slope: (timeS: number, y: Float64Array, out: Float64Array) => void,
  endS: number,
  stepS: number,
  nodeCount: number,
  first: number,
): BodyCourse {
  const stepsPerSecond = Math.round(1 / stepS);
  const y = initial.slice();
  const guess = new Float64Array(y.length);
  const k1 = new Float64Array(y.length);
  const k2 = new Float64Array(y.length);
  const course = {
    skinC: Array.from({ length: nodeCount }, () => new Float64Array(endS + 1)),
    dilation: Array.from({ length: nodeCount }, () => new Float64Array(endS + 1)),
    coreC: new Float64Array(endS + 1),
    heartRate: new Float64Array(endS + 1),
  };
  for (let second = 0; ; second += 1) {
    course.coreC[second] = coreRestingC + (y[3] ?? 0);
    course.heartRate[second] = y[5] ?? 0;
    for (let i = 0; i < nodeCount; i += 1) {
      (course.dilation[i] as Float64Array)[second] = y[first + 2 * i] ?? 0;
      (course.skinC[i] as Float64Array)[second] = y[first + 2 * i + 1] ?? 0;
    }
    if (second === endS) return course;
    for (let part = 0; part < stepsPerSecond; part += 1) {
      const timeS = second + part * stepS;
      slope(timeS, y, k1);
      for (let j = 0; j < y.length; j += 1) guess[j] = (y[j] ?? 0) + stepS * (k1[j] ?? 0);
      slope(timeS, guess, k2);
      for (let j = 0; j < y.length; j += 1) y[j] = (y[j] ?? 0) + (stepS / 2) * ((k1[j] ?? 0) + (k2[j] ?? 0));
    }
  }
}
