import { AnalysisError } from "../analysis-error";
import {
  alignTraces,
  gridAround,
  movingMean,
  sampleCount,
  sampleTimes,
  type TimeBase,
  timeAt,
} from "../course";
import { expm1, square } from "../elementary";
import { fewestTraces, temperaturesOf } from "./common-step";
import { type Finding, finding, type QualityTrace } from "./finding";
import { densestHalf, median, robustSpread } from "./robust";

export interface CommonDriftSettings {
  /** Smallest drift in °C over the file; default 0.4. */
  readonly smallestC: number;
  /** Share of the common course's variance that a settling or even drift must explain; default 0.6. */
  readonly smallestFit: number;
  /** With rest known: how many standard errors the median change over rest must be from none; default 3.5. */
  readonly nSigma: number;
  /** With rest known: share of traces that must change in one direction over rest; default 0.8. */
  readonly agreement: number;
  /** Without: the densest half of the traces must lie within this share of the drift (plus 0.05 °C); default 0.2. */
  readonly tightness: number;
  /** Start of exercise on the file's clock, where it is known: a drift must show before it. */
  readonly exerciseStartS: number | null;
}

export const commonDriftDefaults: CommonDriftSettings = {
  smallestC: 0.4,
  smallestFit: 0.6,
  nSigma: 3.5,
  agreement: 0.8,
  tightness: 0.2,
  exerciseStartS: null,
};

/** A drift that settles: offset(t) = amplitude·(1 − e^(−(t − start)/τ)); τ infinite is an even drift, amplitude per s. */
export interface DriftShape {
  readonly startS: number;
  readonly amplitude: number;
  readonly tauS: number;
}

export interface CommonDrift {
  readonly shape: DriftShape;
  /** °C from the first sample to the last. */
  readonly size: number;
  /** Half the range of the densest half of traces at the end, °C. */
  readonly spread: number;
  /** Share of variance that the shape explains. */
  readonly fit: number;
}

/** Offset of a drift in °C against its start, at a time on the file's clock; none before its start. */
export function driftOffset({ startS, amplitude, tauS }: DriftShape, timeS: number): number {
  const t = Math.max(0, timeS - startS);
  return Number.isFinite(tauS) ? amplitude * -expm1(-t / tauS) : amplitude * t;
}

const binS = 10;

/** Shortest rest in s that a drift can be judged from. */
const shortestRestS = 240;

/**
 * A slow drift that most traces share from the start of the file on: a camera not yet at its temperature.
 *
 * At each time the densest half of the regions' changes since the start is taken, because regions answer to exercise
 * differently; the course of that half, weighted by how tight it is, is fitted by something settling or moving evenly from
 * the first sample on. With the start of exercise known, a drift must show in rest: the median change over rest stands out
 * against its standard error over the regions, and most regions move in its direction. Without, the densest half must
 * lie tightly together to the end. Skin that cools alike everywhere looks the same: without a reference surface this stays
 * a likelihood.
 *
 * @returns null where no drift is found, or with fewer than three traces or ten minutes
 */
export function commonDrift(
  timeBase: TimeBase,
  traces: readonly QualityTrace[],
  settings: Partial<CommonDriftSettings> = {},
): CommonDrift | null {
  const used = { ...commonDriftDefaults, ...settings };
  const shifted = temperaturesOf(traces);
  const count = sampleCount(timeBase);
  if (shifted.length < fewestTraces || count < 2) return null;
  const startS = timeAt(timeBase, 0);
  const endS = timeAt(timeBase, count - 1);
  if (endS - startS < 600) return null;
  const grid = gridAround(startS, binS, startS, endS);
  const values = shifted.map((trace) => trace.values);
  const smoothed = alignTraces(timeBase, values, grid).map((trace) => movingMean(trace, 60));
  const course = commonCourse(smoothed);
  if (course.times.length < 30) return null;
  const { shape, fit } = fitShape(course);
  const size = driftOffset(shape, endS - startS);
  const spread = course.spreads.slice(-6).reduce((sum, value) => sum + value, 0) / 6;
  if (!(Math.abs(size) >= used.smallestC) || fit < used.smallestFit) return null;
  const restS = used.exerciseStartS === null ? 0 : used.exerciseStartS - startS;
  const holds =
    restS >= shortestRestS
      ? showsInRest(smoothed, Math.floor(restS / binS), size, used)
      : spread <= used.tightness * Math.abs(size) + 0.05;
  return holds ? { shape: { ...shape, startS }, size, spread, fit } : null;
}

/** Whether the traces moved together over rest, in the direction of the drift. */
function showsInRest(
  smoothed: readonly Float64Array[],
  bins: number,
  size: number,
  used: CommonDriftSettings,
): boolean {
  const changes = smoothed
    .map((values) => median(values.subarray(Math.max(0, bins - 12), bins)) - median(values.subarray(0, 12)))
    .filter((change) => Number.isFinite(change));
  if (changes.length < fewestTraces) return false;
  const middle = median(changes);
  const standardError = (1.2533 * robustSpread(changes, middle)) / Math.sqrt(changes.length);
  const alike = changes.filter((change) => Math.sign(change) === Math.sign(middle)).length / changes.length;
  return (
    Math.sign(middle) === Math.sign(size) &&
    Math.abs(middle) >= Math.max(0.15 * used.smallestC + 0.1, used.nSigma * standardError) &&
    alike >= used.agreement
  );
}

