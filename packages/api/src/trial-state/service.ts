import type { TrialState } from "@acral/db";
import type { z } from "zod";
import { AppError } from "../app-error";
import { requirePermission } from "../consent/service";
import { permissionKeys } from "../consent-form/policy";
import { refuseNaming } from "../identity/service";
import { removeDerived, storeDerived } from "../measure/service";
import { type ReadScope, type WriteScope, writeInStudy } from "../scope";
import { stateAfterReopening, stepRefusal } from "../trial/policy";
import type { reopenInput, setAsideInput, stepInput } from "../trial/schema";
import { getTrial, lockTrial, requireRevision } from "../trial/service";

export function markTrialChecked(scope: ReadScope, input: z.output<typeof stepInput>) {
  return writeInStudy(scope, async (write) => {
    const { trial, subject } = await lockTrial(write, input.trialId, "mark checked");
    requireRevision(trial, input.revision, { state: trial.state });
    await requirePermission(write, trial.volunteerId, permissionKeys.takePart, write.now);
    await moveTrial(write, trial, "checked", null);
    return {
      result: { revision: trial.revision + 1 },
      audit: [
        { action: "trial.markChecked", subject, before: { state: trial.state }, after: { state: "checked" } },
      ],
    };
  });
}

/**
 * Accepts the trial with the aligned traces and measures that were just computed from it. They are computed before the
 * transaction, and it is refused when anything that they rest on changed meanwhile.
 */
export async function acceptTrial(scope: ReadScope, input: z.output<typeof stepInput>) {
  const seen = await getTrial(scope, input.trialId);
  const lacks = seen.acceptanceLacks[0];
  if (seen.consentMissing !== null)
    await requirePermission(scope, seen.volunteerId, permissionKeys.takePart, scope.now);
  if (lacks !== undefined || seen.state === "planned") {
    const message = lacks ?? stepRefusal("accept", seen.state) ?? "";
    throw new AppError("wrong-state", `This trial cannot be accepted yet. ${message}`, {
      details: { lacks: seen.acceptanceLacks },
    });
  }
  const store = await storeDerived(scope, input.trialId);
  return writeInStudy(scope, async (write) => {
    const { trial, subject } = await lockTrial(write, input.trialId, "accept");
    requireRevision(trial, input.revision, { state: trial.state });
    // Computing may have taken long: consent counts as it stands when the numbers are kept.
    await requirePermission(write, trial.volunteerId, permissionKeys.takePart, write.core.now());
    const inputHash = await store(write.db);
    await moveTrial(write, trial, "accepted", null);
    return {
      result: { revision: trial.revision + 1 },
      audit: [
        {
          action: "trial.accept",
          subject,
          before: { state: trial.state },
          after: { state: "accepted", inputHash },
        },
      ],
    };
  });
}

export function setTrialAside(scope: ReadScope, input: z.output<typeof setAsideInput>) {
  return writeInStudy(scope, async (write) => {
    const { trial, subject } = await lockTrial(write, input.trialId, "set aside");
    requireRevision(trial, input.revision, { state: trial.state });
    await refuseNaming(write, trial.volunteerId, input.reason, "reason");
    await removeDerived(write, trial.id);
    await moveTrial(write, trial, "set_aside", input.reason);
    return {
      result: { revision: trial.revision + 1 },
      audit: [
        {
          action: "trial.setAside",
          subject,
          before: { state: trial.state },
          after: { state: "set aside" },
          reason: input.reason,
        },
      ],
    };
  });
}

export function reopenTrial(scope: ReadScope, input: z.output<typeof reopenInput>) {
  return writeInStudy(scope, async (write) => {
    const { trial, subject, label } = await lockTrial(write, input.trialId, "reopen");
    requireRevision(trial, input.revision, { state: trial.state });
    const { db, access } = write;
    const twin = await db.trial.findFirst({
      where: {
        studyId: access.studyId,
        volunteerId: trial.volunteerId,
        conditionKey: trial.conditionKey,
        occasion: trial.occasion,
        state: { not: "set_aside" },
        id: { not: trial.id },
      },
      select: { id: true },
    });
    if (twin !== null) {
      throw new AppError(
        "exists",
        `${label} was planned again meanwhile, and only one of the two can count. Set the other one aside first.`,
        { details: { trialId: twin.id } },
      );
    }
    const read = await db.sourceFile.count({
      where: { studyId: access.studyId, trialId: trial.id, state: "read" },
    });
    const state = stateAfterReopening(read);
    await refuseNaming(write, trial.volunteerId, input.reason, "reason");
    await removeDerived(write, trial.id);
    await moveTrial(write, trial, state, null);
    return {
      result: { revision: trial.revision + 1 },
      audit: [
        {
          action: "trial.reopen",
          subject,
          before: { state: trial.state, setAsideReason: trial.setAsideReason },
          after: { state },
          reason: input.reason,
        },
      ],
    };
  });
}

async function moveTrial(
  scope: WriteScope,
  trial: { id: string },
  state: TrialState,
  setAsideReason: string | null,
) {
  await scope.db.trial.update({
    where: { id: trial.id },
    data: { state, stateChangedAt: scope.now, setAsideReason, revision: { increment: 1 } },
  });
}
