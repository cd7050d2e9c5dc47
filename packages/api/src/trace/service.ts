import { AnalysisError } from "@acral/analysis";
import { reduceForDrawing, sampleTimes, type TimeBase, trialMeasureDefaults } from "@acral/analysis/course";
import type { AdjustmentSettings } from "@acral/analysis/quality";
import { type Statistic, statistics } from "@acral/analysis/skin";
import { decodeFloat32, decodeFloat64, type Prisma } from "@acral/db";
import type { z } from "zod";
import { adjustmentSettings } from "../adjustment/schema";
import { AppError, notFound } from "../app-error";
import { requireStoredUse } from "../consent/service";
import { permissionKeys } from "../consent-form/policy";
import { phasesOf } from "../marker/policy";
import { protocolContent } from "../protocol/schema";
import type { ReadScope } from "../scope";
import type { courseInput } from "../trial/schema";
import {
  applyTo,
  type ClockTrace,
  type FileTraces,
  inWords,
  joinTraces,
  meanSkinTemperatureCourse,
  meanSkinTemperatureName,
  partOf,
  recordingOf,
  seriesLabel,
  shifted,
} from "./policy";

interface TimeBaseRow {
  readonly regular: boolean | null;
  readonly startS: number | null;
  readonly stepS: number | null;
  readonly count: number | null;
  readonly timesS: Uint8Array | null;
}

/** The columns of a source file that hold its time base. */
export const timeBaseColumns = {
  regular: true,
  startS: true,
  stepS: true,
  count: true,
  timesS: true,
} as const;

/** The time base as stored, in seconds from the file's own origin; null while the file is not read. */
export function timeBaseOfRow(row: TimeBaseRow): TimeBase | null {
  if (row.regular === true && row.startS !== null && row.stepS !== null && row.count !== null) {
    return { kind: "regular", startS: row.startS, stepS: row.stepS, count: row.count };
  }
  if (row.regular === false && row.timesS !== null) {
    return { kind: "irregular", timesS: decodeFloat64(row.timesS) };
  }
  return null;
}

function statisticOf(text: string | null): Statistic | null {
  const known = statistics.find((statistic) => statistic === text);
  if (known === undefined && text !== null) throw new Error(`"${text}" is no statistic of a region.`);
  return known ?? null;
}

function seriesOf(row: { regionId: string | null; statistic: string | null; channel: string | null }) {
  if (row.regionId !== null) {
    return { kind: "region", series: row.regionId, statistic: statisticOf(row.statistic) } as const;
  }
  if (row.channel !== null) return { kind: "channel", series: row.channel, statistic: null } as const;
  throw new Error("A trace is of a region or of a channel.");
}

/** One source file as it was read, on its own clock, and what is adjusted in it. */
export interface FileAsRead {
  readonly sourceFileId: string;
  readonly fileName: string;
  /** Seconds from the trial's zero to the file's zero. */
  readonly offsetS: number;
  readonly timeBase: TimeBase;
  readonly traces: readonly ClockTrace[];
  /** Those in force, in their order. */
  readonly adjustments: readonly AdjustmentSettings[];
}

/** The adjustments of a source file that are in force, in their order. */
export const activeAdjustments = {
  where: { state: "active" },
  orderBy: [{ position: "asc" }, { id: "asc" }],
  select: { id: true, settings: true },
} satisfies Prisma.SourceFile$adjustmentsArgs;

export const settingsOf = (rows: readonly { settings: unknown }[]): AdjustmentSettings[] =>
  rows.map(({ settings }) => adjustmentSettings.parse(settings));

/** The files of a trial, or one file, that were read, oldest first. */
export async function filesAsRead(
  scope: ReadScope,
  where: { readonly trialId: string } | { readonly id: string },
): Promise<FileAsRead[]> {
  const files = await scope.db.sourceFile.findMany({
    where: { studyId: scope.access.studyId, ...where, state: "read" },
    select: {
      id: true,
      name: true,
      offsetS: true,
      ...timeBaseColumns,
      traces: { orderBy: { columnIndex: "asc" } },
      adjustments: activeAdjustments,
    },
    orderBy: [{ uploadedAt: "asc" }, { id: "asc" }],
  });
  return files.flatMap((file) => {
    const timeBase = timeBaseOfRow(file);
    if (timeBase === null) return [];
    const traces = file.traces.map(
      (row): ClockTrace => ({
        ...seriesOf(row),
        unit: row.unit,
        values: Float64Array.from(decodeFloat32(row.data)),
        columnName: row.columnName,
      }),
    );
    const { id, name, offsetS, adjustments } = file;
    return [
      { sourceFileId: id, fileName: name, offsetS, timeBase, traces, adjustments: settingsOf(adjustments) },
    ];
  });
}

