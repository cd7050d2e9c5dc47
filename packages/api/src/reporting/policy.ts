import type { ImagingRecord } from "../imaging/schema";
import type { ProtocolContent } from "../protocol/schema";
import type { Room } from "../trial/schema";
import { type ReportingItemKey, reportingItemKeys } from "./schema";

/** Which of the things that published guidance asks to be reported are there, and which are missing. Nothing here reads or writes. */

export const reportingSource =
  "Moreira et al. 2017, Journal of Thermal Biology 69:155–162: fifteen items on which 24 experts from 13 countries agreed. The wording here is our own, and the themes were written down from memory: check them against the paper before you claim to follow it.";

/** Where something that is missing is entered. */
export type Place = "protocol" | "trial" | "room" | "volunteer";

/** Everything that is asked about one trial. */
export interface ReportingFacts {
  readonly protocol: Pick<ProtocolContent, "imaging" | "preVisitRules" | "regions">;
  readonly record: ImagingRecord | null;
  readonly room: Room;
  readonly volunteer: {
    readonly sexStated: boolean;
    readonly birthYear: number | null;
    readonly bodyMeasures: boolean;
  };
  /** The time of day at which a source file begins, "09:30"; null when no file says it. */
  readonly fileClock: string | null;
}

interface Part {
  readonly what: string;
  readonly place: Place;
  readonly there: (facts: ReportingFacts) => boolean;
}

export interface ReportingItem {
  readonly key: ReportingItemKey;
  /** Its place among the fifteen; null for what is asked elsewhere and does not count among them. */
  readonly number: number | null;
  readonly name: string;
  readonly asks: string;
}

interface AskedItem extends ReportingItem {
  readonly parts: readonly [Part, ...Part[]];
}

const planned = (what: string, there: (facts: ReportingFacts["protocol"]) => boolean): Part => ({
  what,
  place: "protocol",
  there: (facts) => there(facts.protocol),
});
/** A plan is no record: what belongs to the day counts only when the trial says it. */
const onTheDay = (what: string, there: (record: ImagingRecord) => boolean): Part => ({
  what,
  place: "trial",
  there: ({ record }) => record !== null && there(record),
});
const measured = (what: string, key: keyof Room): Part => ({
  what,
  place: "room",
  there: ({ room }) => room[key] !== null,
});

