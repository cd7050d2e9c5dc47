import type { z } from "zod";
import { AppError, notFound } from "../app-error";
import { requirePermission } from "../consent/service";
import { permissionKeys } from "../consent-form/policy";
import { findingTitle } from "../finding/policy";
import { findingOf } from "../finding/service";
import { refuseNaming } from "../identity/service";
import { type ReadScope, type Transaction, writeInStudy } from "../scope";
import { findFile } from "../source-file/service";
import { lockTrial } from "../trial/service";
import type { clearDecisionInput, decideInput } from "./schema";

/** The trial of a file that is read, locked for a change, and one of the file's findings. */
async function lockFinding(
  scope: ReadScope & { db: Transaction },
  input: { sourceFileId: string; findingKey: string },
) {
  const { db, access } = scope;
  const { trialId } = await findFile(scope, input.sourceFileId);
  const locked = await lockTrial(scope, trialId, "change");
  await requirePermission(scope, locked.trial.volunteerId, permissionKeys.takePart, scope.now);
  const row = await db.finding.findFirst({
    where: { studyId: access.studyId, sourceFileId: input.sourceFileId, key: input.findingKey },
  });
  if (row === null) {
    throw new AppError(
      "not-found",
      "The file has no such finding any more: it was read in another way, or its markers moved. Look at the list of findings again.",
    );
  }
  const before = await db.findingDecision.findUnique({
    where: {
      studyId_sourceFileId_findingKey: {
        studyId: access.studyId,
        sourceFileId: input.sourceFileId,
        findingKey: input.findingKey,
      },
    },
  });
  const found = findingOf(row);
  return {
    ...locked,
    before,
    finding: found,
    subject: { kind: "source file", id: input.sourceFileId, label: locked.label },
    words: { finding: findingTitle(found), fromS: found.fromS, toS: found.toS },
  };
}

/** Says of a finding that it is what it seems, or that it is none. Numbers stay as they are, so a checked trial stays checked. */
export async function decideFinding(scope: ReadScope, input: z.output<typeof decideInput>) {
  await findFile(scope, input.sourceFileId);
  return writeInStudy(scope, async (write) => {
    const { trial, subject, words, before } = await lockFinding(write, input);
    const { db, access, now } = write;
    await refuseNaming(write, trial.volunteerId, input.note, "note");
    const decision = {
      verdict: input.decision,
      note: input.note,
      decidedAt: now,
      decidedById: access.actor.userId,
    };
    const ids = {
      studyId: access.studyId,
      sourceFileId: input.sourceFileId,
      findingKey: input.findingKey,
    };
    await db.findingDecision.upsert({
      where: { studyId_sourceFileId_findingKey: ids },
      create: { ...ids, ...decision },
      update: decision,
    });
    return {
      result: null,
      audit: [
        {
          action: "quality.decide",
          subject,
          before: { ...words, decision: before?.verdict ?? null, note: before?.note ?? null },
          after: { ...words, decision: input.decision, note: input.note },
          ...(input.note === "" ? {} : { reason: input.note }),
        },
      ],
    };
  });
}

/** Opens a finding again. */
export async function clearDecision(scope: ReadScope, input: z.output<typeof clearDecisionInput>) {
  await findFile(scope, input.sourceFileId);
  return writeInStudy(scope, async (write) => {
    const { subject, words, before } = await lockFinding(write, input);
    if (before === null) throw notFound("decision");
    await write.db.findingDecision.delete({
      where: {
        studyId_sourceFileId_findingKey: {
          studyId: write.access.studyId,
          sourceFileId: input.sourceFileId,
          findingKey: input.findingKey,
        },
      },
    });
    return {
      result: null,
      audit: [
        {
          action: "quality.clearDecision",
          subject,
          before: { ...words, decision: before.verdict, note: before.note },
          after: { ...words, decision: null },
        },
      ],
    };
  });
}
