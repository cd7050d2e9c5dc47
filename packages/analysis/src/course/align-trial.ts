import { AnalysisError } from "../analysis-error";
import {
  type MissingSitePolicy,
  meanSkinTemperatureSeries,
  type WeightingId,
  type WeightingUse,
} from "../skin";
import { type AlignedTrace, alignTraces, type Grid, gridAround } from "./align-trace";
import { sampleCount, type TimeBase, timeAt, typicalStepS } from "./time-base";
import { type PhaseInterval, type TrialTrace, type TrialWindows, trialWindows } from "./trial";

export interface AlignTrialSettings {
  /** Bin width in s; default 5. */
  readonly binS: number;
  readonly weighting: WeightingId;
  readonly missingSites: MissingSitePolicy;
}

export const alignTrialDefaults: AlignTrialSettings = {
  binS: 5,
  weighting: "ramanathan-4",
  missingSites: "error",
};

export interface AlignedTrialTrace extends AlignedTrace {
  readonly regionId: string;
  readonly statistic: TrialTrace["statistic"];
  /** Usual spacing of the samples in s; NaN for fewer than two. */
  readonly stepS: number;
}

export type AlignedMeanSkinTemperature =
  | {
      readonly kind: "available";
      readonly aligned: AlignedTrace;
      readonly use: WeightingUse;
      readonly stepS: number;
    }
  | { readonly kind: "unavailable"; readonly reason: string };

export interface AlignedTrial {
  readonly grid: Grid;
  readonly windows: TrialWindows;
  readonly traces: readonly AlignedTrialTrace[];
  readonly meanSkinTemperature: AlignedMeanSkinTemperature;
}

/** One grid around every sample of every trace and every phase. */
function commonGrid(
  traces: readonly TrialTrace[],
  phases: readonly PhaseInterval[],
  originS: number,
  binS: number,
): Grid {
  let fromS = Math.min(...phases.map(({ startS }) => startS));
  let toS = Math.max(...phases.map(({ endS }) => endS));
  for (const timeBase of new Set(traces.map((trace) => trace.timeBase))) {
    const count = sampleCount(timeBase);
    if (count === 0) continue;
    fromS = Math.min(fromS, timeAt(timeBase, 0));
    toS = Math.max(toS, timeAt(timeBase, count - 1));
  }
  return gridAround(originS, binS, fromS, toS);
}

function alignEach(traces: readonly TrialTrace[], grid: Grid): AlignedTrialTrace[] {
  const byTimeBase = new Map<TimeBase, TrialTrace[]>();
  for (const trace of traces) {
    const together = byTimeBase.get(trace.timeBase);
    if (together === undefined) byTimeBase.set(trace.timeBase, [trace]);
    else together.push(trace);
  }
  const done = new Map<TrialTrace, AlignedTrialTrace>();
  for (const [timeBase, together] of byTimeBase) {
    const stepS = typicalStepS(timeBase);
    const aligned = alignTraces(
      timeBase,
      together.map(({ values }) => values),
      grid,
    );
    for (const [k, trace] of together.entries()) {
      const { regionId, statistic } = trace;
      done.set(trace, { ...(aligned[k] as AlignedTrace), regionId, statistic, stepS });
    }
  }
  return traces.map((trace) => done.get(trace) as AlignedTrialTrace);
}

/** The trace of each region that stands for its temperature: the mean, or a single point where there is no mean. */
export function temperatureTraces<T extends Pick<TrialTrace, "regionId" | "statistic">>(
  traces: readonly T[],
): T[] {
  const chosen = new Map<string, T>();
  for (const trace of traces) {
    const { regionId, statistic } = trace;
    if (statistic === "mean" || (statistic === "point" && !chosen.has(regionId))) chosen.set(regionId, trace);
  }
  return [...chosen.values()];
}

/**
 * Mean skin temperature on the common grid from aligned traces. Unavailable, with the reason, where the weighting misses a
 * site. A bin's coverage is the lowest among the regions that serve.
 */
export function alignedMeanSkinTemperature(
  traces: readonly AlignedTrialTrace[],
  weighting: WeightingId,
  missingSites: MissingSitePolicy,
): AlignedMeanSkinTemperature {
  const candidates = temperatureTraces(traces);
  try {
    const result = meanSkinTemperatureSeries(weighting, candidates, { missingSites });
    const { values, presentWeight: _, ...use } = result;
    const serving = new Set(use.positions.flatMap(({ regionIds }) => regionIds));
    const served = candidates.filter(({ regionId }) => serving.has(regionId));
    const coverage = Float64Array.from(values, (value, k) =>
      Number.isFinite(value) ? Math.min(...served.map((trace) => trace.coverage[k] as number)) : 0,
    );
    const [{ binS, firstBin } = { binS: Number.NaN, firstBin: 0 }] = served;
    const stepS = Math.max(...served.map((trace) => trace.stepS));
    return { kind: "available", aligned: { binS, firstBin, values, coverage }, use, stepS };
  } catch (error) {
    if (error instanceof AnalysisError && error.code === "missing")
      return { kind: "unavailable", reason: error.message };
    throw error;
  }
}

function requireOneOfEach(traces: readonly TrialTrace[]): void {
  const seen = new Set<string>();
  for (const { regionId, statistic } of traces) {
    const key = `${regionId} ${statistic}`;
    if (seen.has(key)) {
      const requirement = `one trace per region and statistic; the ${statistic} of ${regionId} is given twice`;
      throw new AnalysisError("out of range", "alignTrial", "traces", requirement);
    }
    seen.add(key);
  }
}

/**
 * Puts all traces of a trial onto the common grid, whose bin 0 begins with the first exercise phase, and adds mean skin
 * temperature as an aligned trace.
 *
 * @param traces regions × statistics; traces of one source file share one time base object
 * @param phases on the same clock as the traces
 * @throws AnalysisError `missing` without an exercise phase, `out of range` for phases that overlap or a trace given twice
 */
export function alignTrial(
  traces: readonly TrialTrace[],
  phases: readonly PhaseInterval[],
  settings: Partial<AlignTrialSettings> = {},
): AlignedTrial {
  const { binS, weighting, missingSites } = { ...alignTrialDefaults, ...settings };
  requireOneOfEach(traces);
  const windows = trialWindows("alignTrial", phases);
  if (windows === null) {
    throw new AnalysisError(
      "missing",
      "alignTrial",
      "phases",
      "a phase of exercise, from whose start time is counted",
    );
  }
  const grid = commonGrid(traces, phases, windows.originS, binS);
  const aligned = alignEach(traces, grid);
  return {
    grid,
    windows,
    traces: aligned,
    meanSkinTemperature: alignedMeanSkinTemperature(aligned, weighting, missingSites),
  };
}
