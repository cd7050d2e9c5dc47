import { UnknownRegionError } from "@acral/analysis/skin";
import { encodeFloat32, encodeFloat64, type Prisma } from "@acral/db";
import {
  type ColumnMap,
  columnMapSchema,
  type Detection,
  detectColumnMap,
  type ReadResult,
  readSourceFile,
  readSourceStream,
  SourceFileError,
} from "@acral/ingest";
import type { z } from "zod";
import { requirePermission } from "../consent/service";
import { permissionKeys } from "../consent-form/policy";
import { newId } from "../identifiers";
import { type ReadScope, writeInStudy } from "../scope";
import {
  fileChanged,
  fileRefused,
  findFile,
  headOfBlob,
  problemOf,
  withoutTime,
} from "../source-file/service";
import { stateAfterChange } from "../trial/policy";
import { filesChanged, findTrial, lockTrial, requireStep } from "../trial/service";
import { columnMapChoices, coverageOf, fitRemembered, previewOf, readerVersion, targetText } from "./policy";
import type { previewInput, proposalInput, readInput } from "./schema";

/** A proposal of how to read the file: as it is read now, as this layout was read before, or as detected. */
export async function proposeColumnMap(scope: ReadScope, input: z.output<typeof proposalInput>) {
  const { sourceFileId, delimiter } = input;
  const file = await findFile(scope, sourceFileId);
  const { trial, content } = await findTrial(scope, file.trialId);
  await requirePermission(scope, trial.volunteerId, permissionKeys.takePart, scope.now);
  // Another delimiter makes other columns: what was decided for the old ones says nothing about them.
  const own =
    file.columnMap === null || delimiter !== undefined ? null : columnMapSchema.parse(file.columnMap);
  const common = {
    sourceFileId,
    name: file.name,
    state: file.state,
    revision: file.revision,
    regions: content.regions,
    choices: columnMapChoices,
  };
  let detection: Detection;
  try {
    const head = await headOfBlob(scope.core, file.sha256, file.sizeBytes);
    detection = detectColumnMap(head, delimiter === undefined ? {} : { delimiter });
  } catch (error) {
    if (!(error instanceof SourceFileError)) throw error;
    return { ...common, problem: problemOf(error), proposal: null };
  }
  const remembered =
    own === null && delimiter === undefined ? await rememberedMap(scope, detection.fingerprint) : null;
  const columnMap =
    own ?? (remembered === null ? detection.columnMap : fitRemembered(detection.columnMap, remembered));
  const { guesses, doubts, preview } = detection;
  return {
    ...common,
    problem: own === null ? withoutTime(detection) : null,
    proposal: {
      origin:
        own !== null
          ? ("this file" as const)
          : remembered !== null
            ? ("remembered" as const)
            : ("detected" as const),
      columnMap,
      guesses,
      // Doubts are about what detection guessed: what a person decided for this layout is not doubted again.
      doubts: own === null && remembered === null ? doubts : [],
      preview,
      coverage: coverageOf(columnMap, content.regions),
    },
  };
}

async function rememberedMap(scope: ReadScope, fingerprint: string): Promise<ColumnMap | null> {
  const row = await scope.db.columnMap.findUnique({
    where: { studyId_fingerprint: { studyId: scope.access.studyId, fingerprint } },
  });
  return row === null ? null : columnMapSchema.parse(row.map);
}

/** What the first rows would read as by an edited column map. A refusal is an answer here, not an error. */
export async function previewColumnMap(scope: ReadScope, input: z.output<typeof previewInput>) {
  const file = await findFile(scope, input.sourceFileId);
  const { trial, content } = await findTrial(scope, file.trialId);
  await requirePermission(scope, trial.volunteerId, permissionKeys.takePart, scope.now);
  const coverage = coverageIfKnown(input.columnMap, content.regions);
  try {
    const head = await headOfBlob(scope.core, file.sha256, file.sizeBytes);
    const result = readSourceFile(head, input.columnMap);
    return {
      problem: null,
      coverage,
      startedAt: result.startedAt,
      startClock: result.startClock,
      warnings: result.report.warnings.map(({ kind, message, lines }) => ({
        kind,
        message,
        lines: lines.slice(0, 5),
      })),
      ...previewOf(result, input.rows),
    };
  } catch (error) {
    if (!(error instanceof SourceFileError)) throw error;
    return {
      problem: problemOf(error),
      coverage,
      startedAt: null,
      startClock: null,
      warnings: [],
      timesS: [],
      traces: [],
    };
  }
}

