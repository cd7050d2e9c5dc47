import type { AlignedTrace } from "./align-trace";
import { type BreakInterval, type BrokenLineFit, type ConfidenceLevel, fitBrokenLine } from "./broken-line";
import { highestPoint, type LevelAt, lowestPoint } from "./levels";
import { binCentre, binsWithin, movingMean, type Window, within } from "./windows";

export interface RewarmingOptions {
  /** Width of the moving mean behind lowest and highest point in s; default 30. */
  readonly smoothingS?: number;
  readonly level?: ConfidenceLevel;
}

/** Where skin temperature turned from falling to rising. */
export type RewarmingOnset =
  | {
      readonly kind: "onset";
      readonly timeS: number;
      readonly interval: BreakInterval;
      /** °C/s before and after the onset. */
      readonly fallRate: number;
      readonly rewarmingRate: number;
      readonly fit: BrokenLineFit;
      /** The stretch that was fitted. */
      readonly fitted: Window;
    }
  | { readonly kind: "no onset"; readonly reason: string };

/** The stretch from where a tenth of the fall was done to where nine tenths of the rise were done. */
function fallAndRise(
  aligned: AlignedTrace,
  window: Window,
  smoothingS: number,
  lowest: LevelAt,
): Window | string {
  const part = within(aligned, window);
  const smoothed = movingMean(part, smoothingS);
  const before = { fromS: window.fromS, toS: lowest.timeS };
  const after = { fromS: lowest.timeS, toS: window.toS };
  const hasBins = (part: Window) => {
    const range = binsWithin(aligned, part);
    return aligned.values.subarray(range.from, range.to).some((value) => Number.isFinite(value));
  };
  if (!hasBins(before)) return "the lowest point lies at the start: there is no fall before it";
  if (!hasBins(after)) return "the lowest point lies at the end: there is no rewarming after it";
  const startLevel = highestPoint(aligned, before, smoothingS).value;
  const endLevel = highestPoint(aligned, after, smoothingS).value;
  if (!(startLevel > lowest.value)) return "there is no fall before the lowest point";
  if (!(endLevel > lowest.value)) return "there is no rewarming after the lowest point";
  const fallen = startLevel - 0.1 * (startLevel - lowest.value);
  const risen = lowest.value + 0.9 * (endLevel - lowest.value);
  let fromS = window.fromS;
  let toS = window.toS;
  for (const [i, value] of smoothed.entries()) {
    if (!Number.isFinite(value)) continue;
    const time = binCentre(part, i);
    if (time <= lowest.timeS && value >= fallen) fromS = time - aligned.binS / 2;
    if (time >= lowest.timeS && value >= risen) {
      toS = time + aligned.binS / 2;
      break;
    }
  }
  return { fromS, toS };
}

/**
 * Onset of rewarming within a window by broken-line regression, in s from the origin, with a profile-likelihood interval.
 *
 * Fitted is the stretch from where a tenth of the fall before the lowest point was done to where nine tenths of the rise
 * after it were done, so that neither rest before nor a plateau after bends the lines. There is no onset where the data do
 * not support a break (by the Bayesian information criterion) or where the lines do not fall and then rise.
 *
 * @throws AnalysisError `empty` when no bin of the window has a value
 */
export function rewarmingOnset(
  aligned: AlignedTrace,
  window: Window,
  options: RewarmingOptions = {},
): RewarmingOnset {
  const { smoothingS = 30, level = 0.95 } = options;
  const lowest = lowestPoint(aligned, window, smoothingS);
  const fitted = fallAndRise(aligned, window, smoothingS, lowest);
  if (typeof fitted === "string") return { kind: "no onset", reason: fitted };
  const { from, to } = binsWithin(aligned, fitted);
  const times: number[] = [];
  const values: number[] = [];
  for (let i = from; i < to; i++) {
    const value = aligned.values[i] as number;
    if (!Number.isFinite(value)) continue;
    times.push(binCentre(aligned, i));
    values.push(value);
  }
  if (times.length < 8) {
    return {
      kind: "no onset",
      reason: `only ${times.length} bins have a value between fall and rewarming; 8 are needed`,
    };
  }
  const fit = fitBrokenLine(times, values, { level });
  switch (fit.kind) {
    case "no break":
      return { kind: "no onset", reason: "one straight line describes the course as well as a broken one" };
    case "break": {
      const { breakpoint, slopeBefore, slopeAfter } = fit.optimum;
      if (!(slopeBefore < 0)) return { kind: "no onset", reason: "it does not fall before the break" };
      if (!(slopeAfter > 0)) return { kind: "no onset", reason: "it does not rise after the break" };
      return {
        kind: "onset",
        timeS: breakpoint,
        interval: fit.interval,
        fallRate: slopeBefore,
        rewarmingRate: slopeAfter,
        fit,
        fitted,
      };
    }
  }
}

