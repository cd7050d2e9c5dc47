import { UnknownRegionError } from "@acral/analysis/skin";
import {
  type ColumnMap,
  columnMapSchema,
  type Detection,
  detectColumnMap,
  readFirstRows,
  SourceFileError,
} from "@acral/ingest";
import type { z } from "zod";
import type { AuditDraft } from "../audit/schema";
import { canonicalJson } from "../canonical-json";
import { requirePermission } from "../consent/service";
import { permissionKeys } from "../consent-form/policy";
import { newId } from "../identifiers";
import { refuseNaming } from "../identity/service";
import { readBlob, readingEntry, storeReading } from "../reading/service";
import { type ReadScope, type WriteScope, writeInStudy } from "../scope";
import {
  fileChanged,
  findFile,
  headOfBlob,
  problemOf,
  requireInUse,
  withoutTime,
} from "../source-file/service";
import { stateAfterChange } from "../trial/policy";
import { filesChanged, findTrial, lockTrial, requireStep } from "../trial/service";
import {
  columnMapChoices,
  coverageOf,
  fitRemembered,
  nameFromFile,
  previewOf,
  readOtherwise,
  targetsOf,
  targetText,
} from "./policy";
import type { previewInput, proposalInput, readInput } from "./schema";

/** A proposal of how to read the file: as it is read now, as this layout was read before, or as detected. */
export async function proposeColumnMap(scope: ReadScope, input: z.output<typeof proposalInput>) {
  const { sourceFileId, delimiter, sheet } = input;
  const file = await findFile(scope, sourceFileId);
  const { trial, content } = await findTrial(scope, file.trialId);
  await requirePermission(scope, trial.volunteerId, permissionKeys.takePart, scope.now);
  // Another delimiter or sheet makes other columns: what was decided for the old ones says nothing about them.
  const chosen = delimiter !== undefined || sheet !== undefined;
  const own = file.columnMap === null || chosen ? null : columnMapSchema.parse(file.columnMap);
  const common = {
    sourceFileId,
    name: file.name,
    state: file.state,
    revision: file.revision,
    /** Of the layout's column map as it is kept; a name to begin with where there is none yet. */
    columnMapName: nameFromFile(file.name),
    remembered: false,
    regions: content.regions,
    choices: columnMapChoices,
  };
  let detection: Detection;
  let kept: Awaited<ReturnType<typeof keptMap>>;
  try {
    const head = await headOfBlob(scope.core, file.sha256, file.sizeBytes);
    const asked = sheet ?? own?.sheet ?? null;
    const options = delimiter === undefined ? {} : { delimiter };
    detection = detectColumnMap(head, asked === null ? options : { ...options, sheet: asked });
    kept = await keptMap(scope, detection.fingerprint);
    // A person read files of this layout from another sheet: that one is looked at, where there is one.
    const usual = kept === null || sheet !== undefined ? null : columnMapSchema.parse(kept.map).sheet;
    if (usual !== null && own === null && detection.sheets.some(({ name }) => name === usual)) {
      detection = detectColumnMap(head, { ...options, sheet: usual });
    }
  } catch (error) {
    if (!(error instanceof SourceFileError)) throw error;
    return { ...common, problem: problemOf(error), proposal: null };
  }
  const remembered = own === null && !chosen && kept !== null ? columnMapSchema.parse(kept.map) : null;
  const columnMap =
    own ?? (remembered === null ? detection.columnMap : fitRemembered(detection.columnMap, remembered));
  const { guesses, doubts, preview } = detection;
  return {
    ...common,
    columnMapName: kept?.name ?? common.columnMapName,
    remembered: kept !== null,
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
      /** The sheets of a workbook, for whoever wants another one; none for a text. */
      sheets: detection.sheets,
      coverage: coverageOf(columnMap, content.regions),
    },
  };
}

/** The column map that is kept for a layout; null when no file of it was read before. */
export function keptMap(scope: ReadScope, fingerprint: string) {
  return scope.db.columnMap.findUnique({
    where: { studyId_fingerprint: { studyId: scope.access.studyId, fingerprint } },
  });
}

