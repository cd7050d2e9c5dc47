import { isRegionId, regionById } from "@acral/analysis/skin";
import type { BadgeShape } from "@/components/state-badge";
import type { Outputs } from "@/trpc/outputs";

export type Trial = Outputs["trial"]["get"];
export type TrialState = Trial["state"];
export type MarkerRow = Trial["markers"][number];

interface StateWords {
  readonly name: string;
  readonly shape: BadgeShape;
  readonly tone: "neutral" | "accent" | "stop";
}

export const trialStates: Readonly<Record<TrialState, StateWords>> = {
  planned: { name: "planned", shape: "open", tone: "neutral" },
  recorded: { name: "recorded", shape: "half", tone: "neutral" },
  checked: { name: "checked", shape: "full", tone: "neutral" },
  accepted: { name: "accepted", shape: "tick", tone: "accent" },
  set_aside: { name: "set aside", shape: "struck", tone: "neutral" },
};

export const trialStateOrder: readonly TrialState[] = [
  "planned",
  "recorded",
  "checked",
  "accepted",
  "set_aside",
];

/** The states in which a trial can be changed without reopening it. */
export function canChange(state: TrialState): boolean {
  return state === "planned" || state === "recorded" || state === "checked";
}

/** Whether anything in it can be changed now: a trial without consent in force is left as it is. */
export function canEdit(trial: Trial): boolean {
  return canChange(trial.state) && trial.consentMissing === null;
}

/** A region as people call it; the whole body where there is none. */
export function regionName(regionId: string | null): string {
  if (regionId === null) return "Mean skin temperature";
  return isRegionId(regionId) ? regionById(regionId).label : regionId;
}