const asked: Readonly<Record<ReportingItemKey, Omit<AskedItem, "key">>> = {
  participants: {
    number: 1,
    name: "Participants",
    asks: "Sex, age, height and mass, and traits that matter.",
    parts: [
      { what: "the sex", place: "volunteer", there: ({ volunteer }) => volunteer.sexStated },
      { what: "the birth year", place: "volunteer", there: ({ volunteer }) => volunteer.birthYear !== null },
      { what: "height and mass", place: "volunteer", there: ({ volunteer }) => volunteer.bodyMeasures },
    ],
  },
  instructions: {
    number: 2,
    name: "Instructions before the visit",
    asks: "Meals, alcohol, coffee, tobacco, creams, sun, showers.",
    parts: [planned("the pre-visit rules", ({ preVisitRules }) => preVisitRules.length > 0)],
  },
  "outside-factors": {
    number: 3,
    name: "Outside factors",
    asks: "Recent exercise, medicines and treatments, as the volunteer named them.",
    parts: [onTheDay("what the volunteer named", (record) => record.outsideFactors !== "")],
  },
  room: {
    number: 4,
    name: "Room",
    asks: "Air temperature and relative humidity, with their spread over the trials.",
    parts: [
      measured("the air temperature", "airTemperatureC"),
      measured("the relative humidity", "relativeHumidityPct"),
    ],
  },
  surroundings: {
    number: 5,
    name: "Surroundings",
    asks: "Distance from sources of heat and cold, and from draughts.",
    parts: [planned("heat sources and draughts", ({ imaging }) => imaging.surroundings !== "")],
  },
  camera: {
    number: 6,
    name: "Camera",
    asks: "Maker and model, resolution, stated accuracy.",
    parts: [
      planned("maker and model of the camera", ({ imaging }) => imaging.camera !== ""),
      planned("its resolution", ({ imaging }) => imaging.resolution !== ""),
      planned("its stated accuracy", ({ imaging }) => imaging.accuracy !== ""),
    ],
  },
  acclimatisation: {
    number: 7,
    name: "Acclimatisation",
    asks: "How long the volunteer stayed in the room before the first image.",
    parts: [onTheDay("the minutes of acclimatisation", (record) => record.acclimatisationMin !== null)],
  },
  "warm-up": {
    number: 8,
    name: "Camera warm-up and calibration",
    asks: "How long the camera was on before the first image, and how it is calibrated.",
    parts: [
      onTheDay("the minutes of warm-up", (record) => record.cameraWarmUpMin !== null),
      planned("the calibration of the camera", ({ imaging }) => imaging.calibration !== ""),
    ],
  },
  distance: {
    number: 9,
    name: "Distance",
    asks: "Distance of the camera, and the share of the image that the body fills.",
    parts: [
      onTheDay("the distance", (record) => record.distanceM !== null),
      planned("the share of the image", ({ imaging }) => imaging.frameSharePct !== null),
    ],
  },
  angle: {
    number: 10,
    name: "Angle of view",
    asks: "Whether the camera looked straight onto the skin.",
    parts: [onTheDay("the angle of view", (record) => record.viewAngleDeg !== null)],
  },
  emissivity: {
    number: 11,
    name: "Emissivity",
    asks: "The emissivity that was set for skin.",
    parts: [onTheDay("the emissivity that was set", (record) => record.emissivity !== null)],
  },
  "time-of-day": {
    number: 12,
    name: "Time of day",
    asks: "When the images were taken.",
    parts: [
      {
        what: "the time of day",
        place: "trial",
        there: ({ record, fileClock }) => (record?.timeOfDay ?? fileClock) !== null,
      },
    ],
  },
  posture: {
    number: 13,
    name: "Posture",
    asks: "How the volunteer stood or sat.",
    parts: [onTheDay("the posture", (record) => record.posture !== "")],
  },
  "skin-preparation": {
    number: 14,
    name: "Preparation of the skin",
    asks: "Whether and how the skin was dried or otherwise prepared.",
    parts: [onTheDay("how the skin was prepared", (record) => record.skinPreparation !== "")],
  },
  regions: {
    number: 15,
    name: "Regions",
    asks: "How regions are drawn, which statistic is taken, by which program and by whom.",
    parts: [
      planned("how regions are drawn", ({ imaging }) => imaging.regionDrawing !== ""),
      planned("the statistic of each region", ({ regions }) => regions.length > 0),
      onTheDay("the program", (record) => record.regionProgram !== ""),
      onTheDay("who drew the regions", (record) => record.regionsDrawnBy !== ""),
    ],
  },
  "reflected-temperature": {
    number: null,
    name: "Reflected temperature",
    asks: "The reflected apparent temperature, and how it was measured (common practice).",
    parts: [
      onTheDay("the reflected temperature", (record) => record.reflectedTemperatureC !== null),
      planned("how it is measured", ({ imaging }) => imaging.reflectedTemperatureMethod !== ""),
    ],
  },
  "reference-source": {
    number: null,
    name: "Reference source",
    asks: "Whether a surface of known temperature was in view, its temperature and emissivity (common practice).",
    parts: [
      onTheDay("whether it was in view", (record) => record.referenceInView !== null),
      onTheDay(
        "its temperature",
        (record) => record.referenceInView !== true || record.referenceTemperatureC !== null,
      ),
      {
        what: "its emissivity",
        place: "protocol",
        there: ({ record, protocol }) =>
          record?.referenceInView === false || protocol.imaging.referenceSource.emissivity !== null,
      },
    ],
  },
};

export function itemOf(key: ReportingItemKey): ReportingItem {
  const { number, name, asks } = asked[key];
  return { key, number, name, asks };
}

export const reportingItems: readonly ReportingItem[] = reportingItemKeys.map(itemOf);

/** How many items count: those that the published list has. */
export const countedItems = reportingItems.filter(({ number }) => number !== null).length;