/** What the first rows would read as by an edited column map. A refusal is an answer here, not an error. */
export async function previewColumnMap(scope: ReadScope, input: z.output<typeof previewInput>) {
  const file = await findFile(scope, input.sourceFileId);
  const { trial, content } = await findTrial(scope, file.trialId);
  await requirePermission(scope, trial.volunteerId, permissionKeys.takePart, scope.now);
  const coverage = coverageIfKnown(input.columnMap, content.regions);
  try {
    const head = await headOfBlob(scope.core, file.sha256, file.sizeBytes);
    const result = readFirstRows(head, input.columnMap);
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
 * Confirms a column map: reads the whole file by it, replaces the file's traces, and keeps the map for the layout, to be
 * proposed for its next file. Reading happens before the transaction.
 */
export async function readFile(scope: ReadScope, input: z.output<typeof readInput>) {
  const before = await findFile(scope, input.sourceFileId);
  const { trial, content } = await findTrial(scope, before.trialId);
  requireStep("change", trial.state);
  await requirePermission(scope, trial.volunteerId, permissionKeys.takePart, scope.now);
  const columnMap: ColumnMap = { ...input.columnMap, decidedBy: "person" };
  if (input.name !== undefined) await refuseNaming(scope, trial.volunteerId, input.name, "name");
  const reading = await readBlob(scope, before.sha256, columnMap);
  const coverage = coverageOf(columnMap, content.regions);
  return writeInStudy(scope, async (write) => {
    const now = write.core.now();
    const locked = await lockTrial(write, before.trialId, "change");
    await requirePermission(write, locked.trial.volunteerId, permissionKeys.takePart, now);
    const file = await findFile(write, input.sourceFileId);
    if (file.revision !== input.revision) throw fileChanged(file);
    requireInUse(file);
    const change = await storeReading(write, file, reading);
    const keeping =
      file.fingerprint !== null && input.keep
        ? await keepMap(write, file.fingerprint, input.name ?? null, file.name, columnMap)
        : null;
    const others =
      file.fingerprint === null || keeping === null
        ? 0
        : await countReadOtherwise(write, file.fingerprint, columnMap);
    if (!change.identical) await noteFilesChanged(write, locked.trial, now);
    return {
      result: {
        revision: change.revision,
        identical: change.identical,
        traces: reading.traces.length,
        rowsUsed: reading.result.report.rowsUsed,
        report: reading.result.report,
        startedAt: reading.result.startedAt,
        coverage,
        /** The layout's map, and how many stored files of the layout were read by another one. */
        columnMapId: keeping?.columnMapId ?? null,
        readOtherwise: others,
      },
      audit: [readingEntry(file, locked.label, reading, change), ...(keeping?.audit ?? [])],
    };
  });
}

/** A trial's files, or what was read of them, are other than before: whoever accepts it must have seen them. */
export async function noteFilesChanged(
  write: WriteScope,
  trial: { id: string; state: Parameters<typeof stateAfterChange>[0] },
  now: Date,
): Promise<void> {
  const state = trial.state === "planned" ? "recorded" : stateAfterChange(trial.state);
  await write.db.trial.update({ where: { id: trial.id }, data: filesChanged(trial.state, state, now) });
}

/** Keeps a map for a layout; an entry for the audit trail when there was none, or another one. */
async function keepMap(
  write: WriteScope,
  fingerprint: string,
  name: string | null,
  fileName: string,
  columnMap: ColumnMap,
): Promise<{ columnMapId: string; audit: AuditDraft[] }> {
  const { db, access } = write;
  const kept = await keptMap(write, fingerprint);
  const called = name ?? kept?.name ?? nameFromFile(fileName);
  if (
    kept !== null &&
    kept.name === called &&
    canonicalJson(columnMapSchema.parse(kept.map)) === canonicalJson(columnMap)
  ) {
    return { columnMapId: kept.id, audit: [] };
  }
  const columnMapId = kept?.id ?? newId();
  const by = { name: called, map: columnMap, updatedById: access.actor.userId };
  await db.columnMap.upsert({
    where: { studyId_fingerprint: { studyId: access.studyId, fingerprint } },
    create: { id: columnMapId, studyId: access.studyId, fingerprint, ...by },
    update: { ...by, revision: { increment: 1 } },
  });
  const wordsOf = (map: ColumnMap) => targetsOf(map).map(targetText);
  return {
    columnMapId,
    audit: [
      {
        action: kept === null ? "columnMap.keep" : "columnMap.change",
        // What somebody called a file stays out of the trail; the fingerprint identifies the layout.
        subject: { kind: "column map", id: columnMapId, label: `layout ${fingerprint.slice(0, 12)}` },
        ...(kept === null ? {} : { before: { reads: wordsOf(columnMapSchema.parse(kept.map)) } }),
        after: { reads: wordsOf(columnMap) },
      },
    ],
  };
}

/** How many files of a layout were read by another map than the one that is kept for it. */
async function countReadOtherwise(write: WriteScope, fingerprint: string, kept: ColumnMap): Promise<number> {
  const files = await write.db.sourceFile.findMany({
    where: { studyId: write.access.studyId, fingerprint, state: "read" },
    select: { columnMap: true },
  });
  return files.filter((file) => readOtherwise(columnMapSchema.parse(file.columnMap), kept)).length;
}