interface CommonCourse {
  readonly times: readonly number[];
  readonly centres: readonly number[];
  /** Half the range of the densest half. */
  readonly spreads: readonly number[];
}

/** Change since the first minute, of the densest half of traces, at each bin with a value of most traces. */
function commonCourse(smoothed: readonly Float64Array[]): CommonCourse {
  const firsts = smoothed.map(
    (values) => values.subarray(0, 12).find((value) => Number.isFinite(value)) ?? Number.NaN,
  );
  const times: number[] = [];
  const centres: number[] = [];
  const spreads: number[] = [];
  const length = smoothed[0]?.length ?? 0;
  for (let i = 0; i < length; i++) {
    const changes = smoothed
      .map((values, k) => (values[i] as number) - (firsts[k] as number))
      .filter(Number.isFinite);
    if (changes.length < Math.max(fewestTraces, smoothed.length / 2)) continue;
    const { centre, halfRange } = densestHalf(changes);
    times.push((i + 0.5) * binS);
    centres.push(centre);
    spreads.push(halfRange);
  }
  return { times, centres, spreads };
}

/** Least squares of a level and a settling (or even) drift over a grid of time constants, tight moments weighing more. */
function fitShape({ times, centres, spreads }: CommonCourse): { shape: DriftShape; fit: number } {
  const duration = times.at(-1) ?? 1;
  const taus = [Number.POSITIVE_INFINITY];
  for (let tau = 60; tau < 4 * duration; tau *= 1.15) taus.push(tau);
  const weights = spreads.map((spread) => 1 / (square(0.05) + square(spread)));
  const weightSum = weights.reduce((sum, weight) => sum + weight, 0);
  const meanOf = (values: readonly number[]) =>
    values.reduce((sum, value, i) => sum + value * (weights[i] as number), 0) / weightSum;
  const meanCentre = meanOf(centres);
  const total = centres.reduce(
    (sum, value, i) => sum + (weights[i] as number) * square(value - meanCentre),
    0,
  );
  let best = {
    shape: { startS: 0, amplitude: 0, tauS: Number.POSITIVE_INFINITY },
    fit: Number.NEGATIVE_INFINITY,
  };
  for (const tauS of taus) {
    const basis = times.map((time) => driftOffset({ startS: 0, amplitude: 1, tauS }, time));
    const meanBasis = meanOf(basis);
    let products = 0;
    let squares = 0;
    for (const [i, value] of basis.entries()) {
      const weight = weights[i] as number;
      products += weight * (value - meanBasis) * ((centres[i] as number) - meanCentre);
      squares += weight * square(value - meanBasis);
    }
    const fit = total === 0 ? 0 : square(products) / squares / total;
    if (fit > best.fit) best = { shape: { startS: 0, amplitude: products / squares, tauS }, fit };
  }
  return best;
}

export function commonDriftFinding(
  timeBase: TimeBase,
  traces: readonly QualityTrace[],
  drift: CommonDrift,
): Finding {
  const count = sampleCount(timeBase);
  const settling = Number.isFinite(drift.shape.tauS)
    ? `settling with a time constant of ${Math.round(drift.shape.tauS / 60)} min`
    : "evenly";
  const { startS, amplitude, tauS } = drift.shape;
  return finding({
    kind: "common drift",
    fromS: timeAt(timeBase, 0),
    toS: timeAt(timeBase, count - 1),
    traces: temperaturesOf(traces).map(({ regionId, statistic }) => ({ regionId, statistic })),
    size: drift.size,
    unit: "°C",
    count,
    confidence: drift.spread < 0.1 * Math.abs(drift.size) ? "likely" : "possible",
    meaning: `Most regions drift together by ${drift.size.toFixed(2)} °C from the start, ${settling}: a camera not yet at its temperature, or skin cooling alike everywhere.`,
    whatCanBeDone: "A drift correction takes it out; a reference surface in view would decide.",
    proposal: {
      kind: "warming-up drift",
      startS,
      amplitudeC: amplitude,
      tauS: Number.isFinite(tauS) ? tauS : null,
    },
  });
}

export interface DriftCorrection {
  readonly corrected: readonly Float64Array[];
  /** °C that was subtracted at each sample, from every trace alike. */
  readonly subtracted: Float64Array;
}

/**
 * Takes a drift out of traces. The last sample keeps its value, because a camera is right once it has settled; with `keep:
 * "first"` the first does.
 */
export function correctCommonDrift(
  timeBase: TimeBase,
  traces: readonly Float64Array[],
  shape: DriftShape,
  keep: "first" | "last" = "last",
): DriftCorrection {
  const times = sampleTimes(timeBase);
  if (traces.some((values) => values.length !== times.length)) {
    throw new AnalysisError("unequal lengths", "correctCommonDrift", "traces", "as many values as times");
  }
  const kept = keep === "last" ? driftOffset(shape, times.at(-1) ?? shape.startS) : 0;
  const subtracted = times.map((time) => driftOffset(shape, time) - kept);
  return {
    corrected: traces.map((values) => values.map((value, i) => value - (subtracted[i] as number))),
    subtracted,
  };
}
