import { regionById } from "@acral/analysis/skin";
import type { TrialState } from "@acral/db";
import {
  exerciseStartS,
  type MarkerValue,
  type PlannedPhase,
  phasesOf,
  type Recording,
} from "../marker/policy";
import type { ProtocolContent } from "../protocol/schema";
import type { Room } from "./schema";

/** What a trial's state allows, and what its acceptance still lacks. Nothing here reads or writes. */

export type TrialStep = "change" | "upload" | "discard" | "mark checked" | "accept" | "set aside" | "reopen";

const stepsAllowed: Readonly<Record<TrialStep, readonly TrialState[]>> = {
  change: ["planned", "recorded", "checked"],
  upload: ["planned", "recorded", "checked"],
  discard: ["planned"],
  "mark checked": ["recorded"],
  accept: ["recorded", "checked"],
  "set aside": ["planned", "recorded", "checked", "accepted"],
  reopen: ["checked", "accepted", "set_aside"],
};

export function stepAllowed(step: TrialStep, state: TrialState): boolean {
  return stepsAllowed[step].includes(state);
}

export const trialStateNames: Readonly<Record<TrialState, string>> = {
  planned: "planned",
  recorded: "recorded",
  checked: "checked",
  accepted: "accepted",
  set_aside: "set aside",
};

const whatToDo: Readonly<Record<TrialStep, string>> = {
  change: "Reopen it first; then it can be changed and accepted again.",
  upload: "Reopen it first; then source files can be added.",
  discard: "Only a planned trial without source files can be discarded; set it aside with a reason instead.",
  "mark checked": "Only a recorded trial is marked as checked.",
  accept: "Only a recorded or checked trial can be accepted.",
  "set aside": "It is set aside already.",
  reopen: "Only a checked, accepted or set-aside trial can be reopened.",
};

/** The sentence for a step that the state does not allow; null when it is allowed. */
export function stepRefusal(step: TrialStep, state: TrialState): string | null {
  return stepAllowed(step, state) ? null : `This trial is ${trialStateNames[state]}. ${whatToDo[step]}`;
}

/** Where a reopened trial stands: what was read stays read. */
export function stateAfterReopening(readFiles: number): TrialState {
  return readFiles > 0 ? "recorded" : "planned";
}

/** A change to what was checked undoes the check. */
export function stateAfterChange(state: TrialState): TrialState {
  return state === "checked" ? "recorded" : state;
}

export interface AcceptanceFacts {
  readonly state: TrialState;
  readonly consentMissing: string | null;
  readonly files: readonly { readonly name: string; readonly read: boolean }[];
  readonly markers: readonly MarkerValue[];
  readonly planned: readonly PlannedPhase[];
  readonly recording: Recording | null;
}

/** What still stands between a trial and its acceptance, as sentences that say what to do; empty: nothing. */
export function acceptanceLacks(facts: AcceptanceFacts): string[] {
  const lacks: string[] = [];
  const refusal = stepRefusal("accept", facts.state);
  if (refusal !== null && facts.state !== "planned") lacks.push(refusal);
  if (facts.consentMissing !== null) lacks.push(facts.consentMissing);
  if (facts.files.length === 0) lacks.push("It has no source file. Upload what the instrument exported.");
  for (const file of facts.files.filter((candidate) => !candidate.read)) {
    lacks.push(`${file.name} is not read yet. Confirm its column map, or remove the file.`);
  }
  const placed = new Set(facts.markers.map((marker) => marker.phaseKey));
  const open = facts.planned.filter((phase) => !placed.has(phase.key)).map((phase) => phase.name);
  if (open.length > 0) lacks.push(`Place the phases: no marker for ${open.join(", ")}.`);
  if (facts.recording !== null && open.length === 0) {
    const phases = phasesOf(facts.markers, facts.planned, facts.recording.toS);
    const start = exerciseStartS(phases);
    if (start === null) {
      lacks.push("No exercise phase lies within the recording; everything is counted from its start.");
    } else if (start < facts.recording.fromS || start > facts.recording.toS) {
      lacks.push(
        `The exercise begins at ${start} s, outside the recording (${facts.recording.fromS} to ${facts.recording.toS} s). Move the markers, or the file's offset.`,
      );
    }
  }
  return lacks;
}

type PlannedRegion = ProtocolContent["regions"][number];

/**
 * The regions that the protocol wants and that no file of the trial holds, or not with the statistic that it wants, as people
 * call them. Told, not refused: the trial was done, and a region that was not seen cannot be recorded afterwards.
 */
export function regionsNotRecorded(
  planned: readonly PlannedRegion[],
  recorded: readonly { readonly regionId: string | null; readonly statistic: string | null }[],
): string[] {
  return planned.flatMap(({ regionId, statistic }) => {
    const kept = recorded.filter((trace) => trace.regionId === regionId).map((trace) => trace.statistic);
    if (kept.includes(statistic)) return [];
    const { label } = regionById(regionId);
    const others = [...new Set(kept)].filter((other) => other !== null);
    return [others.length === 0 ? label : `${label} as ${statistic} (only as ${others.join(", ")})`];
  });
}

/** What people call a trial. Never a name of a volunteer. */
export function trialLabel(trial: { code: string; condition: string; occasion: number }): string {
  return `${trial.code} · ${trial.condition} · occasion ${trial.occasion}`;
}

export interface RoomOutside {
  readonly field: keyof Room;
  readonly message: string;
}

/** Which numbers of the room lie outside the protocol's limits: told, not refused, since the trial was done in it. */
export function roomOutside(room: Room, limits: ProtocolContent["roomLimits"]): RoomOutside[] {
  const told: RoomOutside[] = [];
  const check = (
    field: keyof Room,
    what: string,
    unit: string,
    { min, max }: { min: number | null; max: number | null },
  ) => {
    const value = room[field];
    if (value === null) return;
    if (min !== null && value < min) {
      told.push({
        field,
        message: `${what} of ${value} ${unit} is below the protocol's limit of ${min} ${unit}.`,
      });
    }
    if (max !== null && value > max) {
      told.push({
        field,
        message: `${what} of ${value} ${unit} is above the protocol's limit of ${max} ${unit}.`,
      });
    }
  };
  check("airTemperatureC", "Air temperature", "°C", limits.airTemperatureC);
  check("meanRadiantTemperatureC", "Mean radiant temperature", "°C", limits.meanRadiantTemperatureC);
  check("relativeHumidityPct", "Relative humidity", "%", limits.relativeHumidityPct);
  check("airSpeedMS", "Air speed", "m/s", { min: null, max: limits.airSpeedMS.max });
  return told;
}
