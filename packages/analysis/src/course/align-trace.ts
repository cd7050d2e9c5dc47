import { AnalysisError } from "../analysis-error";
import { requireOrderedTimeBase, sampleCount, type TimeBase, typicalStepS } from "./time-base";

/**
 * The common grid of a study. Bin k holds the samples with `originS + k·binS <= time < originS + (k + 1)·binS`, for k
 * from `firstBin` on. The origin is the start of the first exercise phase on the trace's own clock, so that bin 0 is the
 * first of the exercise and rest has negative bins.
 */
export interface Grid {
  readonly originS: number;
  readonly binS: number;
  readonly firstBin: number;
  readonly binCount: number;
}

export interface AlignedTrace {
  readonly binS: number;
  /** Number of the first bin; bin 0 begins at the origin. */
  readonly firstBin: number;
  /** Mean of the finite samples of each bin; NaN where there is none. */
  readonly values: Float64Array;
  /** Share of the samples expected in each bin that are finite, 0 to 1. */
  readonly coverage: Float64Array;
}

/** A sample within this share of a bin before an edge belongs to the later bin: 0.1 s steps are not exact in binary. */
const edgeTolerance = 1e-9;

function requireGrid(functionName: string, grid: Grid): void {
  if (!Number.isFinite(grid.originS)) {
    throw new AnalysisError("not finite", functionName, "grid", `a finite origin in s, not ${grid.originS}`);
  }
  if (!(grid.binS > 0) || !Number.isFinite(grid.binS)) {
    throw new AnalysisError(
      "out of range",
      functionName,
      "grid",
      `a positive bin width in s, not ${grid.binS}`,
    );
  }
  if (!Number.isInteger(grid.firstBin) || !Number.isInteger(grid.binCount) || grid.binCount < 0) {
    throw new AnalysisError("out of range", functionName, "grid", "whole numbers for firstBin and binCount");
  }
}

/** First sample of each bin, and one past the last sample of the last bin: bin k holds edges[k] to edges[k + 1] - 1. */
function binEdges(timeBase: TimeBase, grid: Grid): Int32Array {
  const count = sampleCount(timeBase);
  const edges = new Int32Array(grid.binCount + 1);
  let sample = 0;
  for (let k = 0; k <= grid.binCount; k++) {
    const edgeS = grid.originS + (grid.firstBin + k - edgeTolerance) * grid.binS;
    if (timeBase.kind === "regular") {
      sample = Math.min(count, Math.max(sample, Math.ceil((edgeS - timeBase.startS) / timeBase.stepS)));
    } else {
      while (sample < count && (timeBase.timesS[sample] as number) < edgeS) sample++;
    }
    edges[k] = sample;
  }
  return edges;
}

function binMeans(values: Float64Array, edges: Int32Array, expected: number, grid: Grid): AlignedTrace {
  const means = new Float64Array(grid.binCount);
  const coverage = new Float64Array(grid.binCount);
  let from = edges[0] ?? 0;
  for (let k = 0; k < grid.binCount; k++) {
    const to = edges[k + 1] as number;
    // Summing departures from one sample of the bin loses nothing to a large common level.
    let reference = Number.NaN;
    let sum = 0;
    let finite = 0;
    for (let i = from; i < to; i++) {
      const value = values[i] as number;
      if (value - value !== 0) continue; // NaN or infinite
      if (finite === 0) reference = value;
      sum += value - reference;
      finite++;
    }
    means[k] = finite === 0 ? Number.NaN : reference + sum / finite;
    coverage[k] = Math.min(1, finite / expected);
    from = to;
  }
  return { binS: grid.binS, firstBin: grid.firstBin, values: means, coverage };
}

/**
 * Puts traces that share one time base onto the common grid: mean of the finite samples per bin, and coverage.
 *
 * Coverage is the number of finite samples over the number that the usual sample spacing puts into a whole bin (at
 * least one), capped at 1. Bins beyond the recording are NaN with coverage 0. Nothing is interpolated.
 *
 * @param timeBase times in s, never running backwards
 * @param traces one array per trace, as long as the time base; NaN and infinite values count as missing
 * @throws AnalysisError on unequal lengths, times that run backwards, or a grid without positive bin width
 */
export function alignTraces(timeBase: TimeBase, traces: readonly Float64Array[], grid: Grid): AlignedTrace[] {
  requireOrderedTimeBase("alignTraces", timeBase);
  requireGrid("alignTraces", grid);
  const count = sampleCount(timeBase);
  for (const values of traces) {
    if (values.length !== count) {
      throw new AnalysisError(
        "unequal lengths",
        "alignTraces",
        "traces",
        `as many values as times; it was given ${values.length} values for ${count} times`,
      );
    }
  }
  const edges = binEdges(timeBase, grid);
  const step = typicalStepS(timeBase);
  const expected = step > 0 ? Math.max(1, Math.floor(grid.binS / step + 1e-6)) : 1;
  return traces.map((values) => binMeans(values, edges, expected, grid));
}

/** One trace onto the common grid; see alignTraces. */
export function alignTrace(timeBase: TimeBase, values: Float64Array, grid: Grid): AlignedTrace {
  const [aligned] = alignTraces(timeBase, [values], grid);
  return aligned as AlignedTrace;
}

/**
 * The smallest grid that holds every sample between two times (by default the whole recording), with its bin edges at
 * the origin.
 */
export function gridAround(originS: number, binS: number, fromS: number, toS: number): Grid {
  const grid = { originS, binS, firstBin: 0, binCount: 0 };
  requireGrid("gridAround", grid);
  if (!Number.isFinite(fromS) || !Number.isFinite(toS) || toS < fromS) {
    throw new AnalysisError(
      "not increasing",
      "gridAround",
      "toS",
      `a finite interval that does not end before it begins, not ${fromS} to ${toS} s`,
    );
  }
  const firstBin = Math.floor((fromS - originS) / binS + edgeTolerance);
  const lastBin = Math.floor((toS - originS) / binS + edgeTolerance);
  return { originS, binS, firstBin, binCount: lastBin - firstBin + 1 };
}

/** Middle of each bin in s from the origin. */
export function binCentres(aligned: Pick<AlignedTrace, "binS" | "firstBin" | "values">): Float64Array {
  return Float64Array.from(aligned.values, (_, k) => (aligned.firstBin + k + 0.5) * aligned.binS);
}