/** Coverage names regions by their labels; a map with an unknown region is refused by the reader instead. */
function coverageIfKnown(map: ColumnMap, regions: Parameters<typeof coverageOf>[1]) {
  const { success } = knownRegions.safeParse(map);
  return success ? coverageOf(map, regions) : null;
}

const knownRegions = columnMapSchema.refine((map) => {
  try {
    coverageOf(map, []);
    return true;
  } catch (error) {
    if (error instanceof UnknownRegionError) return false;
    throw error;
  }
});

/**
 * Confirms a column map: reads the whole file by it, replaces the file's traces, and remembers the map for the next file
 * of this layout. Reading happens before the transaction.
 */
export async function readFile(scope: ReadScope, input: z.output<typeof readInput>) {
  const before = await findFile(scope, input.sourceFileId);
  const { trial, content } = await findTrial(scope, before.trialId);
  requireStep("change", trial.state);
  await requirePermission(scope, trial.volunteerId, permissionKeys.takePart, scope.now);
  const columnMap: ColumnMap = { ...input.columnMap, decidedBy: "person" };
  let result: ReadResult;
  try {
    result = await readSourceStream(scope.core.blobs.read(before.sha256), columnMap);
  } catch (error) {
    if (error instanceof SourceFileError) throw fileRefused(error);
    throw error;
  }
  const traces = result.traces.map((trace) => ({
    columnIndex: trace.column,
    columnName: trace.name,
    regionId: trace.target.kind === "region" ? trace.target.regionId : null,
    statistic: trace.target.kind === "region" ? trace.target.statistic : null,
    channel: trace.target.kind === "channel" ? trace.target.channel : null,
    unit: trace.unit,
    missing: trace.values.reduce((count, value) => (Number.isFinite(value) ? count : count + 1), 0),
    data: encodeFloat32(trace.values),
  }));
  const coverage = coverageOf(columnMap, content.regions);
  return writeInStudy(scope, async (write) => {
    const { db, access, core } = write;
    const now = core.now();
    const locked = await lockTrial(write, before.trialId, "change");
    await requirePermission(write, locked.trial.volunteerId, permissionKeys.takePart, now);
    const file = await findFile(write, input.sourceFileId);
    if (file.revision !== input.revision) throw fileChanged(file);
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
    await db.sourceFile.update({
      where: { id: file.id },
      data: {
        state: "read",
        columnMap,
        report: result.report as unknown as Prisma.InputJsonObject,
        readerVersion,
        startedAt: result.startedAt,
        ...timeBaseData(result),
        revision: { increment: 1 },
      },
    });
    if (file.fingerprint !== null) {
      const { fingerprint } = file;
      await db.columnMap.upsert({
        where: { studyId_fingerprint: { studyId: access.studyId, fingerprint } },
        create: { id: newId(), studyId: access.studyId, fingerprint, name: file.name, map: columnMap },
        update: { map: columnMap, name: file.name },
      });
    }
    const state = locked.trial.state === "planned" ? "recorded" : stateAfterChange(locked.trial.state);
    await db.trial.update({
      where: { id: file.trialId },
      data: filesChanged(locked.trial.state, state, now),
    });
    return {
      result: {
        revision: file.revision + 1,
        traces: traces.length,
        rowsUsed: result.report.rowsUsed,
        report: result.report,
        startedAt: result.startedAt,
        coverage,
      },
      audit: [
        {
          action: "sourceFile.read",
          subject: { kind: "source file", id: file.id, label: locked.label },
          before: { state: file.state },
          after: {
            sha256: file.sha256,
            traces: result.traces.map((trace) => targetText(trace.target)),
            rowsUsed: result.report.rowsUsed,
            readerVersion,
          },
        },
      ],
    };
  });
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
