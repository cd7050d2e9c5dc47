import { AnalysisError } from "../analysis-error";
import type { AlignedTrace } from "./align-trace";
import { areaOver } from "./area";
import { highestPoint, type LevelAt, lowestPoint, plateauAtEnd } from "./levels";
import type { MeasureName } from "./measure-catalogue";
import { recoveryHalfTime } from "./recovery";
import { type RewarmingOnset, rewarmingOnset } from "./rewarming";
import type { TrialWindows } from "./trial";
import type { TrialMeasureSettings } from "./trial-measure-settings";
import { meanWithin, type Window } from "./windows";

/** A number, or why there is none. */
export type Outcome = { readonly value: number } | { readonly value: null; readonly reason: string };

export const unavailable = (reason: string): Outcome => ({ value: null, reason });

/** The number a computation gives; a refusal of the analysis becomes the reason. */
export function attempt(compute: () => number | Outcome): Outcome {
  try {
    const result = compute();
    return typeof result === "number" ? { value: result } : result;
  } catch (error) {
    if (error instanceof AnalysisError) return unavailable(error.message);
    throw error;
  }
}

/** Combines two numbers; the first reason there is becomes the reason. */
export function combine(
  first: Outcome,
  second: Outcome,
  compute: (a: number, b: number) => number | Outcome,
): Outcome {
  if (first.value === null) return first;
  if (second.value === null) return second;
  const { value: a } = first;
  const { value: b } = second;
  return attempt(() => compute(a, b));
}

/** Mean over a window, provided that enough of the window has values. */
export function coveredLevel(
  aligned: AlignedTrace,
  stepS: number,
  window: Window | null,
  missingWindow: string,
  minimumCoverage: number,
): Outcome {
  if (window === null) return unavailable(missingWindow);
  const { mean, bins } = meanWithin(aligned, window);
  if (bins === 0) return unavailable(`no value between ${window.fromS} and ${window.toS} s`);
  const spacing = Math.max(aligned.binS, Number.isFinite(stepS) ? stepS : aligned.binS);
  const covered = Math.min(1, (bins * spacing) / (window.toS - window.fromS));
  if (covered < minimumCoverage) {
    const share = `${Math.round(covered * 100)} %`;
    return unavailable(`only ${share} of the time between ${window.fromS} and ${window.toS} s has values`);
  }
  return { value: mean };
}

/** The last part of a phase. */
export function lastPart(phase: Window | null, durationS: number): Window | null {
  return phase === null ? null : { fromS: Math.max(phase.fromS, phase.toS - durationS), toS: phase.toS };
}

export const noRest = "the trial has no rest phase before exercise";
const noRecovery = "the trial has no recovery phase after exercise";

function ofLowest(lowest: LevelAt | Outcome, pick: (found: LevelAt) => number): Outcome {
  return "timeS" in lowest ? { value: pick(lowest) } : lowest;
}

function ofOnset(
  onset: RewarmingOnset | Outcome,
  pick: (found: RewarmingOnset & { kind: "onset" }) => number,
): Outcome {
  if (!("kind" in onset)) return onset;
  switch (onset.kind) {
    case "onset":
      return { value: pick(onset) };
    case "no onset":
      return unavailable(onset.reason);
  }
}

function orReason<T extends object>(compute: () => T): T | Outcome {
  try {
    return compute();
  } catch (error) {
    if (error instanceof AnalysisError) return unavailable(error.message);
    throw error;
  }
}

export type CourseMeasure = readonly [(typeof courseMeasureNames)[number], Outcome];

/** What courseMeasures gives, in its order. */
export const courseMeasureNames = [
  "baseline",
  "lowest point",
  "time of lowest point",
  "end of exercise",
  "change",
  "fall",
  "rise",
  "onset of rewarming",
  "rate of fall",
  "rate of rewarming",
  "plateau",
  "area under the change",
  "recovery half-time",
] as const satisfies readonly MeasureName[];

/** The measures of one course of temperature: a region's, or mean skin temperature. */
export function courseMeasures(
  aligned: AlignedTrace,
  stepS: number,
  windows: TrialWindows,
  settings: TrialMeasureSettings,
): readonly CourseMeasure[] {
  const { exercise, lastExercise, recovery } = windows;
  const { smoothingS, minimumCoverage } = settings;
  const baseline = coveredLevel(
    aligned,
    stepS,
    lastPart(windows.rest, settings.baselineS),
    noRest,
    minimumCoverage,
  );
  const end = coveredLevel(
    aligned,
    stepS,
    lastPart(lastExercise, settings.endOfExerciseS),
    "",
    minimumCoverage,
  );
  // A lowest point, a rise or an area of half an exercise phase would be the number of another phase.
  const whole = coveredLevel(aligned, stepS, exercise, "", minimumCoverage);
  const lowest = whole.value === null ? whole : orReason(() => lowestPoint(aligned, exercise, smoothingS));
  const onset =
    whole.value === null ? whole : orReason(() => rewarmingOnset(aligned, exercise, { smoothingS }));
  const lowestValue = ofLowest(lowest, ({ value }) => value);
  const rise = ofLowest(lowest, ({ value, timeS }) => {
    const after = { fromS: timeS - aligned.binS / 2, toS: exercise.toS };
    return highestPoint(aligned, after, smoothingS).value - value;
  });
  const plateau = (): Outcome => {
    if (whole.value === null) return whole;
    const found = plateauAtEnd(aligned, lastExercise, { ...settings.plateau, smoothingS });
    if (found !== null) return { value: found.value };
    const { toleranceC, minimumS } = settings.plateau;
    return unavailable(`no stretch of ${minimumS} s within ${toleranceC} °C up to the end of exercise`);
  };
  const halfTime = combine(baseline, end, (from, at) => {
    if (recovery === null) return unavailable(noRecovery);
    const time = recoveryHalfTime(aligned, recovery, from, at, settings.smallestDepartureC, smoothingS);
    return time ?? unavailable("half of the change was not undone within recovery");
  });
  return [
    ["baseline", baseline],
    ["lowest point", lowestValue],
    ["time of lowest point", ofLowest(lowest, ({ timeS }) => timeS)],
    ["end of exercise", end],
    ["change", combine(end, baseline, (at, from) => at - from)],
    ["fall", combine(baseline, lowestValue, (from, low) => from - low)],
    ["rise", rise],
    ["onset of rewarming", ofOnset(onset, ({ timeS }) => timeS)],
    ["rate of fall", ofOnset(onset, ({ fallRate }) => fallRate)],
    ["rate of rewarming", ofOnset(onset, ({ rewarmingRate }) => rewarmingRate)],
    ["plateau", attempt(plateau)],
    [
      "area under the change",
      combine(baseline, whole, (from) => areaOver(aligned, exercise, from, settings.longestGapS).net),
    ],
    ["recovery half-time", halfTime],
  ];
}
