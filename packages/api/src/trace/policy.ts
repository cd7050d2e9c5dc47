import { AnalysisError } from "@acral/analysis";
import {
  alignedMeanSkinTemperature,
  alignTraces,
  binCentres,
  gridAround,
  sampleCount,
  sampleTimes,
  type TimeBase,
  timeAt,
  trialMeasureDefaults,
  typicalStepS,
} from "@acral/analysis/course";
import { type AdjustmentSettings, applyAdjustments } from "@acral/analysis/quality";
import { regionById, type Statistic, type WeightingUse } from "@acral/analysis/skin";

/** Traces of a trial on the trial's clock, from one file or joined from several, and what is derived from them. */

export const meanSkinTemperatureName = "mean skin temperature";

/** What a trace is of: as it stands in the database, `series` is a region id, a channel, or a derived series. */
export interface SeriesName {
  readonly series: string;
  readonly statistic: Statistic | null;
  readonly kind: "region" | "channel" | "derived";
}

export interface ClockTrace extends SeriesName {
  readonly unit: string;
  readonly values: Float64Array;
  readonly columnName: string;
}

/** One source file's traces, its time base shifted onto the trial's clock. */
export interface FileTraces {
  readonly sourceFileId: string;
  readonly fileName: string;
  readonly timeBase: TimeBase;
  readonly traces: readonly ClockTrace[];
}

interface AdjustableRegion {
  readonly regionId: string;
  readonly statistic: Statistic;
  readonly values: Float64Array;
  readonly index: number;
}

interface AdjustableChannel {
  readonly channel: string;
  readonly values: Float64Array;
  readonly index: number;
}

/**
 * The series of one file with adjustments applied to them, in order; with `effects`, what each of them did. The file's own
 * traces stay as they are.
 *
 * @throws AnalysisError where an adjustment cannot be applied to these series
 */
export function applyTo(
  file: { readonly timeBase: TimeBase; readonly traces: readonly ClockTrace[] },
  adjustments: readonly AdjustmentSettings[],
) {
  const regions: AdjustableRegion[] = [];
  const channels: AdjustableChannel[] = [];
  file.traces.forEach((trace, index) => {
    const { series, values } = trace;
    if (trace.kind === "region") {
      regions.push({ regionId: series, statistic: trace.statistic ?? "mean", values, index });
    } else channels.push({ channel: series, values, index });
  });
  const { timeBase, ...adjusted } = applyAdjustments(
    { timeBase: file.timeBase, traces: regions, channels },
    adjustments,
  );
  const valuesOf = new Map(
    [...adjusted.traces, ...adjusted.channels].map(({ index, values }) => [index, values]),
  );
  const traces = file.traces.map((trace, index): ClockTrace => {
    const values = valuesOf.get(index) ?? trace.values;
    return values === trace.values ? trace : { ...trace, values };
  });
  return { timeBase, traces, effects: adjusted.effects };
}

/** The samples of a stretch of time and one on either side, so that a line runs to its edges; all without one. */
export function partOf(
  timesS: Float64Array,
  values: Float64Array,
  span: { readonly fromS: number; readonly toS: number } | null,
): { readonly timesS: Float64Array; readonly values: Float64Array } {
  if (span === null) return { timesS, values };
  const first = timesS.findIndex((time) => time >= span.fromS);
  const last = timesS.findLastIndex((time) => time <= span.toS);
  const from = Math.max(0, (first < 0 ? timesS.length : first) - 1);
  const to = Math.max(from, Math.min(timesS.length, last + 2));
  return { timesS: timesS.subarray(from, to), values: values.subarray(from, to) };
}

export interface JoinedTrace extends ClockTrace {
  readonly timeBase: TimeBase;
  readonly fileNames: readonly string[];
}

/** A refusal of the analysis without the name of its function: "It requires a region for every site ...". */
export function inWords(message: string): string {
  return message.replace(/^\w+ requires /, "It requires ");
}

export function seriesKey(name: { series: string; statistic: string | null }): string {
  return `${name.series}\u0000${name.statistic ?? ""}`;
}

/** In plain words: "Left forearm, anterior (mean)". */
export function seriesLabel(name: SeriesName): string {
  switch (name.kind) {
    case "region":
      return `${regionById(name.series).label} (${name.statistic ?? "mean"})`;
    case "channel":
    case "derived":
      return name.series.charAt(0).toUpperCase() + name.series.slice(1);
  }
}

/** The time base with its times moved later by `offsetS` seconds. */
export function shifted(timeBase: TimeBase, offsetS: number): TimeBase {
  return timeBase.kind === "regular"
    ? { ...timeBase, startS: timeBase.startS + offsetS }
    : { kind: "irregular", timesS: timeBase.timesS.map((time) => time + offsetS) };
}

/** First and last moment of a time base in s; null without samples. */
export function spanOf(timeBase: TimeBase): { fromS: number; toS: number } | null {
  const count = sampleCount(timeBase);
  if (count === 0) return null;
  if (timeBase.kind === "regular") return { fromS: timeAt(timeBase, 0), toS: timeAt(timeBase, count - 1) };
  // Times as exported may run backwards: the span is over all of them.
  let fromS = Number.POSITIVE_INFINITY;
  let toS = Number.NEGATIVE_INFINITY;
  for (const time of timeBase.timesS) {
    if (time < fromS) fromS = time;
    if (time > toS) toS = time;
  }
  return { fromS, toS };
}

