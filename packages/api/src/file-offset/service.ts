import { sampleTimes } from "@acral/analysis/course";
import type { Prisma } from "@acral/db";
import type { z } from "zod";
import { AppError } from "../app-error";
import { requirePermission, requireStoredUse } from "../consent/service";
import { permissionKeys } from "../consent-form/policy";
import { newId } from "../identifiers";
import { refuseNaming } from "../identity/service";
import { type ReadScope, type WriteScope, writeInStudy } from "../scope";
import { findFile, lockFile } from "../source-file/service";
import { type ClockTrace, type FileTraces, seriesKey, seriesLabel, shifted } from "../trace/policy";
import { drawn, tracesOfTrial } from "../trace/service";
import { stateAfterChange } from "../trial/policy";
import { filesChanged, findTrial } from "../trial/service";
import {
  type Agreement,
  agreementOf,
  methodInWords,
  secondsBetween,
  standardised,
  toMillisecond,
} from "./policy";
import {
  type estimateInput,
  type KeptMethod,
  keptMethod,
  type OffsetChoice,
  type SeriesOfFile,
  type setOffsetInput,
  type takeBackOffsetInput,
} from "./schema";

/** Where a file's own zero lies on the trial's clock, how that was found, and what could be taken instead. */
export async function clockOf(scope: ReadScope, sourceFileId: string) {
  const file = await findFile(scope, sourceFileId);
  const { trial } = await findTrial(scope, file.trialId);
  await requireStoredUse(scope, trial.volunteerId, permissionKeys.takePart, scope.now);
  const { studyId } = scope.access;
  const rows = await scope.db.fileOffset.findMany({
    where: { studyId, sourceFileId },
    orderBy: { place: "desc" },
  });
  const [people, files, traces, markers] = await Promise.all([
    scope.db.user.findMany({
      where: { id: { in: rows.map((row) => row.setById) } },
      select: { id: true, name: true },
    }),
    scope.db.sourceFile.findMany({
      where: { studyId, trialId: file.trialId, state: "read" },
      select: { id: true, name: true, startedAt: true, offsetS: true },
      orderBy: [{ uploadedAt: "asc" }, { id: "asc" }],
    }),
    tracesOfTrial(scope, file.trialId),
    scope.db.marker.findMany({
      where: { studyId, trialId: file.trialId },
      select: { name: true, atS: true },
      orderBy: [{ atS: "asc" }, { id: "asc" }],
    }),
  ]);
  const kept = rows.map((row) => ({
    offsetS: row.offsetS,
    how: methodInWords(keptMethod.parse(row.method)),
    setAt: row.setAt.toISOString(),
    setBy: people.find(({ id }) => id === row.setById)?.name ?? "somebody who has no account any more",
  }));
  const seriesOf = (id: string) =>
    (traces.find(({ sourceFileId: of }) => of === id)?.traces ?? []).map((trace) => ({
      series: trace.series,
      statistic: trace.statistic,
      label: seriesLabel(trace),
      unit: trace.unit,
    }));
  return {
    sourceFileId,
    name: file.name,
    revision: file.revision,
    offsetS: file.offsetS,
    startedAt: file.startedAt,
    /** How the offset in force was found; null while the file lies where it began, at the trial's zero. */
    inForce: kept[0] ?? null,
    /** What taking the offset back leads to; null when there is nothing to take back. */
    before: kept.length === 0 ? null : (kept[1] ?? { offsetS: 0, how: null }),
    series: seriesOf(sourceFileId),
    markers,
    others: files
      .filter(({ id }) => id !== sourceFileId)
      .map((other) => {
        const between = secondsBetween(other, file);
        return {
          sourceFileId: other.id,
          name: other.name,
          offsetS: other.offsetS,
          startedAt: other.startedAt,
          byAbsoluteTime:
            between.kind === "known"
              ? { kind: between.kind, offsetS: toMillisecond(other.offsetS + between.seconds) }
              : between,
          series: seriesOf(other.id),
        };
      }),
  };
}

function fileOf(files: readonly FileTraces[], sourceFileId: string, field: string): FileTraces {
  const found = files.find((file) => file.sourceFileId === sourceFileId);
  if (found === undefined) {
    throw new AppError("invalid", "No file of this trial that was read is meant. Choose one of its files.", {
      field,
    });
  }
  return found;
}

function traceOf(file: FileTraces, wanted: SeriesOfFile, field: string): ClockTrace {
  const found = file.traces.find((trace) => seriesKey(trace) === seriesKey(wanted));
  if (found === undefined) {
    throw new AppError("invalid", `${file.fileName} has no such series. Choose one that was read from it.`, {
      field,
    });
  }
  return found;
}

interface Pair {
  readonly own: { readonly file: FileTraces; readonly trace: ClockTrace };
  readonly other: { readonly file: FileTraces; readonly trace: ClockTrace };
  /** By how much the file has to move from where it lies. */
  readonly agreement: Agreement;
}

