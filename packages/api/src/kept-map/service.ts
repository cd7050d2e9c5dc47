import { type ColumnMap, columnMapSchema } from "@acral/ingest";
import type { z } from "zod";
import { AppError, notFound } from "../app-error";
import { fitRemembered, readOtherwise, targetsOf, targetText } from "../column-map/policy";
import type { columnMapInput, readAgainInput, removeMapInput, renameInput } from "../column-map/schema";
import { keptMap, noteFilesChanged } from "../column-map/service";
import { permissionsOf, requirePermission } from "../consent/service";
import { permissionKeys } from "../consent-form/policy";
import { refuseNaming } from "../identity/service";
import { conditionName } from "../protocol/policy";
import { protocolContent } from "../protocol/schema";
import { readBlob, readingEntry, storeReading } from "../reading/service";
import { changedMeanwhile } from "../revision";
import { type ReadScope, type WriteScope, writeInStudy } from "../scope";
import { fileChanged, findFile, requireInUse } from "../source-file/service";
import { stepRefusal, trialLabel } from "../trial/policy";
import { findTrial, lockTrial, requireStep } from "../trial/service";
import { changesInWords, mapInShort } from "./policy";

/** The column maps that a study keeps, one for each layout: what they read, and which files were read by them. */

const subjectOf = (row: { id: string; fingerprint: string }) => ({
  kind: "column map",
  id: row.id,
  label: `layout ${row.fingerprint.slice(0, 12)}`,
});

async function findMap(scope: ReadScope, columnMapId: string) {
  const row = await scope.db.columnMap.findFirst({
    where: { id: columnMapId, studyId: scope.access.studyId },
  });
  if (row === null) throw notFound("column map");
  return row;
}

/** All column maps of the study, by name. There are as many as the study has met layouts: a handful. */
export async function listMaps(scope: ReadScope) {
  const { studyId } = scope.access;
  const rows = await scope.db.columnMap.findMany({
    where: { studyId },
    orderBy: [{ name: "asc" }, { id: "asc" }],
  });
  const [files, people] = await Promise.all([
    scope.db.sourceFile.findMany({
      where: { studyId, fingerprint: { in: rows.map((row) => row.fingerprint) }, state: { not: "replaced" } },
      select: { fingerprint: true, state: true, columnMap: true },
    }),
    scope.db.user.findMany({
      where: { id: { in: rows.flatMap((row) => row.updatedById ?? []) } },
      select: { id: true, name: true },
    }),
  ]);
  return {
    rows: rows.map((row) => {
      const map = columnMapSchema.parse(row.map);
      const ofLayout = files.filter((file) => file.fingerprint === row.fingerprint);
      const read = ofLayout.flatMap((file) =>
        file.state === "read" ? [columnMapSchema.parse(file.columnMap)] : [],
      );
      const otherwise = read.filter((own) => readOtherwise(own, map)).length;
      return {
        columnMapId: row.id,
        name: row.name,
        fingerprint: row.fingerprint,
        revision: row.revision,
        inShort: mapInShort(map),
        reads: targetsOf(map).map(targetText),
        confirmedAt: row.updatedAt.toISOString(),
        confirmedBy: people.find(({ id }) => id === row.updatedById)?.name ?? null,
        filesRead: read.length - otherwise,
        filesReadOtherwise: otherwise,
        filesNotRead: ofLayout.length - read.length,
      };
    }),
  };
}

/** The files of a map's layout: which it reads as they stand, which it would read otherwise, and what stands in the way. */
export async function filesOfMap(scope: ReadScope, input: z.output<typeof columnMapInput>) {
  const { studyId } = scope.access;
  const row = await findMap(scope, input.columnMapId);
  const map = columnMapSchema.parse(row.map);
  const files = await scope.db.sourceFile.findMany({
    where: { studyId, fingerprint: row.fingerprint, state: { not: "replaced" } },
    select: {
      id: true,
      name: true,
      state: true,
      revision: true,
      columnMap: true,
      trialId: true,
      trial: {
        select: {
          state: true,
          conditionKey: true,
          occasion: true,
          volunteerId: true,
          volunteer: { select: { code: true } },
          protocol: { select: { content: true } },
        },
      },
    },
    orderBy: [{ uploadedAt: "asc" }, { id: "asc" }],
  });
  const permitted = await permissionsOf(
    scope,
    [...new Set(files.map(({ trial }) => trial.volunteerId))],
    scope.now,
  );
  return {
    columnMapId: row.id,
    name: row.name,
    revision: row.revision,
    files: files.map(({ trial, ...file }) => {
      const own = file.columnMap === null ? null : columnMapSchema.parse(file.columnMap);
      const consent = permitted.get(trial.volunteerId)?.has(permissionKeys.takePart) ?? false;
      const changes = file.state === "read" && own !== null ? changesOf(own, map) : [];
      return {
        sourceFileId: file.id,
        name: file.name,
        revision: file.revision,
        trialId: file.trialId,
        trialLabel: trialLabel({
          code: trial.volunteer.code,
          condition: conditionName(protocolContent.parse(trial.protocol.content), trial.conditionKey),
          occasion: trial.occasion,
        }),
        reading:
          file.state !== "read"
            ? ("not read" as const)
            : changes.length === 0
              ? ("by this map" as const)
              : ("otherwise" as const),
        // Names of columns come from the file, which is used only with consent.
        changes: consent ? changes : [],
        /** Why it cannot be read again now; null when it can. */
        blocked: consent
          ? stepRefusal("change", trial.state)
          : `Volunteer ${trial.volunteer.code} does not permit taking part: the file is left as it is.`,
      };
    }),
  };
}