/**
 * The traces of the files of a trial that were read, on the trial's clock, oldest file first: as adjusted, unless they are
 * asked for as they were recorded. Everything that is derived from traces is derived from these.
 */
export async function tracesOfTrial(
  scope: ReadScope,
  trialId: string,
  as: "adjusted" | "recorded" = "adjusted",
): Promise<FileTraces[]> {
  return (await filesAsRead(scope, { trialId })).map((file) => {
    const { sourceFileId, fileName, offsetS } = file;
    const { timeBase, traces } = as === "adjusted" ? adjusted(file) : file;
    return { sourceFileId, fileName, timeBase: shifted(timeBase, offsetS), traces };
  });
}

/** The file's adjustments applied. One that cannot be applied any more is refused in words, never passed over. */
function adjusted(file: FileAsRead): Pick<FileAsRead, "timeBase" | "traces"> {
  try {
    return applyTo(file, file.adjustments);
  } catch (error) {
    if (!(error instanceof AnalysisError)) throw error;
    throw new AppError(
      "wrong-state",
      `An adjustment of ${file.fileName} cannot be applied to it. ${inWords(error.message)} Undo it on the trial's quality screen.`,
      { details: { sourceFileId: file.sourceFileId } },
    );
  }
}

/** Points per trace that a figure is given: more than it has pixels across on most screens. */
const drawnPoints = 1000;

/** Times and values of a drawn trace, to the digits that float32 holds; a missing value is null. */
export function drawn(timesS: Float64Array, values: Float64Array) {
  const course = reduceForDrawing(timesS, values, drawnPoints);
  return {
    timesS: Array.from(course.times, (time) => Math.round(time * 1000) / 1000),
    values: Array.from(course.values, (value) =>
      Number.isFinite(value) ? Number(value.toPrecision(7)) : null,
    ),
    reduced: course.reduced,
  };
}

/** The same of a part of the time alone, where a closer look has more points to show. */
function drawnPart(timesS: Float64Array, values: Float64Array, span: Parameters<typeof partOf>[2]) {
  const part = partOf(timesS, values, span);
  return drawn(part.timesS, part.values);
}

/** All traces of a trial for drawing, with mean skin temperature where its sites were recorded, or the reason. */
export async function courseOfTrial(
  scope: ReadScope,
  { trialId, asRecorded, span }: Omit<z.output<typeof courseInput>, "studyId">,
) {
  const { studyId } = scope.access;
  const trial = await scope.db.trial.findFirst({
    where: { id: trialId, studyId },
    select: {
      volunteerId: true,
      protocol: { select: { content: true } },
      markers: {
        select: { name: true, phaseKey: true, atS: true },
        orderBy: [{ atS: "asc" }, { id: "asc" }],
      },
    },
  });
  if (trial === null) throw notFound("trial");
  await requireStoredUse(scope, trial.volunteerId, permissionKeys.takePart, scope.now);
  const files = await tracesOfTrial(scope, trialId, asRecorded ? "recorded" : "adjusted");
  const adjustments = await scope.db.adjustment.count({
    where: { studyId, trialId, state: "active", sourceFile: { state: "read" } },
  });
  const recording = recordingOf(files);
  const { traces, clashing, overlaps } = joinTraces(files);
  const { phases } = protocolContent.parse(trial.protocol.content);
  const mean =
    recording === null
      ? { kind: "unavailable" as const, reason: "No source file of this trial has been read." }
      : meanSkinTemperatureCourse(traces, recording, trialMeasureDefaults.binS);
  return {
    asRecorded,
    /** How many are in force in the trial's files, whether these traces show them or not. */
    adjustments,
    recording,
    phases: recording === null ? [] : phasesOf(trial.markers, phases, recording.toS),
    markers: trial.markers,
    overlaps,
    traces: [...traces, ...clashing].map((trace) => ({
      kind: trace.kind,
      series: trace.series,
      statistic: trace.statistic,
      label: seriesLabel(trace),
      unit: trace.unit,
      fileNames: trace.fileNames,
      samples: trace.values.length,
      ...drawnPart(sampleTimes(trace.timeBase), trace.values, span),
    })),
    meanSkinTemperature:
      mean.kind === "unavailable"
        ? mean
        : {
            kind: mean.kind,
            label: seriesLabel({ kind: "derived", series: meanSkinTemperatureName, statistic: null }),
            binS: mean.binS,
            use: mean.use,
            ...drawnPart(mean.timesS, mean.values, span),
          },
  };
}
