import { describe, expect, it } from "vitest";
import { type Content, contentOf, fieldsOf } from "./draft-form";
import { durationText, imagingItems, limitText, regionRows } from "./words";

const alwaysStop = "The volunteer asks to stop.";
const content: Content = {
  schema: 2,
  phases: [
    { key: "a", name: "Sitting", kind: "rest", durationS: 600 },
    { key: "b", name: "Sprint", kind: "exercise", durationS: 7 },
    { key: "c", name: "", kind: "recovery", durationS: null },
  ],
  conditions: [{ key: "bare", name: "Bare hands", description: "" }],
  occasions: 2,
  regions: [
    { regionId: "forearm-left-anterior", statistic: "mean" },
    { regionId: "hand-right-palmar", statistic: "mean" },
    { regionId: "forearm-left-anterior", statistic: "maximum" },
  ],
  exerciseLoad: "",
  roomLimits: {
    airTemperatureC: { min: 22, max: 24.5 },
    meanRadiantTemperatureC: { min: null, max: null },
    relativeHumidityPct: { min: null, max: 60 },
    airSpeedMS: { max: 0.2 },
  },
  imaging: {
    camera: "",
    resolution: "",
    accuracy: "",
    calibration: "",
    cameraWarmUpMin: null,
    emissivity: 0.98,
    reflectedTemperatureC: 23,
    reflectedTemperatureMethod: "",
    referenceSource: { description: "A plate", temperatureC: 34, emissivity: null },
    distanceM: null,
    frameSharePct: null,
    viewAngleDeg: 0,
    surroundings: "",
    acclimatisationMin: null,
    acclimatisation: "",
    posture: "",
    skinPreparation: "",
    outsideFactors: "",
    timeOfDay: "",
    regionDrawing: "",
    regionProgram: "",
    notes: "",
    notApplicable: { posture: "The trunk alone is seen." },
  },
  preVisitRules: ["No coffee.", "No cream."],
  stopCriteria: [alwaysStop, "Dizziness."],
  plannedOutcomes: [],
};

describe("the draft form", () => {
  it("gives back the content that it was opened with; the stop criterion that is always there is not typed", () => {
    const fields = fieldsOf(content, alwaysStop);
    expect(fields.stopCriteria).toBe("Dizziness.");
    expect({ ...contentOf(fields), stopCriteria: [alwaysStop, ...contentOf(fields).stopCriteria] }).toEqual(
      content,
    );
  });

  it("keeps a duration to the millisecond although it is typed in minutes", () => {
    for (const durationS of [1, 7, 45, 61, 599, 1200.5, 86_400]) {
      const phases = [{ key: "a", name: "x", kind: "rest" as const, durationS }];
      expect(contentOf(fieldsOf({ ...content, phases }, alwaysStop)).phases[0]?.durationS).toBe(durationS);
    }
  });

  it("drops empty lines and the spaces around a line", () => {
    const fields = { ...fieldsOf(content, alwaysStop), preVisitRules: "  No coffee. \n\n No cream.\n" };
    expect(contentOf(fields).preVisitRules).toEqual(["No coffee.", "No cream."]);
  });
});

describe("words of a protocol", () => {
  it("say durations and limits as people say them", () => {
    expect([5400, 600, 61, 0, null].map(durationText)).toEqual([
      "1 h 30 min",
      "10 min",
      "1 min 1 s",
      "0 s",
      "no duration yet",
    ]);
    expect(limitText(22, 24.5, "°C")).toBe("22 to 24.5 °C");
    expect([limitText(-5, null, "°C"), limitText(null, 0.2, "m/s"), limitText(null, null, "%")]).toEqual([
      "at least −5 °C",
      "at most 0.2 m/s",
      "no limit",
    ]);
  });

  it("gather the statistics of one region in one row", () => {
    expect(regionRows(content.regions)).toEqual([
      { regionId: "forearm-left-anterior", label: "Left forearm, anterior", statistics: ["mean", "maximum"] },
      { regionId: "hand-right-palmar", label: "Right hand, palmar", statistics: ["mean"] },
    ]);
  });

  it("give the imaging set-up without what was left open, and a zero as a number", () => {
    expect(imagingItems(content.imaging, [{ key: "posture", name: "Posture" }])).toEqual([
      { label: "Emissivity", value: "0.98" },
      { label: "Reflected temperature", value: "23 °C" },
      { label: "Reference source", value: "A plate, 34 °C" },
      { label: "Angle of view", value: "0°" },
      { label: "Does not apply", value: "Posture: The trunk alone is seen." },
    ]);
  });
});
