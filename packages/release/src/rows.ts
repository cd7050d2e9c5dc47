import { sampleCount } from "@acral/analysis/course";
import type { Band, CoarseBody } from "./body-columns";
import type { Cell } from "./csv";
import { roundedSeconds } from "./number-text";
import type { ProtocolToRelease, TrialToRelease } from "./release-input";
import type { TraceFile } from "./trace-files";
import { whyMeasureIsWithheld } from "./withheld-quantities";

/** A trial with its pseudonym. */
export interface NamedTrial {
  readonly name: string;
  readonly trial: TrialToRelease;
}

/** The start of the first exercise phase, or of the first phase where there is none. */
export function timeZeroOf(trial: TrialToRelease): number {
  const byStart = [...trial.phases].sort((a, b) => a.startS - b.startS);
  const zero = byStart.find((phase) => phase.kind === "exercise") ?? byStart[0];
  if (zero === undefined) throw new RangeError("A trial without phases has no time zero.");
  return zero.startS;
}

export function volunteerRow({ name, body }: { name: string; body: CoarseBody }): Cell[] {
  return [
    name,
    body.sex,
    ...ends(body.age),
    ...ends(body.height),
    ...ends(body.mass),
    ...ends(body.surfaceArea),
    ...ends(body.massIndex),
  ];
}

export function conditionRows(protocol: ProtocolToRelease): Cell[][] {
  return protocol.conditions.map(({ name, description }) => [name, description === "" ? null : description]);
}

export function plannedPhaseRows(protocol: ProtocolToRelease): Cell[][] {
  return protocol.phases.map(({ name, kind, durationS }, index) => [index + 1, name, kind, durationS]);
}

export function regionRows(protocol: ProtocolToRelease): Cell[][] {
  return protocol.regions.map(({ id, site, side, aspect, label }) => [id, site, side, aspect, label]);
}

export function trialRow({ name, trial }: NamedTrial, volunteer: string): Cell[] {
  const { airTemperatureC, meanRadiantTemperatureC, relativeHumidityPct, airSpeedMS } = trial.room;
  return [
    name,
    volunteer,
    trial.conditionName,
    trial.occasion,
    airTemperatureC,
    meanRadiantTemperatureC,
    relativeHumidityPct,
    airSpeedMS,
  ];
}

export function phaseRows({ name, trial }: NamedTrial): Cell[][] {
  const zero = timeZeroOf(trial);
  return [...trial.phases]
    .sort((a, b) => a.startS - b.startS)
    .map((phase, index) => [
      name,
      index + 1,
      phase.name,
      phase.kind,
      roundedSeconds(phase.startS - zero),
      roundedSeconds(phase.endS - zero),
    ]);
}

export function measureRows({ name, trial }: NamedTrial): Cell[][] {
  return trial.measures
    .filter((measure) => whyMeasureIsWithheld(measure) === null)
    .map(({ name: measure, regionId, value, unit }) => [name, measure, regionId, value, unit]);
}

export function traceIndexRows(file: TraceFile, path: string, trial: string): Cell[][] {
  const samples = sampleCount(file.timeBase);
  return file.traces.map(({ column, trace: { target, unit }, missing }) => {
    const what =
      target.kind === "region" ? [target.regionId, target.statistic, null] : [null, null, target.channel];
    return [path, column, trial, target.kind, ...what, unit, samples, missing];
  });
}

function ends(band: Band | null): [Cell, Cell] {
  return band === null ? [null, null] : [band.low, band.high];
}
