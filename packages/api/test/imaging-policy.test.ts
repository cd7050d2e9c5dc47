import { describe, expect, it } from "vitest";
import { clockOf, recordAsPlanned, recordDiffers } from "../src/imaging/policy";
import { emptyImagingRecord, emptyImagingSetup, imagingRecord, imagingSetup } from "../src/imaging/schema";
import { emptyContent } from "../src/protocol/policy";
import { draftContent, protocolContent } from "../src/protocol/schema";
import {
  completenessOf,
  completenessOverTrials,
  countedItems,
  incompleteTrials,
  type ReportingFacts,
  reportingItems,
} from "../src/reporting/policy";
import type { ReportingItemKey } from "../src/reporting/schema";
import { readyContent } from "./ready-study";

/** A set-up and a record in which nothing is missing. All invented. */
const setup = imagingSetup.parse({
  ...emptyImagingSetup(),
  camera: "An invented camera",
  resolution: "640 × 480",
  accuracy: "±2 °C",
  calibration: "Checked in January against a plate",
  cameraWarmUpMin: 45,
  emissivity: 0.98,
  reflectedTemperatureC: 23,
  reflectedTemperatureMethod: "Crumpled foil",
  referenceSource: { description: "A plate", temperatureC: 34, emissivity: 0.96 },
  distanceM: 1.5,
  frameSharePct: 60,
  viewAngleDeg: 0,
  surroundings: "No radiator within 3 m",
  acclimatisationMin: 15,
  posture: "Seated",
  skinPreparation: "Not wiped",
  regionDrawing: "Polygons over landmarks",
  regionProgram: "An invented program",
});
const record = {
  ...recordAsPlanned(setup, "09:30"),
  outsideFactors: "Nothing named",
  cameraUnit: "Camera 1",
  regionsDrawnBy: "operator 1",
};
const room = { airTemperatureC: 23, meanRadiantTemperatureC: 23, relativeHumidityPct: 40, airSpeedMS: 0.1 };
const complete: ReportingFacts = {
  protocol: {
    imaging: setup,
    preVisitRules: ["No coffee."],
    regions: [{ regionId: "hand-left-dorsal", statistic: "mean" }],
  },
  record,
  room,
  volunteer: { sexStated: true, birthYear: 1990, bodyMeasures: true },
  fileClock: null,
};
const with_ = (change: Partial<ReportingFacts>): ReportingFacts => ({ ...complete, ...change });
const missingOf = (facts: ReportingFacts) =>
  completenessOf(facts)
    .items.filter(({ state }) => state === "missing")
    .map(({ key }) => key);

