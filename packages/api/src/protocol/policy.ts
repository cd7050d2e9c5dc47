import { emptyImagingSetup } from "../imaging/schema";
import type { DraftContent, PhaseKind, ProtocolContent } from "./schema";
import { alwaysStop } from "./schema";

/** A protocol before anything is written into it. */
export function emptyContent(): DraftContent {
  return {
    schema: 2,
    phases: [],
    conditions: [],
    occasions: 1,
    regions: [],
    exerciseLoad: "",
    roomLimits: {
      airTemperatureC: { min: null, max: null },
      meanRadiantTemperatureC: { min: null, max: null },
      relativeHumidityPct: { min: null, max: null },
      airSpeedMS: { max: null },
    },
    imaging: emptyImagingSetup(),
    preVisitRules: [],
    stopCriteria: [alwaysStop],
    plannedOutcomes: [],
  };
}

export interface OfferedStopCriterion {
  readonly text: string;
  readonly source: string;
}

const exerciseTesting =
  "After the stop criteria of exercise testing of the American College of Cardiology and American Heart Association, in our own words";
const strain = "ISO 9886:2004 Annex C, value from memory: check it against the standard";

/**
 * Stop criteria to choose from. They remind, and permit nothing: the ethics body and a licensed professional decide
 * which of them hold, and with which numbers.
 */
export const offeredStopCriteria: readonly OfferedStopCriterion[] = [
  { text: "Pain, pressure or tightness in the chest.", source: exerciseTesting },
  { text: "Dizziness, unsteady gait, confusion or near-fainting.", source: exerciseTesting },
  { text: "Pallor, blue lips, or cold and clammy skin.", source: exerciseTesting },
  {
    text: "Unusual breathlessness, wheezing, cramp in the legs, or fatigue out of proportion to the load.",
    source: exerciseTesting,
  },
  {
    text: "A noticeable change of heart rhythm, or a heart rate that does not rise with the load.",
    source: "Common practice in exercise tests of healthy adults",
  },
  {
    text: "Systolic blood pressure falls below its resting value while the load rises.",
    source: exerciseTesting,
  },
  {
    text: "Heart rate above the limit that was set for this volunteer at screening.",
    source: "Common practice; the limit is set by the person responsible for screening",
  },
  {
    text: "The heart rate or another safety signal is lost for more than one minute.",
    source: `${exerciseTesting} (loss of monitoring)`,
  },
  { text: "Core temperature above 38.5 °C, where it is measured.", source: strain },
  { text: "Core temperature below 36.0 °C, where it is measured.", source: strain },
  { text: "Skin at any place above 43 °C or below 15 °C, or pain or numbness of the skin.", source: strain },
  { text: "Nausea, shivering that does not cease, or headache in the heat.", source: "Common practice" },
  { text: "Equipment fails, or the room leaves its limits.", source: "Common practice" },
];

export interface Shortcoming {
  /** Where, as a path into the content ("phases.0.name"), for the screen. */
  readonly path: string;
  readonly message: string;
}

const ordinal = (index: number) => `no. ${index + 1}`;

/** Everything that a draft still lacks before it can be put in force, in words. Empty: it can. */
export function missingInProtocol(content: DraftContent): Shortcoming[] {
  const missing: Shortcoming[] = [];
  const lacks = (path: string, message: string) => missing.push({ path, message });
  if (content.phases.length === 0) lacks("phases", "Add the phases of a trial, each with its duration.");
  content.phases.forEach((phase, index) => {
    if (phase.name === "") lacks(`phases.${index}.name`, `Name phase ${ordinal(index)}.`);
    if (phase.durationS === null) {
      lacks(
        `phases.${index}.durationS`,
        `Give the duration of phase ${phase.name === "" ? ordinal(index) : phase.name}.`,
      );
    }
  });
  if (content.phases.length > 0 && firstExercise(content.phases) === null) {
    lacks("phases", "Mark at least one phase as exercise: the time axis of every comparison begins with it.");
  }
  if (content.conditions.length === 0) {
    lacks(
      "conditions",
      "Add at least one condition. A study that varies nothing has one, for instance “usual”.",
    );
  }
  content.conditions.forEach((condition, index) => {
    if (condition.name === "") lacks(`conditions.${index}.name`, `Name condition ${ordinal(index)}.`);
  });
  if (content.regions.length === 0) lacks("regions", "Choose at least one region to record.");
  const { min, max } = content.roomLimits.airTemperatureC;
  if (min === null || max === null) {
    lacks(
      "roomLimits.airTemperatureC",
      "Give the limits of the air temperature in the room, lowest and highest.",
    );
  }
  if (content.stopCriteria.length < 2) {
    lacks("stopCriteria", "Add at least one stop criterion beside the volunteer's own wish to stop.");
  }
  return missing;
}

/** What may be put in force, but makes something unavailable later. */
export function adviceOnProtocol(content: DraftContent): string[] {
  const advice: string[] = [];
  const exercise = firstExercise(content.phases);
  if (exercise !== null && !content.phases.slice(0, exercise).some((phase) => phase.kind === "rest")) {
    advice.push(
      "No rest phase stands before the first exercise phase: measures that need a baseline cannot be given.",
    );
  }
  if (
    content.regions.length > 0 &&
    !content.regions.some((r) => r.statistic === "mean" || r.statistic === "point")
  ) {
    advice.push(
      "No region is recorded as a mean or a point: mean skin temperature and heat cannot be given.",
    );
  }
  if (content.plannedOutcomes.length === 0) {
    advice.push("No planned outcome is written down: every comparison will count as exploratory.");
  }
  return advice;
}

function firstExercise(phases: readonly { readonly kind: PhaseKind }[]): number | null {
  const index = phases.findIndex((phase) => phase.kind === "exercise");
  return index === -1 ? null : index;
}

export interface PhaseTime {
  readonly key: string;
  readonly name: string;
  readonly kind: PhaseKind;
  /** Planned start and end in s from the start of the first phase. */
  readonly startS: number;
  readonly endS: number;
}

/** The planned times of the phases, one after the other. */
export function phaseTimes(content: Pick<ProtocolContent, "phases">): PhaseTime[] {
  let startS = 0;
  return content.phases.map(({ key, name, kind, durationS }) => {
    const phase = { key, name, kind, startS, endS: startS + durationS };
    startS = phase.endS;
    return phase;
  });
}

/** The phase whose start is zero on the time axis of every comparison. */
export function firstExercisePhase(content: Pick<ProtocolContent, "phases">): PhaseTime | null {
  return phaseTimes(content).find((phase) => phase.kind === "exercise") ?? null;
}

/** The name of a condition, or its key when this version does not know it. */
export function conditionName(content: Pick<ProtocolContent, "conditions">, conditionKey: string): string {
  return content.conditions.find((condition) => condition.key === conditionKey)?.name ?? conditionKey;
}
