import { createHash } from "node:crypto";
import { isRegionId } from "@acral/analysis/skin";
import { describe, expect, it } from "vitest";
import { dialects, type SimulatedTrial, simulateStudy } from "../src/index";

const study = simulateStudy({ seed: 20250303 });

function digest(bytes: Uint8Array): string {
  return createHash("sha256").update(bytes).digest("hex");
}

function fileOf(trial: SimulatedTrial | undefined): NonNullable<SimulatedTrial["file"]> {
  if (trial?.file == null) throw new Error("the trial has no file");
  return trial.file;
}

describe("the bytes", () => {
  it("are the same for the same seed, trial by trial in any order", () => {
    const again = simulateStudy({ seed: 20250303 });
    for (const index of [95, 3, 40]) {
      expect(digest(fileOf(again.trials[index]).bytes())).toBe(digest(fileOf(study.trials[index]).bytes()));
    }
  });

  it("differ for another seed", () => {
    const other = simulateStudy({ seed: 20250304 });
    expect(digest(fileOf(other.trials[3]).bytes())).not.toBe(digest(fileOf(study.trials[3]).bytes()));
  });

  it("do not change unnoticed, on this machine or another: one file of every dialect as first written", () => {
    const digests = dialects.map((dialect) => {
      const trial = study.trials.find(({ file }) => file?.dialect === dialect);
      return `${dialect} ${digest(fileOf(trial).bytes()).slice(0, 16)}`;
    });
    expect(digests).toMatchInlineSnapshot(`
      [
        "comma-iso 3af16758f8be9fb5",
        "comma-iso-gzip 3b4983379acec3e9",
        "semicolon-german 074700e753e0561a",
        "tab-fahrenheit 533622558dfd4147",
        "pipe-long a44260f37b487699",
        "aligned-kelvin f2f60386d802735b",
      ]
    `);
  });

  it("are some hundred kB a file and under 40 MB together", () => {
    let total = 0;
    for (const { file } of study.trials) {
      if (file === null) continue;
      const { length } = file.bytes();
      expect(length).toBeGreaterThan(50_000);
      expect(length).toBeLessThan(400_000);
      total += length;
    }
    expect(total).toBeLessThan(40_000_000);
  });
});