async function agreementBetween(
  scope: ReadScope,
  trialId: string,
  sourceFileId: string,
  choice: { readonly own: SeriesOfFile; readonly otherFileId: string; readonly other: SeriesOfFile },
): Promise<Pair> {
  if (choice.otherFileId === sourceFileId) {
    throw new AppError("invalid", "A file cannot be compared with itself. Choose another file.", {
      field: "otherFileId",
    });
  }
  const files = await tracesOfTrial(scope, trialId);
  const ownFile = fileOf(files, sourceFileId, "own");
  const otherFile = fileOf(files, choice.otherFileId, "otherFileId");
  const own = { file: ownFile, trace: traceOf(ownFile, choice.own, "own") };
  const other = { file: otherFile, trace: traceOf(otherFile, choice.other, "other") };
  const agreement = agreementOf(
    { timeBase: otherFile.timeBase, values: other.trace.values },
    { timeBase: ownFile.timeBase, values: own.trace.values },
  );
  return { own, other, agreement };
}

/** Looks for the shift at which two series agree best, and shows both before and after. Changes nothing. */
export async function estimateFileOffset(scope: ReadScope, input: z.output<typeof estimateInput>) {
  const file = await findFile(scope, input.sourceFileId);
  const { trial } = await findTrial(scope, file.trialId);
  await requirePermission(scope, trial.volunteerId, permissionKeys.takePart, scope.now);
  const { own, other, agreement } = await agreementBetween(scope, file.trialId, file.id, input);
  const sameUnit = own.trace.unit === other.trace.unit;
  const line = ({ file: of, trace }: Pair["own"], movedS: number) =>
    drawn(sampleTimes(shifted(of.timeBase, movedS)), sameUnit ? trace.values : standardised(trace.values));
  return {
    otherLabel: `${seriesLabel(other.trace)}, ${other.file.fileName}`,
    ownLabel: `${seriesLabel(own.trace)}, ${own.file.fileName}`,
    /** Both in their unit where it is the same; else each less its mean, over its spread. */
    unit: sameUnit ? own.trace.unit : "standard deviations",
    offsetNowS: file.offsetS,
    agreement:
      agreement.kind === "none"
        ? agreement
        : {
            kind: agreement.kind,
            offsetS: toMillisecond(file.offsetS + agreement.shiftS),
            shiftS: toMillisecond(agreement.shiftS),
            correlation: agreement.correlation,
            correlationNow: agreement.correlationNow,
            ambiguity: agreement.ambiguity,
            overlapS: agreement.overlapS,
            doubts: agreement.doubts,
          },
    lines: {
      other: line(other, 0),
      before: line(own, 0),
      after: agreement.kind === "none" ? null : line(own, agreement.shiftS),
    },
  };
}

interface Found {
  readonly offsetS: number;
  readonly method: KeptMethod;
}

async function otherFileOf(write: WriteScope, file: { id: string; trialId: string }, otherFileId: string) {
  const other = await write.db.sourceFile.findFirst({
    where: { id: otherFileId, studyId: write.access.studyId, trialId: file.trialId, state: "read" },
    select: { id: true, name: true, startedAt: true, offsetS: true },
  });
  if (other === null || other.id === file.id) {
    throw new AppError("invalid", "Choose another file of this trial that was read.", {
      field: "otherFileId",
    });
  }
  return other;
}

type FileRow = Prisma.SourceFileGetPayload<object>;

async function offsetBy(write: WriteScope, file: FileRow, choice: OffsetChoice): Promise<Found> {
  switch (choice.kind) {
    case "stated":
      return { offsetS: choice.offsetS, method: { kind: "stated", reason: choice.reason } };
    case "absolute time": {
      const other = await otherFileOf(write, file, choice.otherFileId);
      const between = secondsBetween(other, file);
      if (between.kind === "unknown") throw new AppError("invalid", between.reason, { field: "otherFileId" });
      return {
        offsetS: toMillisecond(other.offsetS + between.seconds),
        method: {
          kind: "absolute time",
          otherName: other.name,
          ownStart: file.startedAt ?? "",
          otherStart: other.startedAt ?? "",
        },
      };
    }
    case "same event": {
      const other = choice.otherFileId === null ? null : await otherFileOf(write, file, choice.otherFileId);
      const { event, hereS, thereS } = choice;
      return {
        offsetS: toMillisecond((other?.offsetS ?? 0) + thereS - hereS),
        method: { kind: "same event", event, hereS, thereS, otherName: other?.name ?? null },
      };
    }
    case "estimate": {
      const { own, other, agreement } = await agreementBetween(write, file.trialId, file.id, choice);
      const offsetS = agreement.kind === "none" ? null : toMillisecond(file.offsetS + agreement.shiftS);
      if (agreement.kind === "none" || offsetS === null || offsetS !== toMillisecond(choice.offsetS)) {
        throw new AppError(
          "changed-meanwhile",
          "The series are other than when this estimate was made. Estimate the offset again, and look at it before you take it.",
          { details: { current: { offsetS } } },
        );
      }
      return {
        offsetS,
        method: {
          kind: "estimate",
          ownLabel: seriesLabel(own.trace),
          otherLabel: seriesLabel(other.trace),
          otherName: other.file.fileName,
          correlation: agreement.correlation,
          ambiguity: agreement.ambiguity,
        },
      };
    }
  }
}

