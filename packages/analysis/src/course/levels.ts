import { AnalysisError } from "../analysis-error";
import { square } from "../elementary";
import type { AlignedTrace } from "./align-trace";
import { binCentre, binsWithin, meanWithin, movingMean, type Window, within } from "./windows";

/** A level in °C and when it was reached, in s from the origin. */
export interface LevelAt {
  readonly value: number;
  readonly timeS: number;
}

function requireValue(functionName: string, window: Window, found: number): void {
  if (found > 0) return;
  const requirement = `a value between ${window.fromS} and ${window.toS} s; the trace has none there`;
  throw new AnalysisError("empty", functionName, "window", requirement);
}

/**
 * Level over a window: mean in °C of its bins. The baseline is the level over the last part of rest, the end of exercise
 * the level over the last part of exercise.
 *
 * @throws AnalysisError `empty` when no bin of the window has a value
 */
export function levelOver(aligned: AlignedTrace, window: Window): number {
  const { mean, bins } = meanWithin(aligned, window);
  requireValue("levelOver", window, bins);
  return mean;
}

function extreme(
  name: string,
  aligned: AlignedTrace,
  window: Window,
  smoothingS: number,
  sign: 1 | -1,
): LevelAt {
  const part = within(aligned, window);
  const smoothed = movingMean(part, smoothingS);
  let best = -1;
  for (const [i, value] of smoothed.entries()) {
    if (!Number.isFinite(value)) continue;
    if (best < 0 || sign * value > sign * (smoothed[best] as number)) best = i;
  }
  requireValue(name, window, best + 1);
  return { value: smoothed[best] as number, timeS: binCentre(part, best) };
}

/**
 * The lowest moving mean within a window, and the middle of the bin where it stands; the first of equals. Nothing from
 * outside the window enters the moving mean.
 *
 * @param smoothingS width of the centred moving mean in s. With 0 the lowest single bin is taken, which noise pulls down.
 * @throws AnalysisError `empty` when no bin of the window has a value
 */
export function lowestPoint(aligned: AlignedTrace, window: Window, smoothingS = 30): LevelAt {
  return extreme("lowestPoint", aligned, window, smoothingS, -1);
}

/** The highest moving mean within a window; see lowestPoint. */
export function highestPoint(aligned: AlignedTrace, window: Window, smoothingS = 30): LevelAt {
  return extreme("highestPoint", aligned, window, smoothingS, 1);
}

/**
 * Mean rate of change over a window in °C/s: slope of the least-squares line through its bins.
 *
 * @throws AnalysisError `too few` below two bins with a value
 */
export function rateOver(aligned: AlignedTrace, window: Window): number {
  const { from, to } = binsWithin(aligned, window);
  const times: number[] = [];
  const values: number[] = [];
  for (let i = from; i < to; i++) {
    const value = aligned.values[i] as number;
    if (!Number.isFinite(value)) continue;
    times.push(binCentre(aligned, i));
    values.push(value);
  }
  const firstTime = times[0];
  const firstValue = values[0];
  if (firstTime === undefined || firstValue === undefined || times.length < 2) {
    const requirement = `at least two bins with a value between ${window.fromS} and ${window.toS} s, not ${times.length}`;
    throw new AnalysisError("too few", "rateOver", "window", requirement);
  }
  const meanTime = firstTime + times.reduce((sum, time) => sum + time - firstTime, 0) / times.length;
  const meanValue = firstValue + values.reduce((sum, value) => sum + value - firstValue, 0) / values.length;
  let products = 0;
  let squares = 0;
  for (const [i, time] of times.entries()) {
    products += (time - meanTime) * ((values[i] as number) - meanValue);
    squares += square(time - meanTime);
  }
  return products / squares;
}

export interface Plateau {
  /** Mean level in °C. */
  readonly value: number;
  /** Its first and last moment in s from the origin. */
  readonly fromS: number;
  readonly toS: number;
}

export interface PlateauOptions {
  /** The moving mean stays within this many °C either side of the middle of its range; default 0.2. */
  readonly toleranceC?: number;
  /** Shortest stretch in s that counts; default 180. */
  readonly minimumS?: number;
  /** Width of the moving mean in s; default 30. */
  readonly smoothingS?: number;
}

/**
 * The plateau at the end of a window: the longest stretch up to its end over which the moving mean keeps within the
 * tolerance; null where that is shorter than the minimum. Thresholds are common practice and part of the settings.
 */
export function plateauAtEnd(
  aligned: AlignedTrace,
  window: Window,
  options: PlateauOptions = {},
): Plateau | null {
  const { toleranceC = 0.2, minimumS = 180, smoothingS = 30 } = options;
  const part = within(aligned, window);
  const smoothed = movingMean(part, smoothingS);
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  let start = smoothed.length;
  for (let i = smoothed.length - 1; i >= 0; i--) {
    const value = smoothed[i] as number;
    if (!Number.isFinite(value)) continue;
    if (Math.max(high, value) - Math.min(low, value) > 2 * toleranceC) break;
    low = Math.min(low, value);
    high = Math.max(high, value);
    start = i;
  }
  const fromS = (part.firstBin + start) * part.binS;
  const toS = (part.firstBin + smoothed.length) * part.binS;
  if (start === smoothed.length || toS - fromS < minimumS) return null;
  return { value: meanWithin(aligned, { fromS, toS }).mean, fromS, toS };
}