describe("the scenario", () => {
  it("has 24 volunteers, four visits each, two per condition", () => {
    expect(study.volunteers).toHaveLength(24);
    expect(study.trials).toHaveLength(96);
    const names = study.trials.flatMap(({ file }) => (file === null ? [] : [file.name]));
    expect(new Set(names).size).toBe(names.length);
    for (let v = 0; v < 24; v += 1) {
      const visits = study.trials.filter(({ volunteerIndex }) => volunteerIndex === v);
      expect(new Set(visits.map(({ condition, occasion }) => `${condition} ${occasion}`)).size).toBe(4);
      const starts = visits.map(({ startedAt }) => startedAt);
      expect(starts).toEqual(starts.toSorted());
    }
  });

  it("begins half of the volunteers with either condition", () => {
    const first = study.trials.filter((_, i) => i % 4 === 0).map(({ condition }) => condition);
    expect(first.filter((condition) => condition === "bare hands")).toHaveLength(12);
  });

  it("names no contact outside example.org, no name twice, and no birthday in another year", () => {
    expect(new Set(study.volunteers.map(({ identity }) => identity.name)).size).toBe(24);
    for (const { identity, birthYear } of study.volunteers) {
      expect(identity.contact).toMatch(/^[a-z.]+@example\.org$/);
      expect(identity.dateOfBirth.slice(0, 4)).toBe(String(birthYear));
      expect(2025 - birthYear).toBeGreaterThanOrEqual(19);
    }
  });

  it("records regions of the region catalogue only", () => {
    expect(study.protocol.regionIds.filter((id) => !isRegionId(id))).toEqual([]);
  });

  it("has consent signed before each visit, and no visit recorded after everything was withdrawn", () => {
    for (const trial of study.trials) {
      const volunteer = study.volunteers[trial.volunteerIndex];
      expect(Date.parse(volunteer?.signedAt ?? "")).toBeLessThan(Date.parse(trial.startedAt));
      const withdrawn =
        volunteer?.withdrawal?.scope === "all" ? Date.parse(volunteer.withdrawal.at) : Infinity;
      if (trial.file !== null) expect(Date.parse(trial.startedAt)).toBeLessThan(withdrawn);
    }
  });

  it("has withdrawals, refusals to share, a visit not made and trials set aside", () => {
    const scopes = study.volunteers.flatMap(({ withdrawal }) => (withdrawal ? [withdrawal.scope] : []));
    expect(scopes.toSorted()).toEqual(["all", "all", "share anonymised numbers"]);
    expect(study.volunteers.filter(({ decisions }) => !decisions["share anonymised numbers"])).toHaveLength(
      3,
    );
    const fates = study.trials.map(({ fate }) => fate.kind);
    expect(fates.filter((kind) => kind === "not recorded")).toHaveLength(3);
    expect(fates.filter((kind) => kind === "set aside")).toHaveLength(2);
    for (const { fate, file } of study.trials) expect(file === null).toBe(fate.kind === "not recorded");
  });

  it("keeps every room within the protocol's limits", () => {
    const { airTemperatureC, relativeHumidityPercent, airSpeedMS } = study.protocol.roomLimits;
    for (const { room } of study.trials) {
      for (const [value, [low, high]] of [
        [room.airTemperatureC, airTemperatureC],
        [room.relativeHumidityPercent, relativeHumidityPercent],
        [room.airSpeedMS, airSpeedMS],
      ] as const) {
        expect(value).toBeGreaterThanOrEqual(low);
        expect(value).toBeLessThan(high);
      }
    }
  });

  it("notes of most trials how their images were taken, forgets it in some, and says which camera was on late", () => {
    for (const [index, { file, imaging, startedAt }] of study.trials.entries()) {
      if (file === null) expect(imaging).toBeNull();
      if (imaging === null) continue;
      expect(startedAt).toContain(`T${imaging.timeOfDay}`);
      const late = study.truth.trial(index).cameraFaults.some(({ kind }) => kind === "warm-up drift");
      expect(imaging.cameraWarmUpMin < study.protocol.imaging.cameraWarmUpMin).toBe(late);
      expect(imaging.deviations !== "").toBe(late);
    }
    const noted = study.trials.flatMap(({ imaging }) => imaging ?? []);
    const forgotten = study.trials.filter(({ file, imaging }) => file !== null && imaging === null);
    expect(forgotten.length).toBeGreaterThan(0);
    expect(noted.length).toBeGreaterThan(80);
    expect(noted.some(({ skinPreparation }) => skinPreparation === "")).toBe(true);
    expect(noted.some(({ reflectedTemperatureC }) => reflectedTemperatureC === null)).toBe(true);
    expect(study.protocol.imaging.calibration).toBe("");
  });

  it("works for a handful of volunteers, of whom nobody leaves", () => {
    const small = simulateStudy({ seed: 1, volunteers: 3 });
    expect(small.trials).toHaveLength(12);
    expect(small.trials.every(({ fate }) => fate.kind === "accepted")).toBe(true);
  });

  it("refuses a study of none, of too many, or of a broken seed", () => {
    expect(() => simulateStudy({ seed: 1, volunteers: 0 })).toThrow(RangeError);
    expect(() => simulateStudy({ seed: 1, volunteers: 25 })).toThrow(RangeError);
    expect(() => simulateStudy({ seed: 0.5 })).toThrow(RangeError);
  });
});

describe("the file whose camera stopped", () => {
  const trial = study.trials.find(({ fate }) => fate.kind === "set aside" && fate.reason.includes("camera"));
  const file = fileOf(trial);

  it("ends in the middle of a row, while stepping", () => {
    const text = new TextDecoder().decode(file.bytes());
    const rows = text.split("\n");
    const cells = (row: string | undefined): number => row?.split(",").length ?? 0;
    expect(text.endsWith("\n")).toBe(false);
    expect(cells(rows.at(-1))).toBeLessThan(cells(rows[0]));
    expect(cells(rows.at(-2))).toBe(cells(rows[0]));
    expect(trial?.markers.map(({ name }) => name)).toEqual(["Rest", "Stepping"]);
  });
});

