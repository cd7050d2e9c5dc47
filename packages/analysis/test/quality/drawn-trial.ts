import type { TimeBase } from "../../src/course";
import type { QualityTrace } from "../../src/quality";
import { normal, seededRandom } from "../seeded-random";

/** How a region answers to exercise: a fall in °C over some seconds, and a share of it that comes back. */
interface Answer {
  readonly id: string;
  readonly level: number;
  readonly fall: readonly [number, number];
  readonly fallS: readonly [number, number];
  readonly back: readonly [number, number];
}

/** Trunk and head answer little, legs more, arms and hands by 2 to 5 °C within minutes. */
const answers: readonly Answer[] = [
  { id: "forehead-midline-anterior", level: 34.5, fall: [-0.3, 0.6], fallS: [300, 900], back: [0, 0.5] },
  { id: "chest-left-anterior", level: 33.8, fall: [-0.3, 1], fallS: [400, 900], back: [0, 0.5] },
  { id: "abdomen-midline-anterior", level: 33.9, fall: [-0.2, 1.2], fallS: [400, 900], back: [0, 0.6] },
  { id: "upper-back-midline-posterior", level: 33.6, fall: [-0.4, 0.8], fallS: [400, 900], back: [0, 0.5] },
  { id: "upper-arm-left-lateral", level: 32.9, fall: [0.8, 2.5], fallS: [250, 600], back: [0, 0.7] },
  { id: "forearm-left-anterior", level: 32.4, fall: [2, 3.5], fallS: [200, 500], back: [0, 1] },
  { id: "hand-left-dorsal", level: 31.4, fall: [2, 5], fallS: [150, 500], back: [0, 1] },
  { id: "hand-right-dorsal", level: 31.5, fall: [2, 5], fallS: [150, 500], back: [0, 1] },
  { id: "thigh-left-anterior", level: 32, fall: [0.3, 2], fallS: [300, 900], back: [0, 0.5] },
  { id: "calf-left-posterior", level: 31.6, fall: [0.2, 1.8], fallS: [300, 900], back: [0, 0.6] },
];

/** Rest in s unless a test asks for another. */
export const restS = 600;
const usualRestS = restS;
export const exerciseS = 1500;
export const recoveryS = 600;

export interface DrawnTrial {
  readonly timeBase: TimeBase;
  readonly traces: QualityTrace[];
}

/**
 * A trial drawn from a seed: ten minutes of rest, twenty-five of exercise and ten of recovery, ten regions that answer each
 * in their own way, noise of the camera per region, slow wander of each region. Invented: it serves to inject faults of
 * known size into, and is no evidence about bodies.
 */
export function drawnTrial(seed: number, stepS: number, restS = usualRestS): DrawnTrial {
  const random = seededRandom(seed);
  const between = ([low, high]: readonly [number, number]) => low + (high - low) * random();
  const count = Math.floor((restS + exerciseS + recoveryS) / stepS);
  const traces = answers.map(({ id, level, fall, fallS, back }): QualityTrace => {
    const depth = between(fall);
    const duration = between(fallS);
    const returned = between(back);
    const own = level + 0.5 * normal(random);
    const latency = 60 * random();
    const resting = 0.15 * normal(random);
    let wander = 0;
    const values = Float64Array.from({ length: count }, (_, i) => {
      const time = i * stepS;
      const t = time - restS - latency;
      const falling = depth * Math.min(1, Math.max(0, t / duration));
      const rising = depth * returned * Math.min(1, Math.max(0, (t - duration) / 600));
      const recovered = (falling - rising) * (1 - Math.exp(-Math.max(0, time - restS - exerciseS) / 400));
      wander += 0.004 * Math.sqrt(stepS) * normal(random) - (wander * stepS) / 300;
      return (
        own +
        resting * Math.min(1, time / restS) -
        falling +
        rising +
        recovered +
        wander +
        0.05 * normal(random)
      );
    });
    return { regionId: id, statistic: "mean", values };
  });
  return { timeBase: { kind: "regular", startS: 0, stepS, count }, traces };
}

/** The same trial with something added to every trace alike. */
export function withCommon(trial: DrawnTrial, offset: (timeS: number) => number): DrawnTrial {
  const { timeBase } = trial;
  if (timeBase.kind !== "regular") throw new Error("drawn trials are regular");
  return {
    timeBase,
    traces: trial.traces.map((trace) => ({
      ...trace,
      values: trace.values.map((value, i) => value + offset(timeBase.startS + i * timeBase.stepS)),
    })),
  };
}