export function recordingOf(files: readonly { timeBase: TimeBase }[]): { fromS: number; toS: number } | null {
  const spans = files.flatMap((file) => spanOf(file.timeBase) ?? []);
  if (spans.length === 0) return null;
  return {
    fromS: Math.min(...spans.map((span) => span.fromS)),
    toS: Math.max(...spans.map((span) => span.toS)),
  };
}

export interface Joined {
  readonly traces: readonly JoinedTrace[];
  /** The parts of series that two files give for the same time, each as its file has it. */
  readonly clashing: readonly JoinedTrace[];
  /** Series that two files give for the same time, as sentences that say what to do. */
  readonly overlaps: readonly string[];
}

/** One trace per series: a recording that was exported in parts is put together again in order of time. */
export function joinTraces(files: readonly FileTraces[]): Joined {
  const parts = new Map<string, { file: FileTraces; trace: ClockTrace; fromS: number; toS: number }[]>();
  for (const file of files) {
    const span = spanOf(file.timeBase);
    if (span === null) continue;
    for (const trace of file.traces) {
      const key = seriesKey(trace);
      const others = parts.get(key);
      const part = { file, trace, ...span };
      if (others === undefined) parts.set(key, [part]);
      else others.push(part);
    }
  }
  const traces: JoinedTrace[] = [];
  const clashing: JoinedTrace[] = [];
  const overlaps: string[] = [];
  for (const group of parts.values()) {
    group.sort((a, b) => a.fromS - b.fromS);
    const first = group[0];
    if (first === undefined) continue;
    const clash = group.find((part, i) => i > 0 && part.fromS <= (group[i - 1]?.toS ?? part.fromS));
    if (clash !== undefined) {
      const names = [...new Set(group.map((part) => part.file.fileName))].join(" and ");
      overlaps.push(
        `${seriesLabel(first.trace)} is given twice for the same time (${names}). Ignore its column in one column map, or remove a file.`,
      );
      for (const { file, trace } of group) {
        clashing.push({ ...trace, timeBase: file.timeBase, fileNames: [file.fileName] });
      }
      continue;
    }
    const fileNames = group.map((part) => part.file.fileName);
    if (group.length === 1) {
      traces.push({ ...first.trace, timeBase: first.file.timeBase, fileNames });
      continue;
    }
    const length = group.reduce((sum, part) => sum + part.trace.values.length, 0);
    const timesS = new Float64Array(length);
    const values = new Float64Array(length);
    let at = 0;
    for (const part of group) {
      timesS.set(sampleTimes(part.file.timeBase), at);
      values.set(part.trace.values, at);
      at += part.trace.values.length;
    }
    traces.push({ ...first.trace, timeBase: { kind: "irregular", timesS }, values, fileNames });
  }
  return { traces, clashing, overlaps };
}

export type MeanSkinTemperatureCourse =
  | {
      readonly kind: "available";
      readonly timesS: Float64Array;
      readonly values: Float64Array;
      /** Width of the bins in s: not below the spacing of the samples, so that no bin between two samples is empty. */
      readonly binS: number;
      readonly use: WeightingUse;
    }
  | { readonly kind: "unavailable"; readonly reason: string };

type TemperatureTrace = JoinedTrace & { readonly statistic: "mean" | "point" };

/** Maxima, minima and spreads may not enter mean skin temperature. */
function mayEnterTheMean(trace: JoinedTrace): trace is TemperatureTrace {
  return trace.kind === "region" && (trace.statistic === "mean" || trace.statistic === "point");
}

/** Mean skin temperature over the whole recording, on a grid of at least `leastBinS` s on the trial's clock, for drawing. */
export function meanSkinTemperatureCourse(
  traces: readonly JoinedTrace[],
  recording: { fromS: number; toS: number },
  leastBinS: number,
): MeanSkinTemperatureCourse {
  try {
    const entering = traces.filter(mayEnterTheMean);
    // The traces of a file share its time base, and sixty of them one sorting of its steps.
    const steps = new Map(
      [...new Set(entering.map(({ timeBase }) => timeBase))].map((base) => [base, typicalStepS(base)]),
    );
    const binS = Math.max(leastBinS, ...[...steps.values()].filter(Number.isFinite));
    const grid = gridAround(0, binS, recording.fromS, recording.toS);
    const aligned = [...steps].flatMap(([timeBase, stepS]) => {
      const ofFile = entering.filter((trace) => trace.timeBase === timeBase);
      const courses = alignTraces(
        timeBase,
        ofFile.map(({ values }) => values),
        grid,
      );
      return ofFile.flatMap(({ series, statistic }, i) => {
        const course = courses[i];
        return course === undefined ? [] : [{ ...course, regionId: series, statistic, stepS }];
      });
    });
    const result = alignedMeanSkinTemperature(aligned, trialMeasureDefaults.weighting, "error");
    if (result.kind === "unavailable") return { kind: "unavailable", reason: inWords(result.reason) };
    const { aligned: course, use } = result;
    return { kind: "available", timesS: binCentres(course), values: course.values, binS, use };
  } catch (error) {
    if (error instanceof AnalysisError) return { kind: "unavailable", reason: inWords(error.message) };
    throw error;
  }
}
