import { describe, expect, it } from "vitest";
import { recordAsPlanned } from "../src/imaging/policy";
import { emptyImagingSetup, type ImagingRecord, type ImagingSetup } from "../src/imaging/schema";
import { methodsParagraphs, type TrialOfMethods, yearOf } from "../src/methods/policy";
import { protocolContent } from "../src/protocol/schema";
import { spread } from "../src/sum-up";
import { readyContent } from "./ready-study";

/** All invented. */
const setup: ImagingSetup = {
  ...emptyImagingSetup(),
  camera: "An invented camera.",
  resolution: "640 × 480",
  cameraWarmUpMin: 45,
  emissivity: 0.98,
  distanceM: 1.5,
  viewAngleDeg: 0,
  posture: "Seated",
  referenceSource: { description: "A plate", temperatureC: 34, emissivity: 0.96 },
};

interface Change {
  readonly volunteerId?: string;
  readonly record?: Partial<ImagingRecord> | null;
  readonly imaging?: ImagingSetup;
  readonly airTemperatureC?: number | null;
  readonly trial?: Partial<TrialOfMethods>;
}

function trialOf({
  volunteerId = "a",
  record = {},
  imaging = setup,
  airTemperatureC = 23,
  trial = {},
}: Change) {
  const protocol = protocolContent.parse({ ...readyContent, imaging, preVisitRules: ["No coffee."] });
  return {
    volunteerId,
    sex: "female",
    ageYears: 30,
    heightCm: 170,
    massKg: 65,
    conditionName: "bare hands",
    protocolVersion: 1,
    protocol,
    facts: {
      protocol,
      record: record === null ? null : { ...recordAsPlanned(imaging, "09:30"), ...record },
      room: {
        airTemperatureC,
        meanRadiantTemperatureC: null,
        relativeHumidityPct: 40,
        airSpeedMS: 0.1,
      },
      volunteer: { sexStated: true, birthYear: 1990, bodyMeasures: true },
      fileClock: null,
    },
    ...trial,
  } satisfies TrialOfMethods;
}

function text(title: string, trials: readonly TrialOfMethods[]): string {
  const found = methodsParagraphs(trials).find((paragraph) => paragraph.title === title);
  if (found === undefined) throw new Error(`there is no paragraph ${title}`);
  return found.text;
}

describe("a spread in words", () => {
  // 22, 23, 24: mean 23, sum of squares 2, standard deviation √(2/2) = 1; worked out by hand.
  it("is mean ± standard deviation with lowest and highest value", () => {
    expect(spread([22, 23, 24], "°C", 1, { what: "trial", total: 3 })).toBe("23.0 ± 1.0 °C (22.0 to 24.0)");
    expect(spread([-2, null, -4], "°C", 1, { what: "trial", total: 3 })).toBe(
      "−3.0 ± 1.4 °C (−4.0 to −2.0), not recorded for 1 of 3 trials",
    );
  });

  it("is one number where all are the same, and says so where there is none", () => {
    expect(spread([1.5, 1.5], "m", 2, { what: "trial", total: 2 })).toBe("1.5 m");
    expect(spread([0], "°", 0, { what: "trial", total: 1 })).toBe("0°");
    expect(spread([0.98, null], "", 3, { what: "volunteer", total: 2 })).toBe(
      "0.98, not recorded for 1 of 2 volunteers",
    );
    expect(spread([null, null], "m", 2, { what: "trial", total: 2 })).toBe("not recorded");
    expect(spread([], "m", 2, { what: "trial", total: 0 })).toBe("not recorded");
  });
});