async function moveFile(
  write: WriteScope,
  file: FileRow,
  trial: Parameters<typeof moved>[0],
  offsetS: number,
) {
  const { revision } = await write.db.sourceFile.update({
    where: { id: file.id },
    data: { offsetS, revision: { increment: 1 } },
    select: { revision: true },
  });
  await write.db.trial.update({ where: { id: trial.id }, data: moved(trial, write.now) });
  return { revision, offsetS };
}

const moved = (trial: { id: string; state: Parameters<typeof stateAfterChange>[0] }, now: Date) =>
  filesChanged(trial.state, stateAfterChange(trial.state), now);

/** Moves a file on the trial's clock, and keeps how that was found. */
export function setOffset(scope: ReadScope, input: z.output<typeof setOffsetInput>) {
  return writeInStudy(scope, async (write) => {
    const { trial, file, subject } = await lockFile(write, input.sourceFileId, input.revision);
    await requirePermission(write, trial.volunteerId, permissionKeys.takePart, write.now);
    const { method: choice } = input;
    if (choice.kind === "stated")
      await refuseNaming(write, trial.volunteerId, choice.reason, "method.reason");
    if (choice.kind === "same event") {
      await refuseNaming(write, trial.volunteerId, choice.event, "method.event");
    }
    const { offsetS, method } = await offsetBy(write, file, choice);
    await keepOffset(write, file.id, offsetS, method);
    const result = await moveFile(write, file, trial, offsetS);
    return {
      result,
      audit: [
        {
          action: "sourceFile.setOffset",
          subject,
          before: { offsetS: file.offsetS },
          after: { offsetS, ...auditedMethod(method) },
          ...(method.kind === "stated" ? { reason: method.reason } : {}),
        },
      ],
    };
  });
}

/** What the trail keeps of a method: names of files stay out of it, since it is never changed. */
function auditedMethod(method: KeptMethod) {
  switch (method.kind) {
    case "stated":
    case "taken over":
      return { method: method.kind };
    case "absolute time":
      return { method: method.kind, ownStart: method.ownStart, otherStart: method.otherStart };
    case "same event":
      return { method: method.kind, event: method.event, hereS: method.hereS, thereS: method.thereS };
    case "estimate":
      return { method: method.kind, correlation: method.correlation, ambiguity: method.ambiguity };
  }
}

/** One more row of a file's offsets, which is then in force. */
export async function keepOffset(
  write: WriteScope,
  sourceFileId: string,
  offsetS: number,
  method: KeptMethod,
): Promise<void> {
  const { db, access } = write;
  const last = await db.fileOffset.findFirst({
    where: { studyId: access.studyId, sourceFileId },
    orderBy: { place: "desc" },
    select: { place: true },
  });
  await db.fileOffset.create({
    data: {
      id: newId(),
      studyId: access.studyId,
      sourceFileId,
      place: (last?.place ?? 0) + 1,
      offsetS,
      method,
      setAt: write.now,
      setById: access.actor.userId,
    },
  });
}

/** Takes the last placing of a file back: it lies again where it lay before. */
export function takeBackOffset(scope: ReadScope, input: z.output<typeof takeBackOffsetInput>) {
  return writeInStudy(scope, async (write) => {
    const { trial, file, subject } = await lockFile(write, input.sourceFileId, input.revision);
    await requirePermission(write, trial.volunteerId, permissionKeys.takePart, write.now);
    const { db, access } = write;
    const [last, before] = await db.fileOffset.findMany({
      where: { studyId: access.studyId, sourceFileId: file.id },
      orderBy: { place: "desc" },
      take: 2,
    });
    if (last === undefined) {
      throw new AppError("wrong-state", "This file lies where it began: there is no offset to take back.");
    }
    await db.fileOffset.delete({ where: { id: last.id } });
    const result = await moveFile(write, file, trial, before?.offsetS ?? 0);
    return {
      result,
      audit: [
        {
          action: "sourceFile.takeBackOffset",
          subject,
          before: { offsetS: last.offsetS, ...auditedMethod(keptMethod.parse(last.method)) },
          after: { offsetS: result.offsetS },
        },
      ],
    };
  });
}
