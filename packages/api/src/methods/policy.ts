import { regionById } from "@acral/analysis/skin";
import type { ImagingRecord } from "../imaging/schema";
import type { ProtocolContent } from "../protocol/schema";
import { completenessOf, itemOf, type ReportingFacts } from "../reporting/policy";
import { count, gap, notRecorded, type Over, plain, spread, tally, total } from "../sum-up";

/**
 * The methods text of a study: what was recorded, summed up over its trials. It says of everything that guidance asks for
 * either what was recorded or that it was not; a plan alone is never told as if it had been carried out.
 */

export interface TrialOfMethods {
  readonly volunteerId: string;
  readonly sex: "female" | "male" | "other" | "not_stated";
  /** Year of the trial less year of birth; null when either is unknown. */
  readonly ageYears: number | null;
  readonly heightCm: number | null;
  readonly massKg: number | null;
  readonly conditionName: string;
  readonly protocolVersion: number;
  readonly protocol: ProtocolContent;
  readonly facts: ReportingFacts;
}

export interface MethodsParagraph {
  readonly title: string;
  readonly text: string;
}

export function methodsParagraphs(trials: readonly TrialOfMethods[]): MethodsParagraph[] {
  if (trials.length === 0) return [];
  return [
    { title: "Participants", text: participants(trials) },
    { title: "Design", text: design(trials) },
    { title: "Before the visit", text: beforeVisit(trials) },
    { title: "Room and acclimatisation", text: room(trials) },
    { title: "Camera", text: camera(trials) },
    { title: "Position and skin", text: position(trials) },
    { title: "Regions", text: regions(trials) },
    ...notApplicable(trials),
    { title: "Reading these numbers", text: spreadNote },
  ];
}

const spreadNote =
  "A spread is mean ± standard deviation, followed by the lowest and the highest value, over the trials or volunteers named. “Not recorded” means that nothing was written down, not that nothing was done.";

function participants(trials: readonly TrialOfMethods[]): string {
  const people = [...new Map(trials.map((trial) => [trial.volunteerId, trial])).values()];
  const counted = [
    ["female", "female"],
    ["male", "male"],
    ["other", "of another sex"],
    ["not_stated", "sex not stated"],
  ] as const;
  const sexes = counted
    .map(([sex, words]) => ({ words, n: people.filter((person) => person.sex === sex).length }))
    .filter(({ n }) => n > 0)
    .map(({ words, n }) => `${n} ${words}`)
    .join(", ");
  const ofPeople: Over = { what: "volunteer", total: people.length };
  const values = (select: (person: TrialOfMethods) => number | null) => people.map(select);
  return sentences(
    `${count(people.length, "volunteer")} (${sexes}) took part in ${count(trials.length, "trial")}.`,
    `Age, as the year of the trial less the year of birth: ${spread(
      values(({ ageYears }) => ageYears),
      "years",
      0,
      ofPeople,
    )}.`,
    `Height: ${spread(
      values(({ heightCm }) => heightCm),
      "cm",
      1,
      ofPeople,
    )}.`,
    `Mass: ${spread(
      values(({ massKg }) => massKg),
      "kg",
      1,
      ofPeople,
    )}.`,
  );
}

function design(trials: readonly TrialOfMethods[]): string {
  const conditions = tally(trials.map(({ conditionName }) => conditionName))
    .map(({ value, n }) => `${value} (${count(n, "trial")})`)
    .join("; ");
  const versions = tally(trials.map(({ protocolVersion }) => String(protocolVersion)));
  const [only] = versions;
  return sentences(
    versions.length === 1
      ? `All trials followed version ${only?.value ?? ""} of the protocol.`
      : `The trials followed versions ${versions.map(({ value, n }) => `${value} (${count(n, "trial")})`).join(", ")} of the protocol.`,
    `Conditions: ${conditions}.`,
    `Phases as planned: ${stated(trials, ({ protocol }) => phasesText(protocol))}.`,
    `Exercise load as planned: ${stated(trials, ({ protocol }) => protocol.exerciseLoad)}.`,
  );
}

const phasesText = ({ phases }: ProtocolContent) =>
  phases.map(({ name, kind, durationS }) => `${name} (${kind}, ${minutesText(durationS)})`).join(", ");

function beforeVisit(trials: readonly TrialOfMethods[]): string {
  const noted = trials.filter(({ facts }) => (facts.record?.outsideFactors ?? "") !== "").length;
  return sentences(
    `Instructions to volunteers: ${stated(trials, ({ protocol }) => protocol.preVisitRules.map(withoutStop).join("; "))}.`,
    `Asked about outside factors: ${stated(trials, ({ protocol }) => protocol.imaging.outsideFactors)}.`,
    noted === 0
      ? "What volunteers named was not recorded."
      : `What volunteers named was written down in ${ofTrials(noted, trials.length)}.`,
  );
}

