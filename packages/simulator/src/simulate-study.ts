import { type RecordingPlan, record } from "./camera";
import { bodyOnTheDay, drawPerson, type Person, spreads } from "./person";
import { type BodyCourse, gloveForearmGain, simulateBody, type TrialPlan } from "./physiology";
import { recordingOf } from "./recording-layout";
import { consentForm } from "./scenario/consent-form";
import { recordImaging } from "./scenario/imaging";
import { notice } from "./scenario/notice";
import { chooseSpecial, drawVolunteers, largestStudy, plantResponses } from "./scenario/people";
import { protocol, recoveryS, restS } from "./scenario/protocol";
import { planVisits, type Visit } from "./scenario/visit-plan";
import { seededRandom } from "./seeded-random";
import { skinNodes } from "./skin-node";
import { regionTruth } from "./trial-truth";
import type { SimulatedFile, SimulatedSeries, SimulatedStudy, SimulatedTrial, TrialTruth } from "./types";
import { fileExtension, writeSourceFile } from "./write-source-file";

export interface SimulationOptions {
  /** Any integer; the same one gives the same study, byte for byte. */
  readonly seed: number;
  /** 1 to 24 (default 24). Below 12, nobody withdraws and no trial fails. */
  readonly volunteers?: number;
}

/**
 * The invented demo study: a fictional rowing club, bench stepping, bare hands against insulated gloves, two
 * visits each. Nothing is integrated or written before a trial's `file.bytes()` or `truth.trial()` is called.
 *
 * Throws a RangeError when the seed is no integer or the number of volunteers lies outside 1 to 24.
 */
export function simulateStudy(options: SimulationOptions): SimulatedStudy {
  const { seed, volunteers: count = largestStudy } = options;
  if (!Number.isSafeInteger(seed))
    throw new RangeError(`simulateStudy: seed must be an integer, got ${seed}`);
  if (!Number.isInteger(count) || count < 1 || count > largestStudy) {
    throw new RangeError(`simulateStudy: volunteers must be 1 to ${largestStudy}, got ${count}`);
  }
  const special = chooseSpecial(seed, count);
  const volunteers = drawVolunteers(seed, count, special);
  const responses = plantResponses(seed, count);
  const persons = volunteers.map((volunteer, index) =>
    drawPerson(
      seed,
      index,
      { ...volunteer, ageYears: 2025 - volunteer.birthYear },
      responses[index] ?? "hardly falls",
      skinNodes,
    ),
  );
  const visits = planVisits(seed, count, special);

  return {
    seed,
    title: "Merrow Sands Rowing Club: bench stepping (invented demo)",
    notice,
    protocol,
    consentForm,
    volunteers,
    trials: visits.map((visit) => trialOf(seed, visit, personAt(persons, visit.volunteerIndex))),
    truth: {
      responses,
      trial(index) {
        const visit = visits[index];
        if (visit === undefined) throw new RangeError(`truth.trial: there is no trial ${index}`);
        return truthOf(seed, visit, personAt(persons, visit.volunteerIndex));
      },
      planted: {
        gloveForearmGain,
        restingLevel: {
          betweenSdC: spreads.restingLevelC.between,
          withinSdC: spreads.restingLevelC.within,
          repeatability: ratio(spreads.restingLevelC),
        },
        constriction: {
          betweenSd: spreads.constriction.between,
          withinSd: spreads.constriction.within,
          repeatability: ratio(spreads.constriction),
        },
      },
    },
  };
}

/** Variance between volunteers over the sum of both variances. */
function ratio(spread: { readonly between: number; readonly within: number }): number {
  const between = spread.between * spread.between;
  return between / (between + spread.within * spread.within);
}

function personAt(persons: readonly Person[], index: number): Person {
  const person = persons[index];
  if (person === undefined) throw new RangeError(`there is no volunteer ${index}`);
  return person;
}

function trialPlan(visit: Visit): TrialPlan {
  const exerciseStartS = visit.leadS + restS;
  const exerciseEndS = exerciseStartS + visit.exerciseS;
  return {
    condition: visit.condition,
    room: visit.room,
    exerciseStartS,
    exerciseEndS,
    endS: exerciseEndS + recoveryS,
  };
}

function courseOf(seed: number, visit: Visit, person: Person): BodyCourse {
  const body = bodyOnTheDay(seed, visit.volunteerIndex, person, visit.condition, visit.occasion, skinNodes);
  return simulateBody(skinNodes, body, trialPlan(visit));
}

function trialOf(seed: number, visit: Visit, person: Person): SimulatedTrial {
  const plan = trialPlan(visit);
  return {
    volunteerIndex: visit.volunteerIndex,
    condition: visit.condition,
    occasion: visit.occasion,
    room: visit.room,
    startedAt: visit.startedAt,
    file: visit.fate.kind === "not recorded" ? null : fileOf(seed, visit, person),
    imaging: visit.fate.kind === "not recorded" ? null : recordImaging(seed, visit),
    markers: [
      { name: "Rest", atS: visit.leadS },
      { name: "Stepping", atS: plan.exerciseStartS },
      { name: "Recovery", atS: plan.exerciseEndS },
      { name: "End", atS: plan.endS },
    ].filter(({ atS }) => visit.cutAtS === null || atS <= visit.cutAtS),
    fate: visit.fate,
  };
}

function fileOf(seed: number, visit: Visit, person: Person): SimulatedFile {
  const series = (): SimulatedSeries => seriesOf(seed, visit, person);
  const moment = visit.startedAt.slice(0, 16).replace("T", "-").replace(":", "");
  return {
    name: `merrow-sands-${moment}.${fileExtension(visit.dialect)}`,
    dialect: visit.dialect,
    series,
    bytes() {
      const bytes = writeSourceFile(series(), visit.dialect);
      // The camera stopped while it wrote: the last row lacks its second half.
      return visit.cutAtS === null ? bytes : bytes.subarray(0, bytes.length - 60);
    },
  };
}

function seriesOf(seed: number, visit: Visit, person: Person): SimulatedSeries {
  const plan = trialPlan(visit);
  const label = `trial ${visit.volunteerIndex} ${visit.condition} ${visit.occasion} instruments`;
  const random = seededRandom(seed, label);
  const layout = recordingOf(visit.dialect, visit.cutAtS ?? plan.endS, random);
  const recording: RecordingPlan = {
    ...layout,
    nodes: skinNodes,
    condition: visit.condition,
    airTemperatureC: visit.room.airTemperatureC,
    exerciseStartS: plan.exerciseStartS,
    exerciseEndS: plan.exerciseEndS,
    faults: visit.faults,
    sessionOffsetC: visit.sessionOffsetC,
  };
  return {
    startedAt: visit.startedAt,
    timesS: layout.timesS,
    traces: record(courseOf(seed, visit, person), recording, random),
  };
}

function truthOf(seed: number, visit: Visit, person: Person): TrialTruth {
  const plan = trialPlan(visit);
  const course = courseOf(seed, visit, person);
  return {
    cameraFaults: visit.faults,
    sessionOffsetC: visit.sessionOffsetC,
    coreRiseC: (course.coreC[plan.exerciseEndS] ?? 0) - (course.coreC[0] ?? 0),
    regions: new Map(
      skinNodes.map((skin, i) => [skin.regionId, regionTruth(course.skinC[i], plan, visit.leadS)]),
    ),
  };
}