export interface FallThenRewarmingThresholds {
  /** Smallest fall in °C from baseline to the lowest point; default 0.5. */
  readonly smallestFallC: number;
  /** Smallest rise in °C from the lowest point to the highest after it within exercise; default 0.5. */
  readonly smallestRiseC: number;
  /** The lowest point lies at least this long after the start of exercise, in s; default 60. */
  readonly earliestLowestS: number;
  /** A broken line must be supported, with a fall before and a rise after its break; default true. */
  readonly requireBreak: boolean;
}

/**
 * Common practice: twice the 0.2 to 0.25 °C that left and right differ by in healthy athletes, and a minute so that a
 * disturbance at the start does not count.
 */
export const fallThenRewarmingDefaults: FallThenRewarmingThresholds = {
  smallestFallC: 0.5,
  smallestRiseC: 0.5,
  earliestLowestS: 60,
  requireBreak: true,
};

export interface RuleStep {
  readonly criterion: string;
  readonly required: string;
  readonly found: string;
  readonly met: boolean;
}

export interface FallThenRewarming {
  /** Whether every step is met. */
  readonly shown: boolean;
  readonly steps: readonly RuleStep[];
  readonly thresholds: FallThenRewarmingThresholds;
  readonly lowest: LevelAt;
  readonly fallC: number;
  readonly riseC: number;
  readonly onset: RewarmingOnset;
}

/**
 * Whether a trace falls and then rewarms during exercise, by a rule that shows each of its steps.
 *
 * @param exercise from the start to the end of exercise, in s from the origin
 * @param baseline level at rest in °C
 * @throws AnalysisError `empty` when the trace has no value in the window
 */
export function fallThenRewarming(
  aligned: AlignedTrace,
  exercise: Window,
  baseline: number,
  thresholds: Partial<FallThenRewarmingThresholds> = {},
  options: RewarmingOptions = {},
): FallThenRewarming {
  const used = { ...fallThenRewarmingDefaults, ...thresholds };
  const lowest = lowestPoint(aligned, exercise, options.smoothingS);
  const fallC = baseline - lowest.value;
  const rest = { fromS: lowest.timeS - aligned.binS / 2, toS: exercise.toS };
  const riseC = highestPoint(aligned, rest, options.smoothingS).value - lowest.value;
  const onset = rewarmingOnset(aligned, exercise, options);
  const latency = lowest.timeS - exercise.fromS;
  const steps: RuleStep[] = [
    {
      criterion: "fall from baseline to the lowest point",
      required: `at least ${used.smallestFallC} °C`,
      found: `${fallC.toFixed(2)} °C`,
      met: fallC >= used.smallestFallC,
    },
    {
      criterion: "time of the lowest point after the start of exercise",
      required: `at least ${used.earliestLowestS} s`,
      found: `${latency.toFixed(0)} s`,
      met: latency >= used.earliestLowestS,
    },
    {
      criterion: "rise after the lowest point, within exercise",
      required: `at least ${used.smallestRiseC} °C`,
      found: `${riseC.toFixed(2)} °C`,
      met: riseC >= used.smallestRiseC,
    },
  ];
  if (used.requireBreak) {
    steps.push({
      criterion: "broken line, falling and then rising",
      required: "supported by the data",
      found: onset.kind === "onset" ? `break at ${onset.timeS.toFixed(0)} s` : onset.reason,
      met: onset.kind === "onset",
    });
  }
  return { shown: steps.every((step) => step.met), steps, thresholds: used, lowest, fallC, riseC, onset };
}
