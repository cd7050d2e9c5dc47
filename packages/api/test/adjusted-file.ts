import { commaMap, type ReadyStudy, recordedRegions } from "./ready-study";

/** A recording at 1 Hz over 25 minutes with faults that are known, because they were put in. Everything in it is invented. */

export const marked = [
  { name: "Sitting", phaseKey: "sit", atS: 0 },
  { name: "Stepping", phaseKey: "step", atS: 420 },
  { name: "Standing", phaseKey: "stand", atS: 1200 },
  { name: "End", phaseKey: "$end", atS: 1499 },
];

const names = [
  "left chest (mean °C)",
  "left upper arm lateral (mean °C)",
  "left forearm anterior (mean °C)",
  "left hand dorsal (mean °C)",
  "left thigh anterior (mean °C)",
  "left calf posterior (mean °C)",
];
const levels = [33.6, 32.8, 32.2, 31, 31.8, 31.4];
/** How far each region falls during exercise, °C: they differ, as skin does. */
const falls = [0.4, 0.9, 1.6, 2.4, -0.5, 0.2];

export interface Faults {
  /** A step of all regions from 700 s on, °C. */
  readonly stepC?: number;
  /** A drift of all regions that settles with 300 s, °C. */
  readonly driftC?: number;
  /** Moves the noise, so that two files differ. */
  readonly seed?: number;
}

export const stepAtS = 700;
const driftTauS = 300;

/** Noise of 0.02 °C either way that is the same in every run: a linear congruential generator (common practice). */
function noise(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return (state / 2 ** 32 - 0.5) * 0.04;
  };
}

/** What skin and camera gave for each region at each second, with the faults and without. */
export function recording({ stepC = 0, driftC = 0, seed = 1 }: Faults, count = 1500): number[][] {
  const next = noise(seed);
  return levels.map((level, k) =>
    Array.from({ length: count }, (_, t) => {
      const fall = t < 420 ? 0 : (falls[k] ?? 0) * (1 - Math.exp(-(t - 420) / 240));
      const camera = (t >= stepAtS ? stepC : 0) + driftC * (1 - Math.exp(-t / driftTauS));
      return level - fall + camera + next();
    }),
  );
}

export function fileOf(values: readonly (readonly number[])[], columns = names): Uint8Array {
  const start = Date.UTC(2026, 2, 10, 9, 30);
  const rows = (values[0] ?? []).map((_, t) => {
    const time = new Date(start + t * 1000).toISOString().replace(".000", "");
    return [time, ...values.map((trace) => (trace[t] ?? 0).toFixed(3))].join(",");
  });
  return new TextEncoder().encode(`${["time", ...columns].join(",")}\n${rows.join("\n")}\n`);
}

/** A recorded trial whose one file has the faults, with its phases placed. */
export async function faultyTrial(
  study: ReadyStudy,
  volunteerId: string,
  faults: Faults,
  conditionKey = "bare",
) {
  const { studyId, call } = study;
  const trialId = await study.plan(volunteerId, conditionKey);
  const { sourceFileId } = await study.upload(trialId, fileOf(recording(faults)), { name: "camera.csv" });
  await call.sourceFile.read({ studyId, sourceFileId, revision: 1, columnMap: commaMap() });
  const { revision } = await call.trial.get({ studyId, trialId });
  await call.trial.saveMarkers({ studyId, trialId, revision, markers: marked });
  return { trialId, sourceFileId };
}

export const hand = recordedRegions[3];
