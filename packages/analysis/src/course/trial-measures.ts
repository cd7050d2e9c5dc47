import { regionById, type Statistic } from "../skin";
import { analysisVersion } from "../version";
import { type AlignedTrial, type AlignedTrialTrace, alignTrial, temperatureTraces } from "./align-trial";
import { type MeasureName, measureEntry } from "./measure-catalogue";
import {
  combine,
  courseMeasureNames,
  courseMeasures,
  coveredLevel,
  lastPart,
  noRest,
  type Outcome,
} from "./region-measures";
import type { PhaseInterval, TrialTrace } from "./trial";
import { type TrialMeasureSettings, trialMeasureDefaults } from "./trial-measure-settings";

export interface TrialMeasure {
  readonly name: MeasureName;
  /** Null for the whole body: mean skin temperature. */
  readonly regionId: string | null;
  /** The statistic of the trace that it was taken from; null for the whole body. */
  readonly statistic: Statistic | null;
  readonly value: number | null;
  readonly unit: string;
  /** Why there is no value. */
  readonly reason?: string;
  /** What a reader must know beside the value, such as renormalised weights. */
  readonly note?: string;
}

export interface TrialMeasures {
  readonly measures: readonly TrialMeasure[];
  readonly settings: TrialMeasureSettings;
  readonly version: string;
  /** What the measures were taken from. */
  readonly aligned: AlignedTrial;
}

export interface TrialMeasureInput {
  readonly traces: readonly TrialTrace[];
  readonly phases: readonly PhaseInterval[];
  readonly settings?: Partial<TrialMeasureSettings>;
}

function measure(
  name: MeasureName,
  regionId: string | null,
  statistic: Statistic | null,
  outcome: Outcome,
): TrialMeasure {
  const { unit } = measureEntry(name);
  return { name, regionId, statistic, unit, ...outcome };
}

function renormalisedNote(missing: readonly string[]): string {
  return missing.length === 0
    ? "weights renormalised at times at which a site was missing"
    : `weights renormalised without ${missing.join(", ")}`;
}

type LevelOf = (trace: AlignedTrialTrace, moment: "baseline" | "end of exercise") => Outcome;

function patchiness(trial: AlignedTrial, levelOf: LevelOf): TrialMeasure[] {
  return trial.traces
    .filter(({ statistic }) => statistic === "standard deviation")
    .flatMap((trace) =>
      (["baseline", "end of exercise"] as const).map((moment) =>
        measure(`patchiness at ${moment}`, trace.regionId, trace.statistic, levelOf(trace, moment)),
      ),
    );
}

function pairMeasures(trial: AlignedTrial, levelOf: LevelOf): TrialMeasure[] {
  const traces = temperatureTraces(trial.traces);
  const at = (id: string) => traces.find(({ regionId }) => regionId === id);
  const measures: TrialMeasure[] = [];
  const add = (
    kind: "left-right difference" | "forearm-fingertip gradient",
    listed: AlignedTrialTrace,
    first: AlignedTrialTrace,
    second: AlignedTrialTrace,
  ) => {
    for (const moment of ["baseline", "end of exercise"] as const) {
      const outcome = combine(levelOf(first, moment), levelOf(second, moment), (a, b) => a - b);
      measures.push(measure(`${kind} at ${moment}`, listed.regionId, listed.statistic, outcome));
    }
  };
  for (const left of traces) {
    if (regionById(left.regionId).side !== "left") continue;
    const right = at(left.regionId.replace("-left-", "-right-"));
    if (right !== undefined) add("left-right difference", left, left, right);
  }
  for (const fingertip of traces) {
    const { site, side } = regionById(fingertip.regionId);
    if (site !== "fingertip") continue;
    const forearm = (["lateral", "anterior", "whole", "posterior", "medial"] as const)
      .map((aspect) => at(`forearm-${side}-${aspect}`))
      .find((trace) => trace !== undefined);
    if (forearm !== undefined) add("forearm-fingertip gradient", fingertip, forearm, fingertip);
  }
  return measures;
}

/**
 * The measures of one trial: per region, and for mean skin temperature, baseline, lowest point and its time, end of
 * exercise, change and the rest of the measure catalogue; patchiness where the spread over pixels was exported; left–right
 * difference and forearm–fingertip gradient where both regions were. Each is a number with its unit, or null with the
 * reason. Regions are measured on their mean (or single point); maxima and minima are aligned but not measured.
 *
 * @param input.traces °C, on the clock of the phases; traces of one source file share one time base object
 * @throws AnalysisError as alignTrial; UnknownRegionError
 */
export function trialMeasures({ traces, phases, settings }: TrialMeasureInput): TrialMeasures {
  const used: TrialMeasureSettings = { ...trialMeasureDefaults, ...settings };
  for (const { regionId } of traces) regionById(regionId);
  const trial = alignTrial(traces, phases, used);
  const { windows, meanSkinTemperature } = trial;
  const levelOf: LevelOf = (trace, moment) => {
    const atRest = moment === "baseline";
    const window = atRest
      ? lastPart(windows.rest, used.baselineS)
      : lastPart(windows.lastExercise, used.endOfExerciseS);
    return coveredLevel(trace, trace.stepS, window, noRest, used.minimumCoverage);
  };
  const ofRegions = temperatureTraces(trial.traces).flatMap((trace) =>
    courseMeasures(trace, trace.stepS, windows, used).map(([name, outcome]) =>
      measure(name, trace.regionId, trace.statistic, outcome),
    ),
  );
  return {
    measures: [
      ...wholeBody(trial, used),
      ...ofRegions,
      ...patchiness(trial, levelOf),
      ...pairMeasures(trial, levelOf),
    ],
    settings: used,
    version: analysisVersion,
    aligned: trial,
  };

  function wholeBody(aligned: AlignedTrial, settingsUsed: TrialMeasureSettings): TrialMeasure[] {
    if (meanSkinTemperature.kind === "available") {
      const { aligned: course, stepS, use } = meanSkinTemperature;
      const note = use.renormalised ? { note: renormalisedNote(use.missing) } : {};
      return courseMeasures(course, stepS, aligned.windows, settingsUsed).map(([name, outcome]) => ({
        ...measure(name, null, null, outcome),
        ...note,
      }));
    }
    const { reason } = meanSkinTemperature;
    return courseMeasureNames.map((name) => measure(name, null, null, { value: null, reason }));
  }
}
