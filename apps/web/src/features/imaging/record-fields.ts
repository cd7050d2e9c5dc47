import { formatNumber } from "@/components/quantity";
import type { ImagingRecord, ReportingItem } from "./imaging-words";

type NumberName = {
  [Name in keyof ImagingRecord]: number extends ImagingRecord[Name]
    ? ImagingRecord[Name] extends number | null
      ? Name
      : never
    : never;
}[keyof ImagingRecord];
type TextName = {
  [Name in keyof ImagingRecord]: ImagingRecord[Name] extends string ? Name : never;
}[keyof ImagingRecord];

export interface NumberRow {
  readonly name: NumberName;
  readonly label: string;
  readonly unit: string;
  readonly digits: number;
}

export interface TextRow {
  readonly name: TextName;
  readonly label: string;
  readonly description?: string;
}

export const cameraNumbers: readonly NumberRow[] = [
  { name: "cameraWarmUpMin", label: "Camera warm-up", unit: "min", digits: 0 },
  { name: "emissivity", label: "Emissivity set", unit: "", digits: 3 },
  { name: "reflectedTemperatureC", label: "Reflected temperature set", unit: "°C", digits: 1 },
];
export const positionNumbers: readonly NumberRow[] = [
  { name: "distanceM", label: "Distance", unit: "m", digits: 2 },
  { name: "viewAngleDeg", label: "Angle of view", unit: "°", digits: 0 },
  { name: "acclimatisationMin", label: "Acclimatisation", unit: "min", digits: 0 },
];
export const referenceNumber: NumberRow = {
  name: "referenceTemperatureC",
  label: "Temperature of the source",
  unit: "°C",
  digits: 2,
};

export const cameraUnit: TextRow = {
  name: "cameraUnit",
  label: "Camera used",
  description: "Which of several: an inventory or serial number.",
};
export const volunteerTexts: readonly TextRow[] = [
  { name: "posture", label: "Posture" },
  { name: "skinPreparation", label: "Preparation of the skin" },
  {
    name: "outsideFactors",
    label: "Outside factors that the volunteer named",
    description: "Recent exercise, medicines, treatments, or that none was named. No names of people.",
  },
];
export const regionTexts: readonly TextRow[] = [
  { name: "regionProgram", label: "Program for the regions" },
  { name: "regionsDrawnBy", label: "Regions drawn by" },
];
export const deviations: TextRow = {
  name: "deviations",
  label: "What differed from the protocol",
  description: "Empty when nothing did.",
};

export const inViewWords = (inView: boolean | null): string => {
  switch (inView) {
    case null:
      return "";
    case true:
      return "in view";
    case false:
      return "not in view";
  }
};

export interface RecordItem {
  readonly name: keyof ImagingRecord;
  readonly label: string;
  /** Empty when it is not recorded. */
  readonly value: string;
}

/** A record as pairs of words, in the order in which it is entered. */
export function recordItems(
  record: ImagingRecord,
  items: readonly Pick<ReportingItem, "key" | "name">[],
): RecordItem[] {
  const number = ({ name, label, unit }: NumberRow): RecordItem => {
    const value = record[name];
    const after = unit === "" || unit === "°" ? unit : ` ${unit}`;
    return { name, label, value: value === null ? "" : `${formatNumber(value, digitsOf(value))}${after}` };
  };
  const text = ({ name, label }: TextRow): RecordItem => ({ name, label, value: record[name] });
  return [
    text(cameraUnit),
    ...cameraNumbers.map(number),
    { name: "referenceInView", label: "Reference source", value: inViewWords(record.referenceInView) },
    number(referenceNumber),
    ...positionNumbers.map(number),
    { name: "timeOfDay", label: "Time of day", value: record.timeOfDay ?? "" },
    ...volunteerTexts.map(text),
    ...regionTexts.map(text),
    text(deviations),
    {
      name: "notApplicable",
      label: "Does not apply",
      value: items
        .flatMap(({ key, name }) => {
          const reason = record.notApplicable[key];
          return reason === undefined ? [] : [`${name}: ${reason}`];
        })
        .join("\n"),
    },
  ];
}

/** As many digits as were entered. */
function digitsOf(value: number): number {
  return /\.(\d+)$/.exec(String(value))?.[1]?.length ?? 0;
}

export function sameRecord(a: ImagingRecord, b: ImagingRecord): boolean {
  return JSON.stringify(ordered(a)) === JSON.stringify(ordered(b));
}

/** Keys in one order, whatever order they were saved or typed in. */
function ordered(record: ImagingRecord): unknown {
  const sorted = (object: object) => Object.entries(object).sort(([a], [b]) => (a < b ? -1 : 1));
  return sorted({ ...record, notApplicable: sorted(record.notApplicable) });
}
