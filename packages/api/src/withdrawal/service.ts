import type { z } from "zod";
import { AppError } from "../app-error";
import { eventsOf, labelOf } from "../consent/service";
import { holdVolunteer } from "../consent-record/service";
import { newId } from "../identifiers";
import { refuseNaming } from "../identity/service";
import { afterWithinMinute, momentText, notInFuture } from "../moment";
import { type ReadScope, type Transaction, writeInStudy } from "../scope";
import { effectNames, takenBack } from "./policy";
import type { WithdrawalEffect, withdrawInput } from "./schema";

interface ToWithdraw {
  readonly volunteer: { readonly id: string; readonly code: string };
  /** Null takes back all. */
  readonly permission: string | null;
  readonly effect: WithdrawalEffect;
  readonly effectiveAt: Date;
  readonly reason: string;
  /** Null when the volunteer does it by a link. */
  readonly recordedById: string | null;
}

/** What of a scope is needed: one that a link opened has it as well. */
interface Withdrawing {
  readonly db: Transaction;
  readonly now: Date;
  readonly access: { readonly studyId: string };
}

/**
 * Takes a permission back, or all, in force from the moment given in every screen, comparison and later release. The volunteer
 * is held by the caller: of two at once the second sees what the first has taken.
 *
 * @throws AppError "wrong-state" when there is nothing to take back
 */
export async function storeWithdrawal({ db, access, now }: Withdrawing, given: ToWithdraw) {
  const { volunteer, permission, effect } = given;
  const events = (await eventsOf(db, access.studyId, [volunteer.id])).get(volunteer.id);
  const records = events?.records ?? [];
  const latest = records.at(-1);
  if (latest === undefined) {
    throw new AppError(
      "wrong-state",
      `No consent of volunteer ${volunteer.code} is recorded, so there is nothing to withdraw and nothing is permitted.`,
    );
  }
  const entered = notInFuture(given.effectiveAt, now, "effectiveAt", "The moment of the withdrawal");
  // Entered by the minute, "now" is a moment ago: what was accepted since the minute began was stored before.
  const effectiveAt = afterWithinMinute(afterWithinMinute(entered, now), latest.signedAt);
  if (effectiveAt < latest.signedAt) {
    throw new AppError(
      "invalid",
      `The latest consent was signed on ${momentText(latest.signedAt)}; a withdrawal before that moment would have no effect on it. Enter a later moment.`,
      { field: "effectiveAt" },
    );
  }
  const asked = permission === null ? latest.permissions.map((item) => item.key) : [permission];
  const withdrawn = takenBack(records, events?.withdrawals ?? [], asked, effect, effectiveAt);
  if (withdrawn.length === 0) {
    throw new AppError(
      "wrong-state",
      permission === null
        ? "No permission was in force at that moment, so there is nothing to withdraw."
        : `“${labelOf(records, permission)}” was not in force at that moment, so there is nothing to withdraw.`,
    );
  }
  await db.withdrawal.create({
    data: {
      id: newId(),
      studyId: access.studyId,
      volunteerId: volunteer.id,
      permission,
      effect,
      effectiveAt,
      reason: given.reason,
      recordedById: given.recordedById,
      recordedAt: now,
    },
  });
  return {
    result: { withdrawn, effect, effectiveAt: effectiveAt.toISOString() },
    values: {
      before: { permitted: withdrawn },
      after: {
        permission: permission ?? "all",
        withdrawn,
        effect: effectNames[effect],
        effectiveAt: effectiveAt.toISOString(),
      },
    },
  };
}

export function withdrawByStaff(scope: ReadScope, input: z.output<typeof withdrawInput>) {
  return writeInStudy(scope, async (write) => {
    const volunteer = await holdVolunteer(write, input.volunteerId);
    await refuseNaming(write, volunteer.id, input.reason, "reason");
    const { permission, effect, effectiveAt, reason } = input;
    const recordedById = write.access.actor.userId;
    const stored = await storeWithdrawal(write, {
      volunteer,
      permission,
      effect,
      effectiveAt,
      reason,
      recordedById,
    });
    return {
      result: stored.result,
      audit: [
        {
          action: "consent.withdraw",
          subject: { kind: "volunteer", id: volunteer.id, label: volunteer.code },
          ...stored.values,
          ...(reason === "" ? {} : { reason }),
        },
      ],
    };
  });
}