describe("the reporting items", () => {
  it("are the fifteen of Moreira et al. 2017 in their order (domain.md, from memory), and two that do not count among them", () => {
    expect(countedItems).toBe(15);
    expect(reportingItems.flatMap(({ number }) => number ?? [])).toEqual(
      Array.from({ length: 15 }, (_, index) => index + 1),
    );
    expect(reportingItems.filter(({ number }) => number === null).map(({ key }) => key)).toEqual([
      "reflected-temperature",
      "reference-source",
    ]);
  });

  it("are all recorded when everything is said", () => {
    expect(completenessOf(complete)).toMatchObject({ recorded: 15, missing: 0, notApplicable: 0 });
    expect(missingOf(complete)).toEqual([]);
  });

  it("are all missing when nothing is said", () => {
    const nothing = completenessOf({
      protocol: { ...emptyContent(), imaging: emptyImagingSetup() },
      record: null,
      room: {
        airTemperatureC: null,
        meanRadiantTemperatureC: null,
        relativeHumidityPct: null,
        airSpeedMS: null,
      },
      volunteer: { sexStated: false, birthYear: null, bodyMeasures: false },
      fileClock: null,
    });
    expect(nothing).toMatchObject({ recorded: 0, missing: 15, notApplicable: 0 });
    expect(nothing.items.every(({ state }) => state === "missing")).toBe(true);
  });

  const without = (field: keyof typeof record, value: unknown = "") =>
    with_({ record: { ...record, [field]: value } });
  const planless = (change: object) =>
    with_({ protocol: { ...complete.protocol, imaging: { ...setup, ...change } } });
  it.each<[ReportingItemKey, ReportingFacts]>([
    ["participants", with_({ volunteer: { ...complete.volunteer, birthYear: null } })],
    ["participants", with_({ volunteer: { ...complete.volunteer, sexStated: false } })],
    ["participants", with_({ volunteer: { ...complete.volunteer, bodyMeasures: false } })],
    ["instructions", with_({ protocol: { ...complete.protocol, preVisitRules: [] } })],
    ["outside-factors", without("outsideFactors")],
    ["room", with_({ room: { ...room, airTemperatureC: null } })],
    ["room", with_({ room: { ...room, relativeHumidityPct: null } })],
    ["surroundings", planless({ surroundings: "" })],
    ["camera", planless({ camera: "" })],
    ["camera", planless({ resolution: "" })],
    ["camera", planless({ accuracy: "" })],
    ["acclimatisation", without("acclimatisationMin", null)],
    ["warm-up", without("cameraWarmUpMin", null)],
    ["warm-up", planless({ calibration: "" })],
    ["distance", without("distanceM", null)],
    ["distance", planless({ frameSharePct: null })],
    ["angle", without("viewAngleDeg", null)],
    ["emissivity", without("emissivity", null)],
    ["time-of-day", without("timeOfDay", null)],
    ["posture", without("posture")],
    ["skin-preparation", without("skinPreparation")],
    ["regions", planless({ regionDrawing: "" })],
    ["regions", without("regionProgram")],
    ["regions", without("regionsDrawnBy")],
    ["reflected-temperature", without("reflectedTemperatureC", null)],
    ["reflected-temperature", planless({ reflectedTemperatureMethod: "" })],
    ["reference-source", without("referenceInView", null)],
    ["reference-source", without("referenceTemperatureC", null)],
    ["reference-source", planless({ referenceSource: { ...setup.referenceSource, emissivity: null } })],
  ])("tell that %s is missing as soon as one part of it is, and nothing else", (key, facts) => {
    expect(missingOf(facts)).toEqual([key]);
    const found = completenessOf(facts).items.find((item) => item.key === key);
    expect(found?.lacks).toHaveLength(1);
  });

  it("take an angle or a temperature of zero for a number", () => {
    expect(missingOf(without("viewAngleDeg", 0))).toEqual([]);
    expect(missingOf(without("referenceTemperatureC", 0))).toEqual([]);
  });

  it("take a plan for no record: without one, what belongs to the day is missing although the protocol says it", () => {
    expect(missingOf(with_({ record: null }))).toEqual([
      "outside-factors",
      "acclimatisation",
      "warm-up",
      "distance",
      "angle",
      "emissivity",
      "time-of-day",
      "posture",
      "skin-preparation",
      "regions",
      "reflected-temperature",
      "reference-source",
    ]);
  });

  it("take the time of day from the source file when the record does not say it", () => {
    expect(missingOf(with_({ record: { ...record, timeOfDay: null }, fileClock: "08:30" }))).toEqual([]);
  });

  it("ask nothing more of a reference source that was not in view", () => {
    const plan = { ...setup, referenceSource: { description: "", temperatureC: null, emissivity: null } };
    const none = { ...record, referenceInView: false, referenceTemperatureC: null };
    expect(missingOf(with_({ protocol: { ...complete.protocol, imaging: plan }, record: none }))).toEqual([]);
  });

  it("do not apply when protocol or trial gives a reason; the trial's reason goes first", () => {
    const facts = with_({
      protocol: { ...complete.protocol, imaging: { ...setup, notApplicable: { posture: "By the plan." } } },
      record: {
        ...record,
        posture: "",
        notApplicable: { posture: "On the day.", "reference-source": "None was at hand." },
      },
    });
    const found = completenessOf(facts);
    // Only the fifteen count.
    expect(found).toMatchObject({ recorded: 14, missing: 0, notApplicable: 1 });
    expect(found.items.find(({ key }) => key === "posture")).toMatchObject({
      state: "not applicable",
      reason: "On the day.",
    });
  });

  it("are counted over trials, with what is missing where and how often", () => {
    const trials = [complete, with_({ record: null }), without("posture")].map(completenessOf);
    const posture = completenessOverTrials(trials).find(({ key }) => key === "posture");
    expect(posture).toMatchObject({ recorded: 1, missing: 2, notApplicable: 0 });
    expect(posture?.lacks).toEqual([{ what: "the posture", place: "trial", trials: 2 }]);
    expect(completenessOverTrials([]).every((item) => item.recorded + item.missing === 0)).toBe(true);
  });

  it("name what every trial lacks once, and with each trial only what it lacks beside that", () => {
    const noCalibration = { ...complete.protocol, imaging: { ...setup, calibration: "" } };
    const trials = [
      { trialId: "a", label: "A", completeness: completenessOf(with_({ protocol: noCalibration })) },
      {
        trialId: "b",
        label: "B",
        completeness: completenessOf({ ...without("posture"), protocol: noCalibration }),
      },
    ];
    const told = incompleteTrials(trials);
    expect(told.missingEverywhere.map(({ key }) => key)).toEqual(["warm-up"]);
    expect(told.complete).toBe(1);
    expect(told.lacking.map(({ trialId, missing }) => [trialId, missing.map(({ key }) => key)])).toEqual([
      ["b", ["posture"]],
    ]);
    expect(incompleteTrials([])).toEqual({ missingEverywhere: [], lacking: [], complete: 0 });
  });
});

