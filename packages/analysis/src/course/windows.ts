import { AnalysisError } from "../analysis-error";
import type { AlignedTrace } from "./align-trace";

/** A stretch of time in s from the origin of the grid. */
export interface Window {
  readonly fromS: number;
  readonly toS: number;
}

/** Bins from `from` up to, not including, `to`. */
export interface BinRange {
  readonly from: number;
  readonly to: number;
}

/** The bins that lie wholly within a window; empty where none does. */
export function binsWithin(aligned: AlignedTrace, window: Window): BinRange {
  const { binS, firstBin, values } = aligned;
  if (!(window.toS >= window.fromS)) {
    const requirement = `a window that does not end before it begins, not ${window.fromS} to ${window.toS} s`;
    throw new AnalysisError("not increasing", "binsWithin", "window", requirement);
  }
  const from = Math.max(0, Math.ceil(window.fromS / binS - 1e-9) - firstBin);
  const to = Math.min(values.length, Math.floor(window.toS / binS + 1e-9) - firstBin);
  return to > from ? { from, to } : { from: 0, to: 0 };
}

/** Middle of a bin in s from the origin. */
export function binCentre(aligned: AlignedTrace, index: number): number {
  return (aligned.firstBin + index + 0.5) * aligned.binS;
}

export interface WindowMean {
  /** Mean of the bins with a value; NaN without any. */
  readonly mean: number;
  /** Bins with a value. */
  readonly bins: number;
}

/** Mean over the bins wholly within a window, each bin counting alike. */
export function meanWithin(aligned: AlignedTrace, window: Window): WindowMean {
  const { from, to } = binsWithin(aligned, window);
  let reference = Number.NaN;
  let sum = 0;
  let bins = 0;
  for (let i = from; i < to; i++) {
    const value = aligned.values[i] as number;
    if (!Number.isFinite(value)) continue;
    if (bins === 0) reference = value;
    sum += value - reference;
    bins++;
  }
  return { mean: bins === 0 ? Number.NaN : reference + sum / bins, bins };
}

/** The part of an aligned trace whose bins lie wholly within a window. */
export function within(aligned: AlignedTrace, window: Window): AlignedTrace {
  const { from, to } = binsWithin(aligned, window);
  return {
    binS: aligned.binS,
    firstBin: aligned.firstBin + from,
    values: aligned.values.subarray(from, to),
    coverage: aligned.coverage.subarray(from, to),
  };
}

/**
 * Centred moving mean over the bins within half a width on either side that have a value. A bin without a value stays
 * NaN: nothing is filled in. At the ends it is taken over what there is; cut a trace with `within` first where another
 * phase must not enter. Widths up to one bin change nothing.
 */
export function movingMean(aligned: Pick<AlignedTrace, "values" | "binS">, widthS: number): Float64Array {
  const { values, binS } = aligned;
  const half = Math.max(0, Math.floor(widthS / binS / 2 + 1e-9));
  if (half === 0) return Float64Array.from(values);
  const reference = values.find((value) => Number.isFinite(value)) ?? 0;
  const sums = new Float64Array(values.length + 1);
  const counts = new Int32Array(values.length + 1);
  for (let i = 0; i < values.length; i++) {
    const value = values[i] as number;
    const finite = Number.isFinite(value);
    sums[i + 1] = (sums[i] as number) + (finite ? value - reference : 0);
    counts[i + 1] = (counts[i] as number) + (finite ? 1 : 0);
  }
  return Float64Array.from(values, (value, i) => {
    if (!Number.isFinite(value)) return Number.NaN;
    const from = Math.max(0, i - half);
    const to = Math.min(values.length, i + half + 1);
    const count = (counts[to] as number) - (counts[from] as number);
    return reference + ((sums[to] as number) - (sums[from] as number)) / count;
  });
}
