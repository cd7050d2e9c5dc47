import { describe, expect, it } from "vitest";
import { type RecordingPlan, record, referenceSurfaceC } from "../src/camera";
import type { BodyCourse } from "../src/physiology";
import { seededRandom } from "../src/seeded-random";
import { skinNodes } from "../src/skin-node";
import type { CameraFault, SimulatedTrace } from "../src/types";

const endS = 1200;
const constant = (value: number): Float64Array => new Float64Array(endS + 1).fill(value);
const course: BodyCourse = {
  skinC: skinNodes.map(() => constant(32)),
  dilation: skinNodes.map(() => constant(0)),
  coreC: constant(37),
  heartRate: constant(60),
};
const plan: RecordingPlan = {
  timesS: Float64Array.from({ length: endS + 1 }, (_, i) => i),
  nodes: skinNodes,
  condition: "insulated gloves",
  spreadRegionIds: ["forearm-left-anterior"],
  withSpread: true,
  channels: ["core temperature", "reference surface temperature"],
  airTemperatureC: 23,
  exerciseStartS: 300,
  exerciseEndS: 900,
  faults: [],
  sessionOffsetC: 0.2,
};

function recorded(faults: readonly CameraFault[]): SimulatedTrace[] {
  return record(course, { ...plan, faults }, seededRandom(5, "camera"));
}

function average(trace: SimulatedTrace | undefined): number {
  if (trace === undefined) throw new Error("no such trace");
  return trace.values.reduce((sum, value) => sum + value, 0) / trace.values.length;
}

describe("record", () => {
  it("puts a recalibration step on everything the camera sees, and on nothing else", () => {
    const sound = recorded([]);
    const stepped = recorded([{ kind: "recalibration step", atS: 600, sizeC: -0.8 }]);
    for (const [i, trace] of sound.entries()) {
      const seen =
        trace.target.kind === "region"
          ? trace.target.statistic === "mean" || trace.target.statistic === "maximum"
          : trace.target.channel === "reference surface temperature";
      const change = (t: number): number => (stepped[i]?.values[t] ?? 0) - (trace.values[t] ?? 0);
      for (const t of [0, 200, 599, 600, 601, 1000, 1200]) {
        if (Number.isNaN(trace.values[t])) continue;
        expect(change(t)).toBeCloseTo(seen && t >= 600 ? -0.8 : 0, 9);
      }
    }
  });

  it("lets a warm-up drift die away with its time constant", () => {
    const sound = recorded([]);
    const drifting = recorded([{ kind: "warm-up drift", initialC: -1.5, timeConstantS: 500 }]);
    const change = (t: number): number => (drifting[0]?.values[t] ?? 0) - (sound[0]?.values[t] ?? 0);
    expect(change(0)).toBeCloseTo(-1.5, 9);
    expect(change(1000)).toBeCloseTo(-1.5 * Math.exp(-2), 9);
  });

  it("records hands under gloves as points that do not share the camera's offset", () => {
    const hand = recorded([]).find(
      ({ target }) => target.kind === "region" && target.regionId === "hand-left-dorsal",
    );
    expect(hand?.target).toMatchObject({ statistic: "point" });
    const mean = average(hand);
    expect(Math.abs(mean - 32)).toBeLessThan(0.15);
  });

  it("shows the session's offset on the reference surface", () => {
    const plate = recorded([]).at(-1);
    const mean = average(plate);
    expect(mean - referenceSurfaceC).toBeCloseTo(0.2, 1);
  });

  it("loses some samples of a region while stepping, and none at rest", () => {
    const missing = (from: number, to: number): number =>
      recorded([]).reduce(
        (sum, { values }) => sum + values.subarray(from, to).filter(Number.isNaN).length,
        0,
      );
    expect(missing(300, 900)).toBeGreaterThan(0);
    expect(missing(0, 300) + missing(900, endS)).toBe(0);
  });
});