export type ItemState = "recorded" | "missing" | "not applicable";

export interface ItemFinding {
  readonly key: ReportingItemKey;
  readonly state: ItemState;
  /** What is missing, and where it is entered; empty unless the state is "missing". */
  readonly lacks: readonly { readonly what: string; readonly place: Place }[];
  /** Why it does not apply; null unless the state is "not applicable". */
  readonly reason: string | null;
}

export interface Completeness {
  readonly items: readonly ItemFinding[];
  /** Of the fifteen. */
  readonly recorded: number;
  readonly missing: number;
  readonly notApplicable: number;
}

/** Item by item what is recorded of one trial. An item is missing as long as any part of it is. */
export function completenessOf(facts: ReportingFacts): Completeness {
  const items = reportingItemKeys.map((key): ItemFinding => {
    const reason = facts.record?.notApplicable[key] ?? facts.protocol.imaging.notApplicable[key] ?? null;
    if (reason !== null) return { key, state: "not applicable", lacks: [], reason };
    const lacks = asked[key].parts
      .filter((part) => !part.there(facts))
      .map(({ what, place }) => ({ what, place }));
    return { key, state: lacks.length === 0 ? "recorded" : "missing", lacks, reason: null };
  });
  const counted = items.filter(({ key }) => asked[key].number !== null);
  const inState = (state: ItemState) => counted.filter((item) => item.state === state).length;
  return {
    items,
    recorded: inState("recorded"),
    missing: inState("missing"),
    notApplicable: inState("not applicable"),
  };
}

export interface ItemOverTrials extends ReportingItem {
  readonly recorded: number;
  readonly missing: number;
  readonly notApplicable: number;
  /** What is missing, the most frequent first. */
  readonly lacks: readonly { readonly what: string; readonly place: Place; readonly trials: number }[];
}

/** The same over the trials of a study, item by item. */
export function completenessOverTrials(trials: readonly Completeness[]): ItemOverTrials[] {
  return reportingItems.map((item) => {
    const findings = trials.flatMap(({ items }) => items.filter(({ key }) => key === item.key));
    const inState = (state: ItemState) => findings.filter((finding) => finding.state === state).length;
    const lacks = asked[item.key].parts
      .map(({ what, place }) => ({
        what,
        place,
        trials: findings.filter((finding) => finding.lacks.some((lack) => lack.what === what)).length,
      }))
      .filter(({ trials: count }) => count > 0)
      .sort((a, b) => b.trials - a.trials);
    return {
      ...item,
      recorded: inState("recorded"),
      missing: inState("missing"),
      notApplicable: inState("not applicable"),
      lacks,
    };
  });
}

interface CompletenessOfTrial {
  readonly trialId: string;
  readonly label: string;
  readonly completeness: Completeness;
}

/**
 * Which trials lack something, those that lack most first. What is missing in every trial is told once, and not again
 * with each of them.
 */
export function incompleteTrials(trials: readonly CompletenessOfTrial[]) {
  const missingOf = ({ completeness }: CompletenessOfTrial) =>
    completeness.items.filter(({ state }) => state === "missing");
  const everywhere = reportingItems.filter(
    ({ key }) =>
      trials.length > 0 && trials.every((trial) => missingOf(trial).some((item) => item.key === key)),
  );
  const lacking = trials
    .map((trial) => ({
      trialId: trial.trialId,
      label: trial.label,
      recorded: trial.completeness.recorded,
      notApplicable: trial.completeness.notApplicable,
      missing: missingOf(trial)
        .filter(({ key }) => everywhere.every((item) => item.key !== key))
        .map(({ key, lacks }) => ({ key, name: asked[key].name, lacks })),
    }))
    .filter(({ missing }) => missing.length > 0)
    .sort((a, b) => b.missing.length - a.missing.length || a.label.localeCompare(b.label, "en"));
  return {
    missingEverywhere: everywhere.map(({ key, name }) => ({ key, name })),
    lacking,
    /** Trials that lack nothing beside that. */
    complete: trials.length - lacking.length,
  };
}
