import { encodeFloat32, encodeFloat64, type Prisma } from "@acral/db";
import { type ColumnMap, type ReadResult, readSourceStream, SourceFileError } from "@acral/ingest";
import { canonicalJson } from "../canonical-json";
import { readerVersion, targetText } from "../column-map/policy";
import { storeFindings } from "../finding/service";
import { newId } from "../identifiers";
import { readingOf, settleAdjustments } from "../outlived-adjustment/service";
import type { ReadScope, WriteScope } from "../scope";
import { fileRefused } from "../source-file/service";
import { sameBytes } from "./policy";

type SourceFile = Prisma.SourceFileGetPayload<object>;

/** A whole file read by a column map, before anything of it is stored. */
export interface Reading {
  readonly columnMap: ColumnMap;
  readonly result: ReadResult;
  readonly traces: readonly TraceValues[];
}

interface TraceValues {
  readonly columnIndex: number;
  readonly columnName: string;
  readonly regionId: string | null;
  readonly statistic: string | null;
  readonly channel: string | null;
  readonly unit: string;
  readonly missing: number;
  readonly data: Uint8Array<ArrayBuffer>;
}

/** Reads the bytes by the map. Outside of every transaction: it may take long. Throws "file-refused" in words. */
export async function readBlob(scope: ReadScope, sha256: string, columnMap: ColumnMap): Promise<Reading> {
  let result: ReadResult;
  try {
    result = await readSourceStream(scope.core.blobs.read(sha256), columnMap);
  } catch (error) {
    if (error instanceof SourceFileError) throw fileRefused(error);
    throw error;
  }
  return { columnMap, result, traces: result.traces.map(valuesOf) };
}

function valuesOf({ column, name, target, unit, values }: ReadResult["traces"][number]): TraceValues {
  return {
    columnIndex: column,
    columnName: name,
    regionId: target.kind === "region" ? target.regionId : null,
    statistic: target.kind === "region" ? target.statistic : null,
    channel: target.kind === "channel" ? target.channel : null,
    unit,
    missing: values.reduce((count, value) => (Number.isFinite(value) ? count : count + 1), 0),
    data: encodeFloat32(values),
  };
}

/** What reading again changed of what stood there. */
export interface ReadingChange {
  /** Times and traces are those that stood there, bit for bit. */
  readonly identical: boolean;
  /** Series that are new, gone or other than before, by their names; empty when only the times differ. */
  readonly changed: readonly string[];
  /** The file's row, as it stands now. */
  readonly revision: number;
  /** Adjustments that make no sense for the file as it is read now, and were undone. */
  readonly setBack: readonly string[];
}

/**
 * Puts a reading in the place of what was read of the file before. When nothing differs, not even the column map and the
 * report, nothing is written, so that whoever looks at the file is not told of a change that was none.
 */
export async function storeReading(
  write: WriteScope,
  file: SourceFile,
  { columnMap, result, traces }: Reading,
): Promise<ReadingChange> {
  const { db, access } = write;
  const before = await db.trace.findMany({
    where: { studyId: access.studyId, sourceFileId: file.id },
    orderBy: { columnIndex: "asc" },
  });
  const changed = changedSeries(before, traces);
  const times = timeBaseData(result);
  const identical = file.state === "read" && changed.length === 0 && sameTimes(file, times);
  const report = result.report as unknown as Prisma.InputJsonObject;
  const sameWords =
    canonicalJson(file.columnMap) === canonicalJson(columnMap) &&
    canonicalJson(file.report) === canonicalJson(report) &&
    file.startedAt === result.startedAt &&
    file.readerVersion === readerVersion;
  if (identical && sameWords) return { identical, changed, revision: file.revision, setBack: [] };
  const readBefore = await readingOf(write, file.id);
  if (!identical) {
    await db.trace.deleteMany({ where: { studyId: access.studyId, sourceFileId: file.id } });
    await db.trace.createMany({
      data: traces.map((trace) => ({
        id: newId(),
        studyId: access.studyId,
        trialId: file.trialId,
        sourceFileId: file.id,
        ...trace,
      })),
    });
  }
  const { revision } = await db.sourceFile.update({
    where: { id: file.id },
    data: {
      state: "read",
      columnMap,
      report,
      readerVersion,
      startedAt: result.startedAt,
      ...times,
      revision: { increment: 1 },
    },
    select: { revision: true },
  });
  const setBack = await settleAdjustments(write, file.id, readBefore);
  await storeFindings(write, file.id);
  return { identical, changed, revision, setBack };
}

type Compared = Omit<TraceValues, "data"> & { readonly data: Uint8Array };

/** The place of a trace within its file, and what it is: the same for the same reading. */
const placeOf = ({ columnIndex, columnName, regionId, statistic, channel, unit }: Compared) =>
  JSON.stringify([columnIndex, columnName, regionId, statistic, channel, unit]);

function changedSeries(before: readonly Compared[], now: readonly Compared[]): string[] {
  const there = new Map(before.map((trace) => [placeOf(trace), trace.data]));
  const here = new Set(now.map(placeOf));
  const names = [
    ...now.filter((trace) => !sameBytes(there.get(placeOf(trace)) ?? null, trace.data)),
    ...before.filter((trace) => !here.has(placeOf(trace))),
  ].map(({ columnName, columnIndex }) => (columnName === "" ? `column ${columnIndex + 1}` : columnName));
  return [...new Set(names)];
}

function sameTimes(file: SourceFile, times: ReturnType<typeof timeBaseData>): boolean {
  return (
    file.regular === times.regular &&
    file.startS === times.startS &&
    file.stepS === times.stepS &&
    file.count === times.count &&
    sameBytes(file.timesS, times.timesS)
  );
}

function timeBaseData({ timeBase }: ReadResult) {
  return timeBase.kind === "regular"
    ? { regular: true, startS: timeBase.startS, stepS: timeBase.stepS, count: timeBase.count, timesS: null }
    : {
        regular: false,
        startS: null,
        stepS: null,
        count: timeBase.timesS.length,
        timesS: encodeFloat64(timeBase.timesS),
      };
}

/** The entry of the audit trail for a reading. */
export function readingEntry(
  file: SourceFile,
  label: string,
  { result }: Reading,
  { identical, setBack }: ReadingChange,
) {
  return {
    action: "sourceFile.read",
    subject: { kind: "source file", id: file.id, label },
    before: { state: file.state },
    after: {
      sha256: file.sha256,
      traces: result.traces.map((trace) => targetText(trace.target)),
      rowsUsed: result.report.rowsUsed,
      readerVersion,
      sameAsBefore: identical,
      ...(setBack.length === 0 ? {} : { adjustmentsUndone: setBack }),
    },
  };
}
