import { AnalysisError } from "@acral/analysis";
import type { AdjustmentEffect, AdjustmentSettings } from "@acral/analysis/quality";
import type { Prisma } from "@acral/db";
import type { z } from "zod";
import { AppError, notFound } from "../app-error";
import { canonicalJson } from "../canonical-json";
import { requirePermission } from "../consent/service";
import { permissionKeys } from "../consent-form/policy";
import { newId } from "../identifiers";
import { refuseNaming } from "../identity/service";
import { changedMeanwhile } from "../revision";
import { type ReadScope, type WriteScope, writeInStudy } from "../scope";
import { findFile } from "../source-file/service";
import { applyTo, inWords } from "../trace/policy";
import { type FileAsRead, filesAsRead } from "../trace/service";
import { stateAfterChange } from "../trial/policy";
import { filesChanged, lockTrial, requireRevision } from "../trial/service";
import { adjustmentTitle, doubledBy, onClock, timeShiftOf } from "./policy";
import { type adjustInput, adjustmentSettings, type adjustmentStepInput, type reorderInput } from "./schema";

/** Adjustments of source files: made, undone, redone and put in order. The file and its traces stay as they are. */

export type AdjustmentRow = Prisma.AdjustmentGetPayload<object>;

const inOrder = [{ position: "asc" }, { id: "asc" }] satisfies Prisma.AdjustmentOrderByWithRelationInput[];

/** All adjustments of a file, the undone ones too, in their order. */
export function adjustmentsOfFile(scope: ReadScope, sourceFileId: string): Promise<AdjustmentRow[]> {
  return scope.db.adjustment.findMany({
    where: { studyId: scope.access.studyId, sourceFileId },
    orderBy: inOrder,
  });
}

export const parsed = (row: { settings: unknown }): AdjustmentSettings =>
  adjustmentSettings.parse(row.settings);
export const isActive = (row: AdjustmentRow) => row.state === "active";

/** Where a file's own zero lies on the trial's clock as its adjusted traces are drawn. */
export function clockOf(file: {
  readonly offsetS: number;
  readonly adjustments: readonly AdjustmentSettings[];
}) {
  return file.offsetS + timeShiftOf(file.adjustments);
}

export async function fileAsRead(scope: ReadScope, sourceFileId: string): Promise<FileAsRead> {
  const [file] = await filesAsRead(scope, { id: sourceFileId });
  if (file === undefined) {
    throw new AppError(
      "wrong-state",
      "Nothing is read from this file, so that there is nothing to adjust. Confirm its column map first.",
    );
  }
  return file;
}

/** The trial of a file, locked for a change that consent permits, with the file as it is read and its adjustments. */
async function lockAdjustments(write: WriteScope, sourceFileId: string) {
  const { trialId } = await findFile(write, sourceFileId);
  const locked = await lockTrial(write, trialId, "change");
  await requirePermission(write, locked.trial.volunteerId, permissionKeys.takePart, write.now);
  return {
    ...locked,
    file: await fileAsRead(write, sourceFileId),
    rows: await adjustmentsOfFile(write, sourceFileId),
    subject: { kind: "source file", id: sourceFileId, label: locked.label },
  };
}

/** What an adjustment does, or an error with the words of the refusal. */
function effectsOf(
  file: FileAsRead,
  adjustments: readonly AdjustmentSettings[],
): readonly AdjustmentEffect[] {
  try {
    return applyTo(file, adjustments).effects;
  } catch (error) {
    if (!(error instanceof AnalysisError)) throw error;
    throw new AppError("invalid", `The file cannot be adjusted so. ${inWords(error.message)}`, {
      field: "settings",
      cause: error,
    });
  }
}

