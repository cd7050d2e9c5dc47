import type { PhaseKind } from "../protocol/schema";

/** How the phases of a trial lie, by its markers. Nothing here reads or writes. */

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
