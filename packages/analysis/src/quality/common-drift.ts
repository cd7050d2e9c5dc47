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
import { studentTUpperTail } from "../statistics/distributions/student-t";
import { temperaturesOf } from "./camera-traces";
import { contactNote, fewestTraces } from "./common-step";
import { type DriftShape, driftOffset, estimateDrift } from "./drift-estimate";
import { type Finding, finding, type QualityTrace } from "./finding";
import { quietUntil } from "./quiet-stretch";
import { bends, changeOverRest, type RestingChange, restingChange } from "./resting-change";

export interface CommonDriftSettings {
  /** Smallest change over rest that counts, °C; default 0.12. */
  readonly smallestC: number;
  /** Largest probability (two-sided) that regions alone would change as much over rest; default 0.005. */
  readonly largestP: number;
  /** Share of regions that must change in one direction over rest; default 0.7. */
  readonly agreement: number;
  /** Start of exercise on the file's clock; null where it is not known, and rest is what lies before regions part. */
  readonly exerciseStartS: number | null;
}

export const commonDriftDefaults: CommonDriftSettings = {
  smallestC: 0.12,
  largestP: 0.005,
  agreement: 0.7,
  exerciseStartS: null,
};

export interface CommonDrift {
  readonly shape: DriftShape;
  /** °C from the first sample to the last, and its standard error. */
  readonly size: number;
  readonly standardError: number;
  /** What the regions share from the beginning to the end of rest, °C, and its standard error. */
  readonly overRest: number;
  readonly overRestError: number;
  /** End of the rest that this was taken from, on the file's clock, and whether it was told or seen. */
  readonly restEndS: number;
  readonly restIsKnown: boolean;
}

const binS = 10;

/** Shortest rest in s that a drift can be judged from. */
const shortestRestS = 240;

/**
 * A slow drift that the regions share from the start of the file on: a camera not yet at its temperature.
 *
 * It is looked for in rest, where skin keeps still and each region goes its own small way: what the regions' courses have in
 * common must stand out against how they differ, and most of them must go in its direction. How it goes on behind the
 * answers of the skin to exercise is no longer seen but follows from its bend over rest, with the standard error that this
 * leaves (see `estimateDrift`). Skin that cools alike everywhere looks the same: without a reference surface this stays a
 * likelihood.
 *
 * @returns null where no drift is found, or with fewer than three regions, ten minutes of file or four minutes of rest
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
  const durationS = timeAt(timeBase, count - 1) - startS;
  if (durationS < 600) return null;
  const grid = gridAround(startS, binS, startS, startS + durationS);
  const binned = alignTraces(
    timeBase,
    shifted.map(({ values }) => values),
    grid,
  );
  const restIsKnown = used.exerciseStartS !== null;
  const restS =
    used.exerciseStartS === null
      ? quietUntil(
          binned.map((trace) => movingMean(trace, 60)),
          binS,
        )
      : Math.min(durationS, used.exerciseStartS - startS);
  if (restS < shortestRestS) return null;
  const bins = Math.floor(restS / binS);
  const change = restingChange(
    binned.map(({ values }) => values),
    bins,
  );
  if (change === null) return null;
  const overRest = changeOverRest(change.mean);
  const overRestError = errorOfChange(change);
  const p = 2 * studentTUpperTail(Math.abs(overRest) / overRestError, change.regions - 1);
  if (!(Math.abs(overRest) >= used.smallestC && p <= used.largestP && change.agreement >= used.agreement)) {
    return null;
  }
  const estimate = estimateDrift(change, bins * binS, durationS);
  if (estimate === null) return null;
  return {
    shape: { ...estimate.shape, startS },
    size: estimate.size,
    standardError: estimate.standardError,
    overRest,
    overRestError,
    restEndS: startS + restS,
    restIsKnown,
  };
}

/** Standard error of the change from the beginning to the end of rest: twice the sum of the first and third coefficient. */
function errorOfChange({ covariance }: RestingChange): number {
  const at = (a: number, b: number) => covariance[a * bends + b] as number;
  return 2 * Math.sqrt(at(0, 0) + at(2, 2) + 2 * at(0, 2));
}

/** From this error in °C on, a reference surface would tell what the traces cannot. */
const usefulErrorC = 0.1;

export function commonDriftFinding(
  timeBase: TimeBase,
  traces: readonly QualityTrace[],
  drift: CommonDrift,
): Finding {
  const count = sampleCount(timeBase);
  const { startS, amplitude, tauS } = drift.shape;
  const how = Number.isFinite(tauS)
    ? `settling with a time constant of ${Math.max(1, Math.round(tauS / 60))} min`
    : "evenly";
  const error = drift.standardError.toFixed(2);
  const rest = drift.restIsKnown
    ? "over rest"
    : `over the first ${Math.round((drift.restEndS - startS) / 60)} min, while all regions keep quiet`;
  return finding({
    kind: "common drift",
    fromS: startS,
    toS: timeAt(timeBase, count - 1),
    traces: temperaturesOf(traces).map(({ regionId, statistic }) => ({ regionId, statistic })),
    size: drift.size,
    standardError: drift.standardError,
    unit: "°C",
    count,
    confidence:
      drift.restIsKnown && drift.standardError < 0.25 * Math.abs(drift.size) ? "likely" : "possible",
    meaning: `The regions drift together by ${drift.overRest.toFixed(2)} °C ${rest}, and by ${drift.size.toFixed(2)} °C (standard error ${error} °C) to the end of the file, ${how}: a camera not yet at its temperature, or skin cooling alike everywhere.${contactNote(traces)}`,
    whatCanBeDone:
      drift.standardError <= usefulErrorC
        ? "A drift correction takes it out."
        : `A drift correction takes it out, but after rest no better than its standard error of ${error} °C: only a reference surface in view does better.`,
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
