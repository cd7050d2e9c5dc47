import { type PermissionKey, type SimulatedStudy, simulateStudy } from "@acral/simulator";
import type { Api } from "./demo-client";

/** The simulator's scenario in the words of the API: what a person would type into the screens. */

type Input<Procedure extends (...given: never[]) => unknown> = Parameters<Procedure>[0];
type ProtocolContent = Input<Api["protocol"]["saveDraft"]["mutate"]>["content"];
type FormContent = Omit<Input<Api["consent"]["saveForm"]["mutate"]>, "studyId" | "formId" | "revision">;
type ComparisonSettings = Input<Api["comparison"]["save"]["mutate"]>["settings"];

/** The seed that the simulator's tests hold for. */
export const demoStudy: SimulatedStudy = simulateStudy({ seed: 20250303 });

export const studySummary = `${demoStudy.notice} ${demoStudy.protocol.purpose} Consents carry the moment at which the demo was loaded, source files the invented dates of the simulation.`;

/** Unlike the codes that are given automatically, so that a volunteer whom a visitor adds is never taken for one of these. */
export const codeOf = (volunteerIndex: number): string => `MS${String(volunteerIndex + 1).padStart(2, "0")}`;

export const keyOf = (name: string): string => name.toLowerCase().replaceAll(/[^a-z0-9]+/g, "-");

const permissionKeyOf: Readonly<Record<PermissionKey, string>> = {
  "take part": "take-part",
  "record thermal images of unclothed skin": "record-thermal-images",
  "keep images": "keep-images",
  "show images in teaching": "show-in-teaching",
  "show images in public": "show-in-public",
  "share anonymised numbers": "share-anonymised-numbers",
  "be contacted again": "contact-again",
};

export function permissionOf(scope: "all" | PermissionKey): string | null {
  return scope === "all" ? null : permissionKeyOf[scope];
}

export function protocolOf({ protocol }: SimulatedStudy): ProtocolContent {
  const between = ([min, max]: readonly [number, number]) => ({ min, max });
  return {
    schema: 2,
    phases: protocol.phases.map((phase) => ({ key: keyOf(phase.name), ...phase })),
    conditions: protocol.conditions.map((condition) => ({ key: keyOf(condition.name), ...condition })),
    occasions: 2,
    regions: protocol.regionIds.map((regionId) => ({ regionId, statistic: "mean" })),
    exerciseLoad: "Stepping on a bench 0.20 m high at 20 steps per minute.",
    roomLimits: {
      airTemperatureC: between(protocol.roomLimits.airTemperatureC),
      meanRadiantTemperatureC: { min: null, max: null },
      relativeHumidityPct: between(protocol.roomLimits.relativeHumidityPercent),
      airSpeedMS: { max: protocol.roomLimits.airSpeedMS[1] },
    },
    imaging: { ...protocol.imaging, notApplicable: {} },
    preVisitRules: [...protocol.preVisitRules],
    // Every protocol has the volunteer's own wish to stop already.
    stopCriteria: protocol.stopCriteria.filter((criterion) => !criterion.startsWith("The volunteer asks")),
    plannedOutcomes: [...protocol.plannedOutcomes],
  };
}

export function consentFormOf({ consentForm }: SimulatedStudy): FormContent {
  return {
    title: consentForm.title,
    text: consentForm.text,
    permissions: consentForm.permissions.map(({ key, text, required }) => ({
      key: permissionKeyOf[key],
      label: text,
      required,
    })),
  };
}

export function decisionsOf(decisions: Readonly<Record<PermissionKey, boolean>>): Record<string, boolean> {
  return Object.fromEntries(
    demoStudy.consentForm.permissions.map(({ key }) => [permissionKeyOf[key], decisions[key]]),
  );
}

const compare = (measure: string, regionId: string | null, course: ComparisonSettings["course"]) =>
  ({
    schema: 1,
    outcome: { measure, regionId },
    conditions: [keyOf("bare hands"), keyOf("insulated gloves")],
    occasion: "mean over occasions",
    course,
    level: 0.95,
  }) satisfies ComparisonSettings;

/** The planned outcomes as saved comparisons, the one that the study was planned for last, so that it is listed first. */
export const comparisons: readonly { readonly name: string; readonly settings: ComparisonSettings }[] = [
  {
    name: "Mean skin temperature at the end of exercise",
    settings: compare("end of exercise", null, "temperature"),
  },
  {
    name: "Back of the left hand: fall from baseline",
    settings: compare("fall", "hand-left-dorsal", "change from baseline"),
  },
  {
    name: "Left forearm: rewarming while the stepping goes on",
    settings: compare("rise", "forearm-left-anterior", "change from baseline"),
  },
];
