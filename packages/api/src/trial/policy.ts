import type { TrialState } from "@acral/db";
import type { PhaseKind, ProtocolContent } from "../protocol/schema";
import type { Room } from "./schema";

/** What a trial's state allows, how its phases lie, and what its acceptance still lacks. Nothing here reads or writes. */

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

export interface PlannedPhase {
  readonly key: string;
  readonly name: string;
  readonly kind: PhaseKind;
  readonly durationS: number;
}

/**
 * A named moment in seconds on the trial's clock. `phaseKey` says which phase begins there; `endMarkerKey` says that
 * the last phase ends there; null is a moment without either.
 */
export interface MarkerValue {
  readonly name: string;
  readonly phaseKey: string | null;
  readonly atS: number;
}

/** No phase of a protocol can have this key. */
export const endMarkerKey = "$end";

export interface TrialPhase {
  readonly key: string;
  readonly name: string;
  readonly kind: PhaseKind;
  readonly startS: number;
  readonly endS: number;
}

/**
 * The phases that have a marker, in the protocol's order. Each lasts to the next one; the last one to the end marker, or
 * to `recordingEndS` without one. Phases that would end before they begin are left out.
 */
export function phasesOf(
  markers: readonly MarkerValue[],
  planned: readonly PlannedPhase[],
  recordingEndS: number,
): TrialPhase[] {
  const startOf = new Map(markers.map((marker) => [marker.phaseKey, marker.atS]));
  const endS = startOf.get(endMarkerKey) ?? recordingEndS;
  const placed = planned.flatMap((phase) => {
    const startS = startOf.get(phase.key);
    return startS === undefined ? [] : [{ key: phase.key, name: phase.name, kind: phase.kind, startS }];
  });
  return placed
    .map((phase, i) => ({ ...phase, endS: placed[i + 1]?.startS ?? endS }))
    .filter((phase) => phase.endS > phase.startS);
}

/** The start of the first exercise phase: zero of the aligned traces. */
export function exerciseStartS(phases: readonly TrialPhase[]): number | null {
  return phases.find((phase) => phase.kind === "exercise")?.startS ?? null;
}

export interface MarkerProblem {
  readonly index: number;
  readonly field: "name" | "atS" | "phaseKey";
  readonly message: string;
}

/** What is wrong with a list of markers: unknown or doubled phases, doubled names, phases out of order. */
export function markerProblems(
  markers: readonly MarkerValue[],
  planned: readonly PlannedPhase[],
): MarkerProblem[] {
  const problems: MarkerProblem[] = [];
  const order = [...planned.map((phase) => phase.key), endMarkerKey];
  const nameOf = (key: string) =>
    planned.find((phase) => phase.key === key)?.name ?? "the end of the last phase";
  const names = new Map<string, number>();
  const phases = new Map<string, number>();
  markers.forEach((marker, index) => {
    const name = marker.name.trim().toLocaleLowerCase();
    const twin = names.get(name);
    if (twin !== undefined) {
      problems.push({
        index,
        field: "name",
        message: `"${marker.name}" is the name of marker ${twin + 1} already. Give each marker its own name.`,
      });
    }
    names.set(name, index);
    if (marker.phaseKey === null) return;
    if (!order.includes(marker.phaseKey)) {
      problems.push({
        index,
        field: "phaseKey",
        message: "The trial's protocol has no such phase. Choose one of its phases.",
      });
      return;
    }
    const other = phases.get(marker.phaseKey);
    if (other !== undefined) {
      problems.push({
        index,
        field: "phaseKey",
        message: `${nameOf(marker.phaseKey)} is placed at marker ${other + 1} already. Each phase begins once.`,
      });
    }
    phases.set(marker.phaseKey, index);
  });
  let earlier: { key: string; atS: number } | null = null;
  for (const key of order) {
    const index = phases.get(key);
    const marker = index === undefined ? undefined : markers[index];
    if (index === undefined || marker === undefined) continue;
    if (earlier !== null && marker.atS <= earlier.atS) {
      problems.push({
        index,
        field: "atS",
        message: `By the protocol, ${nameOf(key)} comes after ${nameOf(earlier.key)} (${earlier.atS} s); it needs a later time.`,
      });
    }
    earlier = { key, atS: marker.atS };
  }
  return problems;
}

/** Markers for all phases and their end, by the protocol's durations, from a chosen start in s. */
export function markersByDurations(planned: readonly PlannedPhase[], startS: number): MarkerValue[] {
  let atS = startS;
  const markers: MarkerValue[] = planned.map((phase) => {
    const marker = { name: phase.name, phaseKey: phase.key, atS };
    atS += phase.durationS;
    return marker;
  });
  return planned.length === 0 ? [] : [...markers, { name: "End", phaseKey: endMarkerKey, atS }];
}

export interface Recording {
  readonly fromS: number;
  readonly toS: number;
}

/** Markers that lie outside what was recorded: worth a look, no reason to refuse. */
export function markersOutside(markers: readonly MarkerValue[], recording: Recording): string[] {
  return markers
    .filter((marker) => marker.atS < recording.fromS || marker.atS > recording.toS)
    .map(
      (marker) =>
        `"${marker.name}" at ${marker.atS} s lies outside the recording (${recording.fromS} to ${recording.toS} s).`,
    );
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
