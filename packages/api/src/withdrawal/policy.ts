import {
  permissionInForce,
  type SignedRecord,
  storedUseInForce,
  type WithdrawalRecord,
} from "../consent/policy";
import type { WithdrawalEffect } from "./schema";

/** As the audit trail and the history call the effects. */
export const effectNames: Readonly<Record<WithdrawalEffect, string>> = {
  stop: "stop only: nothing new, what is stored may still be used",
  exclude: "stop, and exclude what is stored from every future use",
};

/**
 * The permissions that a withdrawal would take something from: of those asked for, the ones that are in force, and for an
 * exclusion also those under which what is stored may still be used after an earlier stop. One that is missing only because
 * another is missing counts as in force: it can be taken back by itself.
 */
export function takenBack(
  records: readonly SignedRecord[],
  withdrawals: readonly WithdrawalRecord[],
  asked: readonly string[],
  effect: WithdrawalEffect,
  at: Date,
): string[] {
  return asked.filter((key) => {
    const decision =
      effect === "exclude"
        ? storedUseInForce(records, withdrawals, key, at)
        : permissionInForce(records, withdrawals, key, at);
    return decision.allowed || decision.why === "required refused" || decision.why === "required withdrawn";
  });
}
