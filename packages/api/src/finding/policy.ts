import { createHash } from "node:crypto";
import { analysisVersion } from "@acral/analysis";
import type { TimeBase } from "@acral/analysis/course";
import {
  type AdjustmentSettings,
  type Confidence,
  checkTraces,
  type FindingKind,
} from "@acral/analysis/quality";
import { canonicalJson } from "../canonical-json";
import type { ImagingRecord } from "../imaging/schema";
import { exerciseStartS, type MarkerValue, phasesOf } from "../marker/policy";
import type { ProtocolContent } from "../protocol/schema";
import type { ClockTrace } from "../trace/policy";
import type { FindingSeries } from "./schema";

/** What the findings of a source file rest on, and how they follow from it. Nothing here reads or writes. */

/** The channel in which a camera's view of its reference surface is read. */
export const referenceChannel = "reference surface temperature";

/** A finding on the clock of its file, under a key that the next reading gives it again. */
export interface FileFinding {
  readonly key: string;
  readonly kind: FindingKind;
  readonly fromS: number;
  readonly toS: number;
  readonly series: FindingSeries;
  readonly size: number | null;
  readonly unit: string;
  readonly count: number;
  readonly confidence: Confidence;
  readonly meaning: string;
  readonly whatCanBeDone: string;
  readonly proposal: AdjustmentSettings | null;
}

export interface CheckedFile {
  readonly findings: readonly FileFinding[];
  /** Values of region traces, and how many of them are missing. */
  readonly values: number;
  readonly missing: number;
}

/** What is known of a trial beside the file, as far as findings depend on it. */
export interface CheckContext {
  /** Start of the first exercise phase on the file's own clock; null while no marker says it. */
  readonly exerciseStartS: number | null;
  /** What the reference surface really had, °C; null where nobody said it or it was not in view. */
  readonly referenceC: number | null;
}

/** The trial's side of a check. `clockS` is where the file's zero lies on the trial's clock, its time shifts included. */
export function checkContext(
  markers: readonly MarkerValue[],
  content: Pick<ProtocolContent, "phases" | "imaging">,
  record: ImagingRecord | null,
  clockS: number,
): CheckContext {
  const startS = exerciseStartS(phasesOf(markers, content.phases, Number.POSITIVE_INFINITY));
  const referenceC =
    record?.referenceInView === false
      ? null
      : (record?.referenceTemperatureC ?? content.imaging.referenceSource.temperatureC);
  return { exerciseStartS: startS === null ? null : startS - clockS, referenceC };
}

export interface CheckRestsOn extends CheckContext {
  readonly sha256: string;
  readonly columnMap: unknown;
  readonly readerVersion: string | null;
}

/** SHA-256 over everything that a file's findings depend on: its bytes, how it is read, the trial's side, the analysis. */
export function checkHashOf(restsOn: CheckRestsOn): string {
  const { sha256, columnMap, readerVersion, exerciseStartS: startS, referenceC } = restsOn;
  const text = canonicalJson({ analysisVersion, sha256, columnMap, readerVersion, startS, referenceC });
  return createHash("sha256").update(text).digest("hex");
}

/** A key of a fixed length, because the traces that a finding names can be many. */
const shortKey = (key: string) => createHash("sha256").update(key).digest("base64url").slice(0, 24);

/** Every quality check on one file as it was recorded. */
export function checkFile(
  file: { readonly timeBase: TimeBase; readonly traces: readonly ClockTrace[] },
  context: CheckContext,
): CheckedFile {
  const traces = file.traces.flatMap((trace) =>
    trace.kind === "region"
      ? [{ regionId: trace.series, statistic: trace.statistic ?? ("mean" as const), values: trace.values }]
      : [],
  );
  const measured = file.traces.find(({ kind, series }) => kind === "channel" && series === referenceChannel);
  const seen = measured?.values.some((value) => Number.isFinite(value)) === true;
  const found = checkTraces({
    timeBase: file.timeBase,
    traces,
    ...(measured !== undefined && seen && context.referenceC !== null
      ? { reference: { measured: measured.values, trueC: context.referenceC, series: referenceChannel } }
      : {}),
    settings: { commonDrift: { exerciseStartS: context.exerciseStartS } },
  });
  let values = 0;
  let missing = 0;
  for (const trace of traces) {
    values += trace.values.length;
    for (const value of trace.values) if (!Number.isFinite(value)) missing++;
  }
  return {
    values,
    missing,
    findings: found.map(
      ({ key, traces: series, kind, fromS, toS, size, unit, count, confidence, meaning, ...rest }) => ({
        key: shortKey(key),
        kind,
        fromS,
        toS,
        series: [...series],
        size,
        unit,
        count,
        confidence,
        meaning,
        whatCanBeDone: rest.whatCanBeDone,
        proposal: rest.proposal,
      }),
    ),
  };
}

const amount = (size: number, unit: string) => {
  const text = Math.abs(Number(size.toPrecision(unit === "°C" ? 2 : 3))).toString();
  return `${size < 0 ? "−" : ""}${text} ${unit}`;
};

/** A finding in a few words, with its size where it has one. */
export function findingTitle({
  kind,
  size,
  unit,
  count,
}: Pick<FileFinding, "kind" | "size" | "unit" | "count">): string {
  const of = size === null ? "" : ` of ${amount(size, unit)}`;
  switch (kind) {
    case "times missing":
      return `${count} samples without a time`;
    case "times reversed":
      return "Time runs backwards";
    case "times repeated":
      return `${count} repeated times`;
    case "sampling uneven":
      return "Uneven sampling";
    case "gap in time":
      return `Gap in time${of}`;
    case "values missing":
      return size === null ? "Values missing" : `Values missing for ${amount(size, unit)}`;
    case "spike":
      return `Spike${of}`;
    case "stuck":
      return size === null ? "Stuck value" : `Value stuck for ${amount(size, unit)}`;
    case "saturated":
      return size === null ? "Saturated" : `Saturated for ${amount(size, unit)}`;
    case "implausible values":
      return size === null ? "Implausible values" : `Implausible values up to ${amount(size, unit)}`;
    case "unit in doubt":
      return "Unit in doubt";
    case "common step":
      return `Step${of} in all regions`;
    case "common drift":
      return `Drift${of} in most regions`;
    case "reference drift":
      return `Camera off by ${size === null ? "an unknown amount" : amount(size, unit)} against its reference`;
  }
}