/** Keeps with each adjustment what it does now that the others changed. */
export async function storeEffects(
  write: WriteScope,
  file: FileAsRead,
  rows: readonly AdjustmentRow[],
): Promise<void> {
  const active = rows.filter(isActive);
  const effects = effectsOf(file, active.map(parsed));
  for (const row of rows) {
    const { largestChangeC, maskedSamples } = effects[active.indexOf(row)] ?? {
      largestChangeC: null,
      maskedSamples: null,
    };
    if (row.largestChangeC === largestChangeC && row.maskedSamples === maskedSamples) continue;
    await write.db.adjustment.update({ where: { id: row.id }, data: { largestChangeC, maskedSamples } });
  }
}

/** The same when the analysis itself has changed. One that cannot be applied any more is refused where traces are used. */
export async function refreshEffects(write: WriteScope, file: FileAsRead): Promise<void> {
  if (file.adjustments.length === 0) return;
  const rows = await adjustmentsOfFile(write, file.sourceFileId);
  try {
    await storeEffects(write, file, rows);
  } catch (error) {
    if (!(error instanceof AppError)) throw error;
    await write.db.adjustment.updateMany({
      where: { studyId: write.access.studyId, sourceFileId: file.sourceFileId },
      data: { largestChangeC: null, maskedSamples: null },
    });
  }
}

async function noteChange(
  write: WriteScope,
  trial: { id: string; state: Parameters<typeof stateAfterChange>[0] },
): Promise<void> {
  await write.db.trial.update({
    where: { id: trial.id },
    data: filesChanged(trial.state, stateAfterChange(trial.state), write.now),
  });
}

export const titles = (rows: readonly AdjustmentRow[]) =>
  rows.filter(isActive).map((row) => adjustmentTitle(parsed(row)));

/** Entries of the audit trail outlive every offset: their moments are those that are stored. */
const momentsOn = "the file's own clock";

/** Records an adjustment and puts it in force, after those that are there. */
export function adjustFile(scope: ReadScope, input: z.output<typeof adjustInput>) {
  return writeInStudy(scope, async (write) => {
    const { trial, file, rows, subject } = await lockAdjustments(write, input.sourceFileId);
    const { db, access, now } = write;
    requireRevision(trial, input.trialRevision, { adjustments: titles(rows) });
    await refuseNaming(write, trial.volunteerId, input.reason, "reason");
    const settings = onClock(input.settings, -clockOf(file));
    if (input.findingKey !== null) {
      const finding = await db.finding.findFirst({
        where: { studyId: access.studyId, sourceFileId: input.sourceFileId, key: input.findingKey },
      });
      if (finding === null) throw notFound("finding");
    }
    const active = rows.filter(isActive);
    const twin = active.find(
      (row) =>
        (input.findingKey !== null && row.findingKey === input.findingKey) ||
        canonicalJson(parsed(row)) === canonicalJson(settings),
    );
    if (twin !== undefined) {
      throw new AppError(
        "exists",
        `This is adjusted already: ${adjustmentTitle(onClock(parsed(twin), clockOf(file)))}. Twice would correct it twice; undo that one first.`,
        { field: "settings", details: { adjustmentId: twin.id } },
      );
    }
    const all = [...active.map(parsed), settings];
    const effect = effectsOf(file, all).at(-1);
    if (settings.kind === "time shift" ? settings.byS === 0 : changesNothing(effect)) {
      throw new AppError(
        "invalid",
        "This would change no value of the file. Check its moments, its size and the series that it names.",
        { field: "settings" },
      );
    }
    const row = await db.adjustment.create({
      data: {
        id: newId(),
        studyId: access.studyId,
        trialId: trial.id,
        sourceFileId: input.sourceFileId,
        position: Math.max(0, ...rows.map(({ position }) => position)) + 1,
        kind: settings.kind,
        settings: adjustmentSettings.parse(settings),
        reason: input.reason,
        findingKey: input.findingKey,
        madeAt: now,
        madeById: access.actor.userId,
      },
    });
    await storeEffects(write, file, [...rows, row]);
    await noteChange(write, trial);
    return {
      result: {
        adjustmentId: row.id,
        revision: row.revision,
        caution: doubledBy(settings, active.map(parsed)),
      },
      audit: [
        {
          action: "quality.adjust",
          subject,
          before: { adjustments: titles(rows) },
          after: { adjustments: titles([...rows, row]), adjustmentId: row.id, momentsOn },
          reason: input.reason,
        },
      ],
    };
  });
}

