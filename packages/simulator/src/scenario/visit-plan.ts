import { seededRandom } from "../seeded-random";
import type { CameraFault, ConditionName, Dialect, SimulatedRoom, TrialFate } from "../types";
import type { Special } from "./people";
import { exerciseS, restS } from "./protocol";

/** One planned trial, before anything is simulated. */
export interface Visit {
  readonly volunteerIndex: number;
  readonly condition: ConditionName;
  readonly occasion: 1 | 2;
  readonly startedAt: string;
  readonly room: SimulatedRoom;
  readonly dialect: Dialect;
  /** Seconds of resting before the marker of the rest phase. */
  readonly leadS: number;
  /** Seconds from the start of exercise; shorter where the volunteer asked to stop. */
  readonly exerciseS: number;
  /** The instrument stopped here, seconds from the file's origin; null: it recorded to the end. */
  readonly cutAtS: number | null;
  readonly faults: readonly CameraFault[];
  readonly sessionOffsetC: number;
  readonly fate: TrialFate;
}

/** Four visits a week apart; each order equally often, so that no condition gains from practice. */
const orders: readonly (readonly ConditionName[])[] = [
  ["bare hands", "insulated gloves", "insulated gloves", "bare hands"],
  ["insulated gloves", "bare hands", "bare hands", "insulated gloves"],
  ["bare hands", "insulated gloves", "bare hands", "insulated gloves"],
  ["insulated gloves", "bare hands", "insulated gloves", "bare hands"],
];

/** Every weekday has its own operator with their own way of exporting. */
const dialectOfWeekday: readonly Dialect[] = [
  "comma-iso",
  "semicolon-german",
  "tab-fahrenheit",
  "pipe-long",
  "aligned-kelvin",
];
const startTimes = ["08:30:00", "10:00:00", "11:30:00", "13:30:00", "15:00:00"] as const;
const firstMonday = Date.parse("2025-03-03T00:00:00Z");
const dayMs = 86_400_000;

export function planVisits(seed: number, volunteerCount: number, special: Special): Visit[] {
  const random = seededRandom(seed, "visits");
  const order = random.shuffled(Array.from({ length: volunteerCount }, (_, i) => orders[i % 4] ?? []));
  const visits: Visit[] = [];
  for (let volunteerIndex = 0; volunteerIndex < volunteerCount; volunteerIndex += 1) {
    const seen = new Map<ConditionName, number>();
    (order[volunteerIndex] ?? []).forEach((condition, week) => {
      const occasion = seen.has(condition) ? 2 : 1;
      seen.set(condition, occasion);
      visits.push(planVisit(seed, { volunteerIndex, condition, occasion, week, special }));
    });
  }
  return withFaults(seed, withCameraFailure(visits));
}

interface VisitPlace {
  readonly volunteerIndex: number;
  readonly condition: ConditionName;
  readonly occasion: 1 | 2;
  readonly week: number;
  readonly special: Special;
}

function planVisit(seed: number, place: VisitPlace): Visit {
  const { volunteerIndex, condition, occasion, week, special } = place;
  const random = seededRandom(seed, `visit ${volunteerIndex} ${week}`);
  const weekday = volunteerIndex % 5;
  const day = new Date(firstMonday + (7 * week + weekday) * dayMs).toISOString().slice(0, 10);
  const usual = dialectOfWeekday[weekday] ?? "comma-iso";
  const asked = volunteerIndex === special.askedToStop && week === 1;
  const airTemperatureC = Math.round(10 * (23.1 + 0.8 * (random.uniform() - 0.5))) / 10;
  return {
    volunteerIndex,
    condition,
    occasion,
    startedAt: `${day}T${startTimes[Math.floor(volunteerIndex / 5) % startTimes.length]}Z`,
    room: {
      airTemperatureC,
      meanRadiantTemperatureC: Math.round(10 * (airTemperatureC - 0.3 + 0.6 * random.uniform())) / 10,
      relativeHumidityPercent: 38 + random.integer(15),
      airSpeedMS: (6 + random.integer(9)) / 100,
    },
    // In the last week the first operator packs the files, to save room.
    dialect: usual === "comma-iso" && week === 3 ? "comma-iso-gzip" : usual,
    leadS: 30 + 10 * random.integer(4),
    exerciseS: asked ? 840 : exerciseS,
    cutAtS: null,
    faults: [],
    sessionOffsetC: 0.25 * Math.max(-2, Math.min(2, random.normal())),
    fate: fateOf(volunteerIndex, week, special),
  };
}

function fateOf(volunteerIndex: number, week: number, special: Special): TrialFate {
  if (volunteerIndex === special.withdrewMidway && week >= 2) {
    return { kind: "not recorded", reason: "The volunteer withdrew before this visit" };
  }
  if (volunteerIndex === special.ill && week === 2) {
    return { kind: "not recorded", reason: "The volunteer was ill, and no other date was found" };
  }
  if (volunteerIndex === special.askedToStop && week === 1) {
    return { kind: "set aside", reason: "Stopped at the volunteer's request after 14 minutes of stepping" };
  }
  return { kind: "accepted" };
}

/** The first untroubled trial of the third week in the plain comma dialect loses its camera while stepping. */
function withCameraFailure(visits: readonly Visit[]): Visit[] {
  const failing = visits.findIndex(
    (visit) =>
      visit.dialect === "comma-iso" && visit.startedAt >= "2025-03-17" && visit.fate.kind === "accepted",
  );
  return visits.map((visit, i) =>
    i !== failing || visits.length < 40
      ? visit
      : {
          ...visit,
          cutAtS: visit.leadS + restS + 530,
          fate: {
            kind: "set aside",
            reason:
              "The camera stopped in the ninth minute of stepping; the file ends in the middle of a row",
          },
        },
  );
}

/** One accepted trial in twelve gets a recalibration step, another one in twelve a warm-up drift. */
function withFaults(seed: number, visits: readonly Visit[]): Visit[] {
  const random = seededRandom(seed, "camera faults");
  const sound = visits.flatMap((visit, i) => (visit.fate.kind === "accepted" ? [i] : []));
  const chosen = random.shuffled(sound);
  const each = Math.floor(sound.length / 12);
  const stepped = new Set(chosen.slice(0, each));
  const drifting = new Set(chosen.slice(each, 2 * each));
  return visits.map((visit, i) => {
    if (stepped.has(i)) {
      const size = (random.uniform() < 0.5 ? -1 : 1) * (0.4 + 0.8 * random.uniform());
      const atS = visit.leadS + 120 + 10 * random.integer((restS + exerciseS + 300) / 10);
      return { ...visit, faults: [{ kind: "recalibration step", atS, sizeC: Math.round(100 * size) / 100 }] };
    }
    if (drifting.has(i)) {
      const initialC = -(0.8 + 1.0 * random.uniform());
      return {
        ...visit,
        faults: [
          {
            kind: "warm-up drift",
            initialC: Math.round(100 * initialC) / 100,
            timeConstantS: 500 + 50 * random.integer(9),
          },
        ],
      };
    }
    return visit;
  });
}
