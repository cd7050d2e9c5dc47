import { describe, expect, it } from "vitest";
import {
  exerciseStartS,
  markerProblems,
  markersByDurations,
  markersOutside,
  type PlannedPhase,
  phasesOf,
} from "../src/marker/policy";
import { emptyContent } from "../src/protocol/policy";
import {
  acceptanceLacks,
  regionsNotRecorded,
  roomOutside,
  stepAllowed,
  stepRefusal,
} from "../src/trial/policy";

const planned: PlannedPhase[] = [
  { key: "sit", name: "Sitting", kind: "rest", durationS: 600 },
  { key: "step", name: "Stepping", kind: "exercise", durationS: 1200 },
  { key: "stand", name: "Standing", kind: "recovery", durationS: 300 },
];
const placed = markersByDurations(planned, 30);

describe("the phases of a trial", () => {
  it("are placed by the protocol's durations one after the other, with an end", () => {
    expect(placed.map(({ phaseKey, atS }) => [phaseKey, atS])).toEqual([
      ["sit", 30],
      ["step", 630],
      ["stand", 1830],
      ["$end", 2130],
    ]);
    expect(markersByDurations([], 0)).toEqual([]);
  });

  it("each last to the next marker, and the last one to the end marker or to the end of the recording", () => {
    const ends = (markers = placed) =>
      phasesOf(markers, planned, 2400).map(({ startS, endS }) => [startS, endS]);
    expect(ends()).toEqual([
      [30, 630],
      [630, 1830],
      [1830, 2130],
    ]);
    expect(ends(placed.slice(0, 3)).at(-1)).toEqual([1830, 2400]);
  });

  it("count time from the first exercise phase, and without one there is no zero", () => {
    expect(exerciseStartS(phasesOf(placed, planned, 2400))).toBe(630);
    expect(exerciseStartS(phasesOf(placed.slice(0, 1), planned, 2400))).toBeNull();
  });

  it("that are not placed are left out, and so is a phase that would begin after the recording ends", () => {
    expect(phasesOf(placed.slice(0, 3), planned, 1000).map(({ key }) => key)).toEqual(["sit", "step"]);
    expect(phasesOf([], planned, 1000)).toEqual([]);
  });
});

describe("markers are refused", () => {
  const problemsOf = (markers: Parameters<typeof markerProblems>[0]) =>
    markerProblems(markers, planned).map(({ index, field }) => [index, field]);

  it("never when they follow the protocol, whatever the order in which they are listed", () => {
    expect(problemsOf(placed)).toEqual([]);
    expect(problemsOf([...placed].reverse())).toEqual([]);
    expect(problemsOf([...placed, { name: "Sensor moved", phaseKey: null, atS: 5 }])).toEqual([]);
  });

  it("when a phase begins before the one that the protocol puts first", () => {
    const swapped = placed.map((marker) => (marker.phaseKey === "step" ? { ...marker, atS: 10 } : marker));
    expect(problemsOf(swapped)).toEqual([[1, "atS"]]);
    const atOnce = placed.map((marker) => (marker.phaseKey === "step" ? { ...marker, atS: 30 } : marker));
    expect(problemsOf(atOnce)).toEqual([[1, "atS"]]);
  });

  it("when a phase is placed twice, is unknown, or a name is used twice", () => {
    expect(problemsOf([...placed, { name: "Again", phaseKey: "sit", atS: 2200 }])).toContainEqual([
      4,
      "phaseKey",
    ]);
    expect(problemsOf([{ name: "X", phaseKey: "swim", atS: 1 }])).toEqual([[0, "phaseKey"]]);
    expect(problemsOf([...placed, { name: " sitting", phaseKey: null, atS: 1 }])).toEqual([[4, "name"]]);
  });

  it("not for lying outside the recording: that is told", () => {
    expect(markersOutside(placed, { fromS: 0, toS: 2000 })).toEqual([
      expect.stringMatching(/"End" at 2130 s/),
    ]);
    expect(markersOutside(placed, { fromS: 0, toS: 2130 })).toEqual([]);
  });
});

describe("the room of a trial", () => {
  const limits = {
    ...emptyContent().roomLimits,
    airTemperatureC: { min: 22, max: 24 },
    airSpeedMS: { max: 0.2 },
  };
  const room = {
    airTemperatureC: 23,
    meanRadiantTemperatureC: null,
    relativeHumidityPct: 95,
    airSpeedMS: 0.2,
  };

  it("tells which numbers lie outside the protocol's limits, and nothing of those without limits", () => {
    expect(roomOutside(room, limits)).toEqual([]);
    expect(
      roomOutside({ ...room, airTemperatureC: 21.9, airSpeedMS: 0.3 }, limits).map(({ field }) => field),
    ).toEqual(["airTemperatureC", "airSpeedMS"]);
  });
});

describe("the states of a trial", () => {
  it("an accepted trial and one that was set aside do not change before they are reopened", () => {
    for (const state of ["accepted", "set_aside"] as const) {
      expect(stepAllowed("change", state)).toBe(false);
      expect(stepAllowed("upload", state)).toBe(false);
      expect(stepAllowed("reopen", state)).toBe(true);
      expect(stepRefusal("upload", state)).toMatch(/Reopen it first/);
    }
  });

  it("only a planned trial can be discarded, and a planned one cannot be accepted", () => {
    expect(stepAllowed("discard", "planned")).toBe(true);
    expect(stepAllowed("discard", "recorded")).toBe(false);
    expect(stepAllowed("accept", "planned")).toBe(false);
  });

  const complete = {
    state: "recorded",
    consentMissing: null,
    files: [{ name: "a.csv", read: true }],
    markers: placed,
    planned,
    recording: { fromS: 0, toS: 2400 },
  } as const;

  it("acceptance lacks nothing when the file is read, the phases are placed and consent is in force", () => {
    expect(acceptanceLacks(complete)).toEqual([]);
  });

  it.each([
    ["a file", { files: [], recording: null }, /no source file/],
    ["the reading of a file", { files: [{ name: "a.csv", read: false }] }, /a\.csv is not read/],
    ["a phase", { markers: placed.slice(0, 2) }, /no marker for Standing/],
    ["consent", { consentMissing: "Withdrawn." }, /Withdrawn/],
    [
      "an exercise within the recording",
      { recording: { fromS: 700, toS: 2400 } },
      /begins at 630 s, outside/,
    ],
    ["another state", { state: "accepted" as const }, /is accepted/],
  ])("acceptance lacks %s", (_, change, message) => {
    expect(acceptanceLacks({ ...complete, ...change })).toEqual([expect.stringMatching(message)]);
  });
});

describe("what the protocol wanted recorded", () => {
  const planned = [
    { regionId: "forearm-left-anterior", statistic: "mean" },
    { regionId: "hand-left-dorsal", statistic: "mean" },
    { regionId: "chest-left-anterior", statistic: "mean" },
  ] as const;

  it("is said again where no file holds it, and where a file holds another statistic of it", () => {
    const recorded = [
      { regionId: "forearm-left-anterior", statistic: "mean" },
      { regionId: "hand-left-dorsal", statistic: "maximum" },
      { regionId: null, statistic: null },
    ];
    expect(regionsNotRecorded(planned, recorded)).toEqual([
      "Left hand, dorsal as mean (only as maximum)",
      "Left chest",
    ]);
  });

  it("is not lacking when every region is there with its statistic", () => {
    expect(regionsNotRecorded(planned, planned)).toEqual([]);
  });
});
