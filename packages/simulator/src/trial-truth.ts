import type { TrialPlan } from "./physiology";
import type { RegionTruth } from "./types";

/**
 * What a perfect analysis would find in a noise-free course given at whole seconds: baseline is the mean of the last
 * two minutes of rest, the end of exercise the mean of its last minute.
 */
export function regionTruth(
  course: Float64Array | undefined,
  plan: TrialPlan,
  restStartS: number,
): RegionTruth {
  if (course === undefined) throw new RangeError("regionTruth: the region has no course");
  const { exerciseStartS, exerciseEndS } = plan;
  const baselineC = mean(course, Math.max(restStartS, exerciseStartS - 120), exerciseStartS);
  const endOfExerciseC = mean(course, exerciseEndS - 60, exerciseEndS);
  let lowestAt = exerciseStartS;
  for (let t = exerciseStartS; t <= exerciseEndS; t += 1) {
    if ((course[t] ?? 0) < (course[lowestAt] ?? 0)) lowestAt = t;
  }
  const lowestC = course[lowestAt] ?? 0;
  return {
    baselineC,
    lowestC,
    lowestAtS: lowestAt - exerciseStartS,
    fallC: baselineC - lowestC,
    endOfExerciseC,
    rewarmingC: endOfExerciseC - lowestC,
  };
}

function mean(course: Float64Array, from: number, to: number): number {
  let sum = 0;
  for (let t = from; t < to; t += 1) sum += course[t] ?? 0;
  return sum / (to - from);
}
