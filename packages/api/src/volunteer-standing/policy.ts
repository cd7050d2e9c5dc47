import type { ConsentAt, PermissionDecision } from "../consent/policy";
import { recordingPermissions } from "../consent-form/policy";
import { takePart } from "../consent-form/schema";
import { whyNotReleased } from "../release/policy";

/** What the product does with a volunteer, in the words of its screens. */
export const gateNames = {
  record: "New trials and files",
  use: "What is stored: shown, computed with, compared",
  release: "Releases made from now on",
} as const;

export interface Gate {
  readonly what: keyof typeof gateNames;
  readonly name: string;
  /** Why it is shut, in words; null when it is open. */
  readonly shut: string | null;
}

/** Each gate as it stands at this moment, and why one is shut. */
export function gatesOf(consent: ConsentAt): Gate[] {
  const shut: Readonly<Record<keyof typeof gateNames, string | null>> = {
    record: recordingPermissions
      .map((permission) => reasonOf(consent.decide(permission)))
      .reduce((first, next) => first ?? next, null),
    use: reasonOf(consent.stored(takePart)),
    release: whyNotReleased(consent),
  };
  return (["record", "use", "release"] as const).map((what) => ({
    what,
    name: gateNames[what],
    shut: shut[what],
  }));
}

/** How many of the permissions that were asked for are in force, for lists. */
export function permittedCount(consent: ConsentAt | undefined): { permitted: number; asked: number } {
  const asked = consent?.asked ?? [];
  return { permitted: asked.filter(({ key }) => consent?.has(key)).length, asked: asked.length };
}

const reasonOf = (decision: Pick<PermissionDecision, "allowed"> | { allowed: false; reason: string }) =>
  "reason" in decision ? decision.reason : null;