describe("the methods text", () => {
  it("is empty without trials", () => {
    expect(methodsParagraphs([])).toEqual([]);
  });

  it("counts volunteers once, whatever the number of their trials", () => {
    const trials = [
      trialOf({}),
      trialOf({ trial: { conditionName: "insulated gloves" } }),
      trialOf({ volunteerId: "b", trial: { sex: "male", ageYears: 34, heightCm: null } }),
    ];
    expect(text("Participants", trials)).toBe(
      "2 volunteers (1 female, 1 male) took part in 3 trials. Age, as the year of the trial less the year of birth: 32 ± 3 years (30 to 34). Height: 170 cm, not recorded for 1 of 2 volunteers. Mass: 65 kg.",
    );
    expect(text("Design", trials)).toContain(
      "Conditions: bare hands (2 trials); insulated gloves (1 trial). Phases as planned: Sitting (rest, 2 min), Stepping (exercise, 5 min), Standing (recovery, 3 min). Exercise load as planned: not stated in the protocol.",
    );
  });

  it("never tells a plan as if it had been carried out", () => {
    const trials = [trialOf({ record: null }), trialOf({ record: null, volunteerId: "b" })];
    const camera = text("Camera", trials);
    expect(camera).toContain("Warm-up before the first image: not recorded.");
    expect(camera).toContain("Emissivity set: not recorded.");
    expect(camera).toContain("Whether a reference source was in view was not recorded.");
    expect(camera).toContain("Calibration: not stated in the protocol.");
    const position = text("Position and skin", trials);
    expect(position).toContain("Distance: not recorded.");
    expect(position).toContain("Posture: not recorded.");
    const room = text("Room and acclimatisation", trials);
    expect(room).toContain("Time of day: not recorded.");
    expect(room).toContain("Mean radiant temperature: not recorded.");
    expect(
      methodsParagraphs(trials)
        .map((paragraph) => paragraph.text)
        .join(" "),
    ).not.toMatch(/45|1\.5|0\.98/);
  });

  it("says for how many trials something was not recorded, and where trials differ", () => {
    const trials = [
      trialOf({ record: { distanceM: 1.4, regionsDrawnBy: "operator 1", deviations: "Late." } }),
      trialOf({ record: { distanceM: 1.6, posture: "Standing", referenceInView: false } }),
      trialOf({ record: null, airTemperatureC: 24 }),
    ];
    expect(text("Position and skin", trials)).toBe(
      "Distance: 1.50 ± 0.14 m (1.40 to 1.60), not recorded for 1 of 3 trials. Share of the image that the body fills, as planned: not stated in the protocol. Angle of view from the perpendicular: 0°, not recorded for 1 of 3 trials. Posture: Seated (1 trial); Standing (1 trial); not recorded in 1 of 3 trials. Preparation of the skin: not recorded. Deviations from the protocol were written down in 1 of 3 trials.",
    );
    expect(text("Camera", trials)).toContain(
      "A reference source was in view in 1 of 3 trials, not recorded for 1 of 3 trials. The source: A plate. Its temperature: 34 °C. Its emissivity: 0.96.",
    );
    expect(text("Regions", trials)).toContain(
      "Regions were drawn by one person, not recorded for 2 of 3 trials.",
    );
    expect(text("Room and acclimatisation", trials)).toContain(
      "Air temperature: 23.3 ± 0.6 °C (23.0 to 24.0).",
    );
  });

  it("tells the versions of the protocol apart where they say different things", () => {
    const trials = [
      trialOf({}),
      trialOf({}),
      trialOf({ imaging: { ...setup, camera: "Another camera" }, trial: { protocolVersion: 2 } }),
    ];
    expect(text("Design", trials)).toContain(
      "The trials followed versions 1 (2 trials), 2 (1 trial) of the protocol.",
    );
    expect(text("Camera", trials)).toContain(
      "Maker and model: An invented camera (2 trials); Another camera (1 trial).",
    );
  });

  it("counts statements that differ from trial to trial instead of listing them", () => {
    const trials = ["a", "b", "c", "d", "e", "e"].map((posture) => trialOf({ record: { posture } }));
    expect(text("Position and skin", trials)).toContain(
      "Posture: 5 different statements, the most frequent in 2 of 6 trials: e.",
    );
  });

  it("says with its reason what does not apply, and nothing of the kind where everything does", () => {
    const trials = [
      trialOf({ imaging: { ...setup, notApplicable: { posture: "The trunk alone is seen." } } }),
      trialOf({ record: { notApplicable: { posture: "Lying." } } }),
    ];
    expect(text("Not applicable", trials)).toBe(
      "Posture: The trunk alone is seen (1 of 2 trials). Posture: Lying (1 of 2 trials).",
    );
    expect(methodsParagraphs([trialOf({})]).map(({ title }) => title)).not.toContain("Not applicable");
  });

  it("keeps what single volunteers named to itself, and only counts it", () => {
    const trials = [trialOf({ record: { outsideFactors: "Takes a medicine" } }), trialOf({})];
    expect(text("Before the visit", trials)).toBe(
      "Instructions to volunteers: No coffee. Asked about outside factors: not stated in the protocol. What volunteers named was written down in 1 of 2 trials.",
    );
    expect(JSON.stringify(methodsParagraphs(trials))).not.toContain("medicine");
  });
});

describe("the year of a moment", () => {
  it("is that with which it begins", () => {
    expect([yearOf("2025-03-03T08:30:00"), yearOf(null), yearOf("08:30")]).toEqual([2025, null, null]);
  });
});