describe("the planted truth", () => {
  const complete = study.trials.flatMap(({ fate, markers }, index) =>
    fate.kind === "accepted" && markers.length === 4 ? [index] : [],
  );
  const truths = new Map(complete.map((index) => [index, study.truth.trial(index)]));

  it("has 15 volunteers who fall and rewarm, 6 who only fall, 3 who hardly fall", () => {
    const count = (kind: string): number =>
      study.truth.responses.filter((response) => response === kind).length;
    expect(count("falls then rewarms")).toBe(15);
    expect(count("falls without rewarming")).toBe(6);
    expect(count("hardly falls")).toBe(3);
  });

  it("tells the kinds apart in every trial of every hand: fall from 0.5 °C, rewarming from 0.5 °C", () => {
    for (const [index, truth] of truths) {
      const response = study.truth.responses[study.trials[index]?.volunteerIndex ?? -1];
      for (const id of ["hand-left-dorsal", "hand-right-dorsal"]) {
        const region = truth.regions.get(id);
        if (region === undefined) throw new Error(id);
        const found =
          region.fallC < 0.5
            ? "hardly falls"
            : region.rewarmingC < 0.5
              ? "falls without rewarming"
              : "falls then rewarms";
        expect(found).toBe(response);
      }
    }
  });

  it("rewarms forearms more with gloves on: between 0.2 and 0.5 °C on average over the volunteers", () => {
    const rewarming = (volunteer: number, condition: string): number => {
      const values = complete.flatMap((index) => {
        const trial = study.trials[index];
        if (trial?.volunteerIndex !== volunteer || trial.condition !== condition) return [];
        return [truths.get(index)?.regions.get("forearm-left-anterior")?.rewarmingC ?? Number.NaN];
      });
      return values.reduce((sum, value) => sum + value, 0) / values.length;
    };
    const differences = study.volunteers
      .map((_, v) => rewarming(v, "insulated gloves") - rewarming(v, "bare hands"))
      .filter((difference) => !Number.isNaN(difference));
    expect(differences.length).toBeGreaterThanOrEqual(23);
    const mean = differences.reduce((sum, value) => sum + value, 0) / differences.length;
    expect(mean).toBeGreaterThan(0.2);
    expect(mean).toBeLessThan(0.5);
  });

  it("puts camera faults on accepted trials only, seven of each kind", () => {
    const kinds = study.trials.flatMap((_, index) =>
      study.truth.trial(index).cameraFaults.map(({ kind }) => kind),
    );
    expect(kinds.filter((kind) => kind === "recalibration step")).toHaveLength(7);
    expect(kinds.filter((kind) => kind === "warm-up drift")).toHaveLength(7);
    for (const [index, { fate }] of study.trials.entries()) {
      if (fate.kind !== "accepted") expect(study.truth.trial(index).cameraFaults).toEqual([]);
    }
  });

  it("is what the files say, within the camera's noise, where the camera had no fault", () => {
    const index = complete.find((i) => truths.get(i)?.cameraFaults.length === 0) ?? -1;
    const truth = truths.get(index);
    const series = fileOf(study.trials[index]).series();
    const startS = study.trials[index]?.markers[1]?.atS ?? Number.NaN;
    for (const { target, values } of series.traces) {
      if (target.kind !== "region" || target.statistic !== "mean") continue;
      const atRest = values.filter((_, i) => {
        const timeS = series.timesS[i] ?? 0;
        return timeS >= startS - 120 && timeS < startS;
      });
      const mean = atRest.reduce((sum, value) => sum + value, 0) / atRest.length;
      const baseline =
        (truth?.regions.get(target.regionId)?.baselineC ?? Number.NaN) + (truth?.sessionOffsetC ?? 0);
      expect(Math.abs(mean - baseline)).toBeLessThan(0.15);
    }
  });
});
