import type { BodyCourse } from "./physiology";
import { portableExp } from "./portable-exp";
import type { SeededRandom } from "./seeded-random";
import type { SkinNode } from "./skin-node";
import type { CameraFault, ConditionName, SimulatedChannel, SimulatedTrace } from "./types";

/** Standard deviations of the camera's errors, °C. Common practice for uncooled cameras, not a particular one. */
const cameraNoise = {
  /** Between sessions: absolute error, the same for the whole trial. */
  session: 0.25,
  /** Slow wander common to all regions, with its time constant. */
  wander: { sd: 0.03, timeConstantS: 60 },
  /** Movement of the body under one region's outline, more while stepping. */
  motion: { restSd: 0.02, exerciseSd: 0.05, timeConstantS: 15 },
  /** Independent from frame to frame. */
  white: 0.015,
  /** Share of samples while stepping in which a region is out of view. */
  outOfView: 0.003,
} as const;

/** Of a contact point beneath the glove. */
const contactNoise = { session: 0.05, white: 0.01 } as const;

/** True temperature of the plate that stands in the camera's view, °C. Invented. */
export const referenceSurfaceC = 34;

export interface RecordingPlan {
  readonly timesS: Float64Array;
  readonly nodes: readonly SkinNode[];
  readonly condition: ConditionName;
  /** Regions of which the maximum and the spread over the pixels are recorded besides the mean. */
  readonly spreadRegionIds: readonly string[];
  /** Only maxima: some layouts have no spread, because a spread in °F or K invites confusion. */
  readonly withSpread: boolean;
  readonly channels: readonly SimulatedChannel[];
  readonly airTemperatureC: number;
  readonly exerciseStartS: number;
  readonly exerciseEndS: number;
  readonly faults: readonly CameraFault[];
  readonly sessionOffsetC: number;
}

/** What the instruments write down of a body's course: noise, faults and gaps included. */
export function record(course: BodyCourse, plan: RecordingPlan, random: SeededRandom): SimulatedTrace[] {
  const count = plan.timesS.length;
  const common = commonError(plan, random);
  const traces: SimulatedTrace[] = [];

  plan.nodes.forEach((skin, index) => {
    const truth = sampled(course.skinC[index], plan.timesS);
    if (skin.gloved && plan.condition === "insulated gloves") {
      const offset = contactNoise.session * random.normal();
      const values = truth.map((value) => value + offset + contactNoise.white * random.normal());
      traces.push(regionTrace(skin.regionId, "point", values));
      return;
    }
    const dilation = sampled(course.dilation[index], plan.timesS);
    const mean = new Float64Array(count);
    const spread = new Float64Array(count);
    const maximum = new Float64Array(count);
    let motion = 0;
    for (let i = 0; i < count; i += 1) {
      const timeS = plan.timesS[i] ?? 0;
      const stepping = timeS >= plan.exerciseStartS && timeS < plan.exerciseEndS;
      const { restSd, exerciseSd, timeConstantS } = cameraNoise.motion;
      motion = wandered(
        motion,
        stepping ? exerciseSd : restSd,
        interval(plan.timesS, i),
        timeConstantS,
        random,
      );
      const error = (common[i] ?? 0) + motion + cameraNoise.white * random.normal();
      const hidden = stepping && random.uniform() < cameraNoise.outOfView;
      mean[i] = hidden ? Number.NaN : (truth[i] ?? 0) + error;
      spread[i] = hidden ? Number.NaN : 0.35 + 0.3 * (dilation[i] ?? 0) + 0.02 * random.normal();
      maximum[i] = (mean[i] ?? 0) + 2.2 * (spread[i] ?? 0) + 0.03 * random.normal();
    }
    traces.push(regionTrace(skin.regionId, "mean", mean));
    if (plan.spreadRegionIds.includes(skin.regionId)) {
      traces.push(regionTrace(skin.regionId, "maximum", maximum));
      if (plan.withSpread) traces.push(regionTrace(skin.regionId, "standard deviation", spread));
    }
  });

  for (const channel of plan.channels) {
    traces.push(channelTrace(channel, channelValues(channel, course, plan, common, random)));
  }
  return traces;
}

/** Session offset, wander and faults: what every region under the camera shares. */
function commonError(plan: RecordingPlan, random: SeededRandom): Float64Array {
  const common = new Float64Array(plan.timesS.length);
  let wander = 0;
  for (let i = 0; i < common.length; i += 1) {
    const timeS = plan.timesS[i] ?? 0;
    const { sd, timeConstantS } = cameraNoise.wander;
    wander = wandered(wander, sd, interval(plan.timesS, i), timeConstantS, random);
    let faults = 0;
    for (const fault of plan.faults) faults += faultAt(fault, timeS);
    common[i] = plan.sessionOffsetC + wander + faults;
  }
  return common;
}

function faultAt(fault: CameraFault, timeS: number): number {
  switch (fault.kind) {
    case "recalibration step":
      return timeS >= fault.atS ? fault.sizeC : 0;
    case "warm-up drift":
      return fault.initialC * portableExp(-timeS / fault.timeConstantS);
  }
}

function channelValues(
  channel: SimulatedChannel,
  course: BodyCourse,
  plan: RecordingPlan,
  common: Float64Array,
  random: SeededRandom,
): Float64Array {
  switch (channel) {
    case "heart rate":
      return sampled(course.heartRate, plan.timesS).map((value) => Math.round(value + 1.2 * random.normal()));
    case "core temperature":
      return sampled(course.coreC, plan.timesS).map((value) => value + 0.01 * random.normal());
    case "air temperature":
      return plan.timesS.map(() => plan.airTemperatureC + 0.04 * random.normal());
    case "reference surface temperature":
      return common.map((error) => referenceSurfaceC + error + cameraNoise.white * random.normal());
  }
}

/** One step of a first-order autoregressive walk of the given spread. */
function wandered(
  value: number,
  sd: number,
  stepS: number,
  timeConstantS: number,
  random: SeededRandom,
): number {
  const kept = portableExp(-stepS / timeConstantS);
  return kept * value + sd * Math.sqrt(1 - kept * kept) * random.normal();
}

function interval(timesS: Float64Array, i: number): number {
  return i === 0 ? 1 : (timesS[i] ?? 0) - (timesS[i - 1] ?? 0);
}

/** Linear between the whole seconds of the course. */
function sampled(course: Float64Array | undefined, timesS: Float64Array): Float64Array {
  if (course === undefined) throw new RangeError("record: a region has no course");
  return timesS.map((timeS) => {
    const before = Math.floor(timeS);
    const from = course[before];
    if (from === undefined) throw new RangeError(`record: ${timeS} s lies after the end of the course`);
    const share = timeS - before;
    return share === 0 ? from : from + share * ((course[before + 1] ?? from) - from);
  });
}

function regionTrace(
  regionId: string,
  statistic: "mean" | "maximum" | "standard deviation" | "point",
  values: Float64Array,
): SimulatedTrace {
  return { target: { kind: "region", regionId, statistic }, unit: "°C", values };
}

function channelTrace(channel: SimulatedChannel, values: Float64Array): SimulatedTrace {
  return { target: { kind: "channel", channel }, unit: channel === "heart rate" ? "1/min" : "°C", values };
}