function changesNothing(effect: AdjustmentEffect | undefined): boolean {
  return !((effect?.largestChangeC ?? 0) > 0) && !((effect?.maskedSamples ?? 0) > 0);
}

async function findAdjustment(scope: ReadScope, adjustmentId: string): Promise<AdjustmentRow> {
  const row = await scope.db.adjustment.findFirst({
    where: { id: adjustmentId, studyId: scope.access.studyId },
  });
  if (row === null) throw notFound("adjustment");
  return row;
}

function switchTo(scope: ReadScope, input: z.output<typeof adjustmentStepInput>, state: "active" | "undone") {
  return writeInStudy(scope, async (write) => {
    const { sourceFileId } = await findAdjustment(write, input.adjustmentId);
    const { trial, file, rows, subject } = await lockAdjustments(write, sourceFileId);
    const row = await findAdjustment(write, input.adjustmentId);
    if (row.revision !== input.revision || row.state === state) {
      throw changedMeanwhile("adjustment", { revision: row.revision, state: row.state });
    }
    const now = rows.map((other) => (other.id === row.id ? { ...other, state } : other));
    if (state === "active" && row.findingKey !== null) {
      const twin = rows.find((other) => isActive(other) && other.findingKey === row.findingKey);
      if (twin !== undefined) {
        throw new AppError(
          "exists",
          `The same finding is adjusted by another one: ${adjustmentTitle(onClock(parsed(twin), clockOf(file)))}. Undo that one first.`,
          { details: { adjustmentId: twin.id } },
        );
      }
    }
    await storeEffects(write, file, now);
    await write.db.adjustment.update({
      where: { id: row.id },
      data: { state, setBackBecause: null, revision: { increment: 1 } },
    });
    await noteChange(write, trial);
    return {
      result: { revision: row.revision + 1 },
      audit: [
        {
          action: state === "active" ? "quality.redo" : "quality.undo",
          subject,
          before: { adjustments: titles(rows) },
          after: { adjustments: titles(now), adjustmentId: row.id, momentsOn },
        },
      ],
    };
  });
}

/** Takes an adjustment out of force. It stays on the list, and can be redone. */
export const undoAdjustment = (scope: ReadScope, input: z.output<typeof adjustmentStepInput>) =>
  switchTo(scope, input, "undone");

/** Puts an undone adjustment back in force, in its old place. */
export const redoAdjustment = (scope: ReadScope, input: z.output<typeof adjustmentStepInput>) =>
  switchTo(scope, input, "active");

/** Puts the adjustments of a file in another order; the undone ones keep a place too. */
export function reorderAdjustments(scope: ReadScope, input: z.output<typeof reorderInput>) {
  return writeInStudy(scope, async (write) => {
    const { trial, file, rows, subject } = await lockAdjustments(write, input.sourceFileId);
    requireRevision(trial, input.trialRevision, { adjustments: titles(rows) });
    const byId = new Map(rows.map((row) => [row.id, row]));
    const ordered = [...new Set(input.order)].flatMap((id) => byId.get(id) ?? []);
    if (ordered.length !== rows.length || input.order.length !== rows.length) {
      throw new AppError(
        "invalid",
        `The new order must name each of the file's ${rows.length} adjustments once. Load the list again and repeat.`,
        { field: "order" },
      );
    }
    await storeEffects(write, file, ordered);
    for (const [index, row] of ordered.entries()) {
      if (row.position !== index + 1) {
        await write.db.adjustment.update({ where: { id: row.id }, data: { position: index + 1 } });
      }
    }
    await noteChange(write, trial);
    return {
      result: null,
      audit: [
        {
          action: "quality.reorder",
          subject,
          before: { adjustments: titles(rows) },
          after: { adjustments: titles(ordered), momentsOn },
        },
      ],
    };
  });
}