const changesOf = (own: ColumnMap, kept: ColumnMap) =>
  readOtherwise(own, kept) ? changesInWords(own, fitRemembered(own, kept)) : [];

/** Reads a stored file again by the map that is kept for its layout. What was accepted is left alone. */
export async function readAgain(scope: ReadScope, input: z.output<typeof readAgainInput>) {
  const before = await findFile(scope, input.sourceFileId);
  const { trial } = await findTrial(scope, before.trialId);
  requireStep("change", trial.state);
  await requirePermission(scope, trial.volunteerId, permissionKeys.takePart, scope.now);
  requireInUse(before);
  const kept = before.fingerprint === null ? null : await keptMap(scope, before.fingerprint);
  if (kept === null || before.columnMap === null) {
    throw new AppError(
      "wrong-state",
      "No column map is kept for the layout of this file, or it was never read. Open the file in its trial and confirm its column map there.",
    );
  }
  const columnMap = fitRemembered(columnMapSchema.parse(before.columnMap), columnMapSchema.parse(kept.map));
  const reading = await readBlob(scope, before.sha256, columnMap);
  return writeInStudy(scope, async (write) => {
    const now = write.core.now();
    const locked = await lockTrial(write, before.trialId, "change");
    await requirePermission(write, locked.trial.volunteerId, permissionKeys.takePart, now);
    const file = await findFile(write, input.sourceFileId);
    if (file.revision !== input.revision) throw fileChanged(file);
    const keptNow = await keptMap(write, file.fingerprint ?? "");
    if (keptNow?.revision !== kept.revision) {
      throw changedMeanwhile("column map", { revision: keptNow?.revision ?? null });
    }
    const change = await storeReading(write, file, reading);
    if (!change.identical) await noteFilesChanged(write, locked.trial, now);
    return {
      result: {
        revision: change.revision,
        identical: change.identical,
        changed: change.changed,
        rowsUsed: reading.result.report.rowsUsed,
      },
      audit: [readingEntry(file, locked.label, reading, change)],
    };
  });
}

async function lockMap(write: WriteScope, columnMapId: string, revision: number) {
  await write.db
    .$queryRaw`select id from column_map where id = ${columnMapId} and study_id = ${write.access.studyId} for update`;
  const row = await findMap(write, columnMapId);
  if (row.revision !== revision) {
    throw changedMeanwhile("column map", { revision: row.revision, name: row.name });
  }
  return row;
}

export function renameMap(scope: ReadScope, input: z.output<typeof renameInput>) {
  return writeInStudy(scope, async (write) => {
    const { db, access } = write;
    const row = await lockMap(write, input.columnMapId, input.revision);
    // The whole team sees the name: it may name nobody whose files are read by the map.
    const files = await db.sourceFile.findMany({
      where: { studyId: access.studyId, fingerprint: row.fingerprint },
      select: { trial: { select: { volunteerId: true } } },
    });
    for (const volunteerId of new Set(files.map(({ trial }) => trial.volunteerId))) {
      await refuseNaming(write, volunteerId, input.name, "name");
    }
    const { revision } = await db.columnMap.update({
      where: { id: row.id },
      // When it was confirmed, and by whom, stays: another name reads nothing otherwise.
      data: { name: input.name, revision: { increment: 1 }, updatedAt: row.updatedAt },
      select: { revision: true },
    });
    return {
      result: { revision },
      audit: [
        {
          action: "columnMap.rename",
          subject: subjectOf(row),
          before: { name: row.name },
          after: { name: input.name },
        },
      ],
    };
  });
}

/** Forgets a layout: its next file is looked at afresh. Files that were read stay read as they are. */
export function removeMap(scope: ReadScope, input: z.output<typeof removeMapInput>) {
  return writeInStudy(scope, async (write) => {
    const row = await lockMap(write, input.columnMapId, input.revision);
    await write.db.columnMap.delete({ where: { id: row.id } });
    return {
      result: null,
      audit: [
        {
          action: "columnMap.remove",
          subject: subjectOf(row),
          before: { reads: targetsOf(columnMapSchema.parse(row.map)).map(targetText) },
        },
      ],
    };
  });
}