describe("an imaging record", () => {
  it("as planned leaves open what only the day can tell", () => {
    const planned = recordAsPlanned({ ...setup, outsideFactors: "Training, medicines" }, null);
    expect(planned).toMatchObject({
      cameraWarmUpMin: 45,
      distanceM: 1.5,
      referenceInView: true,
      referenceTemperatureC: 34,
      outsideFactors: "",
      cameraUnit: "",
      regionsDrawnBy: "",
      timeOfDay: null,
    });
    expect(imagingRecord.parse(planned)).toEqual(planned);
    expect(recordAsPlanned(emptyImagingSetup(), null)).toEqual(emptyImagingRecord());
  });

  it("is held against the protocol, number by number, where both say something", () => {
    expect(recordDiffers(setup, record)).toEqual([]);
    expect(recordDiffers(emptyImagingSetup(), record)).toEqual([]);
    expect(recordDiffers(setup, { ...record, distanceM: 1.45, referenceInView: false })).toEqual([
      { field: "distanceM", message: "The protocol says 1.5 m." },
      { field: "referenceInView", message: "The protocol has a reference source in view." },
    ]);
    expect(recordDiffers({ ...setup, viewAngleDeg: 0 }, { ...record, viewAngleDeg: 20 })).toEqual([
      { field: "viewAngleDeg", message: "The protocol says 0°." },
    ]);
  });

  it("refuses numbers that are none of a camera, a time that is none, and an item without a reason", () => {
    const refusal = (change: object) =>
      imagingRecord.safeParse({ ...record, ...change }).error?.issues[0]?.message ?? "accepted";
    expect(refusal({})).toBe("accepted");
    expect(refusal({ distanceM: 150 })).toMatch(/between 0.1 and 20 m/);
    expect(refusal({ viewAngleDeg: 91 })).toMatch(/between 0 and 90 °/);
    expect(refusal({ emissivity: 98 })).toMatch(/between 0.9 and 1/);
    expect(refusal({ cameraWarmUpMin: -1 })).toMatch(/between 0 and 480 min/);
    expect(refusal({ timeOfDay: "25:00" })).toMatch(/hours and minutes/);
    expect(refusal({ timeOfDay: "9:5" })).toMatch(/hours and minutes/);
    expect(refusal({ notApplicable: { posture: " " } })).toMatch(/Say why/);
    expect(refusal({ notApplicable: { hat: "None worn." } })).not.toBe("accepted");
  });

  it("takes the clock of a source file as the file says it", () => {
    expect(clockOf("2026-01-15T08:30:00.000+02:00")).toBe("08:30");
    expect(clockOf("2026-01-15T08:30:00.000")).toBe("08:30");
    expect(clockOf(null)).toBeNull();
  });
});

describe("a content of schema 1", () => {
  const old = {
    ...readyContent,
    schema: 1,
    imaging: {
      camera: "An old camera",
      emissivity: 0.97,
      distanceM: 2,
      cameraWarmUpMin: 30,
      referenceSurface: "A plate held at 34 °C",
      notes: "Taken over.",
    },
  };

  it("is still read, and keeps every word of what it said; what it could not say stays open", () => {
    for (const schema of [draftContent, protocolContent]) {
      const read = schema.parse(JSON.parse(JSON.stringify(old)));
      expect(read).toEqual({
        ...readyContent,
        schema: 2,
        imaging: {
          ...emptyImagingSetup(),
          camera: "An old camera",
          emissivity: 0.97,
          distanceM: 2,
          cameraWarmUpMin: 30,
          notes: "Taken over.",
          referenceSource: { description: "A plate held at 34 °C", temperatureC: null, emissivity: null },
        },
      });
      // What is written back is read the same.
      expect(schema.parse(read)).toEqual(read);
    }
  });

  it("is refused like any other when it is broken, and an unknown schema always", () => {
    expect(draftContent.safeParse({ ...old, occasions: 99 }).success).toBe(false);
    expect(draftContent.safeParse({ ...old, imaging: { ...old.imaging, emissivity: 0.2 } }).success).toBe(
      false,
    );
    expect(draftContent.safeParse({ ...readyContent, schema: 3 }).success).toBe(false);
    expect(draftContent.safeParse(null).success).toBe(false);
  });
});
