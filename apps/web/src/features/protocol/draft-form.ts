import type { Inputs, Outputs } from "@/trpc/outputs";

export type ProtocolVersion = Outputs["protocol"]["get"];
export type Content = ProtocolVersion["content"];
export type PhaseKind = Content["phases"][number]["kind"];
export type Statistic = Content["regions"][number]["statistic"];
export type RoomLimits = Content["roomLimits"];
export type Imaging = Content["imaging"];

export interface PhaseFields {
  readonly key: string;
  readonly name: string;
  readonly kind: PhaseKind;
  readonly minutes: number | null;
}

export interface ConditionFields {
  readonly key: string;
  readonly name: string;
  readonly description: string;
}

/** A content as the form holds it: durations in minutes, lists as text with one entry per line. */
export interface DraftFields {
  readonly phases: readonly PhaseFields[];
  readonly conditions: readonly ConditionFields[];
  readonly occasions: number | null;
  readonly regions: readonly Content["regions"][number][];
  readonly exerciseLoad: string;
  readonly roomLimits: RoomLimits;
  readonly imaging: Imaging;
  readonly preVisitRules: string;
  readonly stopCriteria: string;
  readonly plannedOutcomes: string;
}

export function fieldsOf(content: Content, alwaysStop: string): DraftFields {
  const { phases, conditions, occasions, regions, exerciseLoad, roomLimits, imaging } = content;
  return {
    phases: phases.map(({ key, name, kind, durationS }) => ({
      key,
      name,
      kind,
      minutes: minutesOf(durationS),
    })),
    conditions,
    occasions,
    regions,
    exerciseLoad,
    roomLimits,
    imaging,
    preVisitRules: content.preVisitRules.join("\n"),
    stopCriteria: content.stopCriteria.filter((text) => text !== alwaysStop).join("\n"),
    plannedOutcomes: content.plannedOutcomes.join("\n"),
  };
}

export function contentOf(fields: DraftFields): Inputs["protocol"]["saveDraft"]["content"] {
  const { phases, conditions, occasions, regions, exerciseLoad, roomLimits, imaging } = fields;
  return {
    schema: 2,
    phases: phases.map(({ key, name, kind, minutes }) => ({
      key,
      name,
      kind,
      durationS: secondsOf(minutes),
    })),
    conditions: [...conditions],
    // What is not a number is refused by the server beside its field.
    occasions: occasions ?? 0,
    regions: [...regions],
    exerciseLoad,
    roomLimits,
    imaging,
    preVisitRules: linesOf(fields.preVisitRules),
    stopCriteria: linesOf(fields.stopCriteria),
    plannedOutcomes: linesOf(fields.plannedOutcomes),
  };
}

export function linesOf(text: string): string[] {
  return text
    .split("\n")
    .map((line) => line.trim())
    .filter((line) => line !== "");
}

// Milliseconds are kept, so that 0.05 min stays 3 s and not 3.0000000000000004 s.
function minutesOf(seconds: number | null): number | null {
  return seconds === null ? null : Number((seconds / 60).toFixed(5));
}

function secondsOf(minutes: number | null): number | null {
  return minutes === null ? null : Number((minutes * 60).toFixed(3));
}