function room(trials: readonly TrialOfMethods[]): string {
  const measured = (name: string, key: keyof ReportingFacts["room"], unit: string, digits: number): string =>
    `${name}: ${spread(
      trials.map(({ facts }) => facts.room[key]),
      unit,
      digits,
      over(trials),
    )}.`;
  const clocks = trials.flatMap(({ facts }) => facts.record?.timeOfDay ?? facts.fileClock ?? []).sort();
  return sentences(
    measured("Air temperature", "airTemperatureC", "°C", 1),
    measured("Relative humidity", "relativeHumidityPct", "%", 0),
    measured("Air speed", "airSpeedMS", "m/s", 2),
    measured("Mean radiant temperature", "meanRadiantTemperatureC", "°C", 1),
    `Heat sources and draughts: ${stated(trials, ({ protocol }) => protocol.imaging.surroundings)}.`,
    `Acclimatisation: ${ofRecords(trials, ({ acclimatisationMin }) => acclimatisationMin, "min", 0)}.`,
    `How volunteers acclimatise, as planned: ${stated(trials, ({ protocol }) => protocol.imaging.acclimatisation)}.`,
    `Time of day as planned: ${stated(trials, ({ protocol }) => protocol.imaging.timeOfDay)}.`,
    clocks.length === 0
      ? "Time of day: not recorded."
      : `Time of day at the start of recording: ${between(clocks[0], clocks.at(-1))}${gap(trials.length - clocks.length, over(trials))}.`,
  );
}

function camera(trials: readonly TrialOfMethods[]): string {
  const units = tally(trials.flatMap(({ facts }) => facts.record?.cameraUnit || []));
  return sentences(
    `Maker and model: ${stated(trials, ({ protocol }) => protocol.imaging.camera)}.`,
    units.length === 0
      ? "Which unit was used was not recorded."
      : `Unit: ${units.map(({ value, n }) => `${value} (${count(n, "trial")})`).join("; ")}${gap(trials.length - total(units), over(trials))}.`,
    `Resolution: ${stated(trials, ({ protocol }) => protocol.imaging.resolution)}.`,
    `Stated accuracy: ${stated(trials, ({ protocol }) => protocol.imaging.accuracy)}.`,
    `Calibration: ${stated(trials, ({ protocol }) => protocol.imaging.calibration)}.`,
    `Warm-up before the first image: ${ofRecords(trials, ({ cameraWarmUpMin }) => cameraWarmUpMin, "min", 0)}.`,
    `Emissivity set: ${ofRecords(trials, ({ emissivity }) => emissivity, "", 3)}.`,
    `Reflected apparent temperature set: ${ofRecords(trials, ({ reflectedTemperatureC }) => reflectedTemperatureC, "°C", 1)}.`,
    `How it is measured: ${stated(trials, ({ protocol }) => protocol.imaging.reflectedTemperatureMethod)}.`,
    referenceText(trials),
  );
}

function referenceText(trials: readonly TrialOfMethods[]): string {
  const inView = trials.filter(({ facts }) => facts.record?.referenceInView === true);
  const without = trials.filter(({ facts }) => facts.record?.referenceInView === false).length;
  const open = trials.length - inView.length - without;
  if (inView.length === 0) {
    if (without === 0) return "Whether a reference source was in view was not recorded.";
    return `No reference source was in view${open === 0 ? "" : ` in ${ofTrials(without, trials.length)}; in the others it was not recorded`}.`;
  }
  const temperature = spread(
    inView.map(({ facts }) => facts.record?.referenceTemperatureC ?? null),
    "°C",
    1,
    over(inView),
  );
  return sentences(
    `A reference source was in view in ${ofTrials(inView.length, trials.length)}${gap(open, over(trials))}.`,
    `The source: ${stated(inView, ({ protocol }) => protocol.imaging.referenceSource.description)}.`,
    `Its temperature: ${temperature}.`,
    `Its emissivity: ${stated(inView, ({ protocol }) => number(protocol.imaging.referenceSource.emissivity))}.`,
  );
}

function position(trials: readonly TrialOfMethods[]): string {
  const deviating = trials.filter(({ facts }) => (facts.record?.deviations ?? "") !== "").length;
  return sentences(
    `Distance: ${ofRecords(trials, ({ distanceM }) => distanceM, "m", 2)}.`,
    `Share of the image that the body fills, as planned: ${stated(trials, ({ protocol }) => number(protocol.imaging.frameSharePct, "%"))}.`,
    `Angle of view from the perpendicular: ${ofRecords(trials, ({ viewAngleDeg }) => viewAngleDeg, "°", 0)}.`,
    `Posture: ${recorded(trials, ({ posture }) => posture)}.`,
    `Preparation of the skin: ${recorded(trials, ({ skinPreparation }) => skinPreparation)}.`,
    deviating === 0
      ? "No deviation from the protocol was written down."
      : `Deviations from the protocol were written down in ${ofTrials(deviating, trials.length)}.`,
  );
}

function regions(trials: readonly TrialOfMethods[]): string {
  const drawers = new Set(trials.flatMap(({ facts }) => facts.record?.regionsDrawnBy || []));
  const unsaid = trials.filter(({ facts }) => (facts.record?.regionsDrawnBy ?? "") === "").length;
  return sentences(
    `Regions and statistics: ${stated(trials, ({ protocol }) => regionsText(protocol))}.`,
    `How regions are drawn: ${stated(trials, ({ protocol }) => protocol.imaging.regionDrawing)}.`,
    `Program: ${recorded(trials, ({ regionProgram }) => regionProgram)}.`,
    drawers.size === 0
      ? "Who drew the regions was not recorded."
      : `Regions were drawn by ${drawers.size === 1 ? "one person" : `${drawers.size} people`}${gap(unsaid, over(trials))}.`,
  );
}

/** What does not apply, with its reason; such an item may stand above as not recorded. */
function notApplicable(trials: readonly TrialOfMethods[]): MethodsParagraph[] {
  const reasons = tally(
    trials.flatMap(({ facts }) =>
      completenessOf(facts).items.flatMap(({ key, reason }) =>
        reason === null ? [] : [`${itemOf(key).name}: ${withoutStop(reason)}`],
      ),
    ),
  );
  if (reasons.length === 0) return [];
  const text = reasons.map(({ value, n }) => `${value} (${ofTrials(n, trials.length)}).`).join(" ");
  return [{ title: "Not applicable", text }];
}

function regionsText({ regions: chosen }: ProtocolContent): string {
  const statistics = [...new Set(chosen.map(({ statistic }) => statistic))];
  return statistics
    .map((statistic) => {
      const of = chosen.filter((region) => region.statistic === statistic);
      return `${statistic} of ${of.map(({ regionId }) => lowerFirst(regionById(regionId).label)).join("; ")}`;
    })
    .join(" — ");
}

const over = (trials: readonly unknown[]): Over => ({ what: "trial", total: trials.length });

/** What the protocols of the trials say; where they differ, each with its trials. */
function stated(trials: readonly TrialOfMethods[], select: (trial: TrialOfMethods) => string): string {
  return told(trials, (trial) => select(trial), "not stated in the protocol");
}

/** What the records of the trials say. */
function recorded(trials: readonly TrialOfMethods[], select: (record: ImagingRecord) => string): string {
  return told(trials, ({ facts }) => (facts.record === null ? "" : select(facts.record)), notRecorded);
}

/** Beyond these, statements are counted: a text that differs from trial to trial is no method. */
const mostStatements = 4;

function told(
  trials: readonly TrialOfMethods[],
  select: (trial: TrialOfMethods) => string,
  nothing: string,
): string {
  const values = tally(trials.map((trial) => withoutStop(select(trial))).filter((text) => text !== ""));
  const [first] = values;
  if (first === undefined) return nothing;
  const missing = trials.length - total(values);
  const open = missing === 0 ? "" : `; ${nothing} in ${ofTrials(missing, trials.length)}`;
  if (values.length === 1) return `${first.value}${open}`;
  if (values.length > mostStatements) {
    return `${values.length} different statements, the most frequent in ${ofTrials(first.n, trials.length)}: ${first.value}${open}`;
  }
  return `${values.map(({ value, n }) => `${value} (${count(n, "trial")})`).join("; ")}${open}`;
}

function ofRecords(
  trials: readonly TrialOfMethods[],
  select: (record: ImagingRecord) => number | null,
  unit: string,
  digits: number,
): string {
  return spread(
    trials.map(({ facts }) => (facts.record === null ? null : select(facts.record))),
    unit,
    digits,
    over(trials),
  );
}

const ofTrials = (n: number, of: number) =>
  n === of ? (of === 1 ? "the one trial" : `all ${of} trials`) : `${n} of ${of} trials`;
const between = (first = "", last = "") => (first === last ? first : `${first} to ${last}`);
const number = (value: number | null, unit = "") =>
  value === null ? "" : `${plain(value)}${unit === "" ? "" : ` ${unit}`}`;
const minutesText = (seconds: number) => (seconds % 60 === 0 ? `${seconds / 60} min` : `${plain(seconds)} s`);
/** A statement stands inside a sentence of its own. */
const withoutStop = (text: string) => text.trim().replace(/\s+/g, " ").replace(/\.$/, "");
const lowerFirst = (text: string) => text.charAt(0).toLowerCase() + text.slice(1);
const sentences = (...texts: readonly string[]) => texts.join(" ");

/** The year with which an ISO 8601 moment begins. */
export function yearOf(moment: string | null): number | null {
  const year = moment === null ? null : /^(\d{4})-/.exec(moment)?.[1];
  return year === undefined || year === null ? null : Number(year);
}
