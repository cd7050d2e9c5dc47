import { describe, expect, it } from "vitest";
import { assessDisclosure } from "../src/assess-disclosure";
import { publicReport } from "../src/public-report";
import type { ReleaseFrame } from "../src/release-input";
import { exampleFrame } from "./example-study";

const withVolunteers = (count: number): ReleaseFrame => {
  const frame = exampleFrame();
  const volunteers = frame.volunteers.slice(0, count);
  const keys = new Set(volunteers.map(({ key }) => key));
  return { ...frame, volunteers, trials: frame.trials.filter(({ volunteerKey }) => keys.has(volunteerKey)) };
};

describe("The disclosure report", () => {
  it("says what would be reached, beside how it stands with exact values", () => {
    const report = assessDisclosure(exampleFrame());
    expect(report.refusals).toEqual([]);
    expect(report.before).toEqual({ smallestGroup: 1, uniqueVolunteers: 9 });
    expect(report.after?.smallestGroup).toBeGreaterThanOrEqual(3);
    expect(report.after?.greatestRisk).toBe(1 / (report.after?.smallestGroup ?? 0));
    expect(report.groups.reduce((sum, { volunteers }) => sum + volunteers, 0)).toBe(
      report.volunteers.released,
    );
    for (const { volunteers } of report.groups) expect(volunteers).toBeGreaterThanOrEqual(3);
  });

  it("names the volunteers who would be left out, and the best choice without leaving anybody out", () => {
    const report = assessDisclosure(exampleFrame());
    expect(report.leftOut).toEqual([
      {
        key: "volunteer-8",
        reason: "shares sex, age, height and mass with fewer than 2 others even after coarsening",
      },
    ]);
    expect(report.volunteers).toEqual({ offered: 9, released: 8 });
    expect(report.trials).toEqual({ offered: 18, released: 16 });
    expect(report.withoutLeavingOut?.loss).toBeGreaterThan(report.loss);
    expect(report.warnings.join(" ")).toContain("1 of 9 volunteers left out");
  });

  it("says how much smaller the groups are for somebody who knows who did which trials", () => {
    const frame = exampleFrame();
    const absent = frame.trials.filter(({ key }) => key !== "trial-2-1");
    expect(assessDisclosure(frame).after?.smallestGroupKnowingTrials).toBeGreaterThanOrEqual(3);
    expect(assessDisclosure({ ...frame, trials: absent }).after?.smallestGroupKnowingTrials).toBe(1);
  });

  it("lists the measures that would give body size away", () => {
    expect(
      assessDisclosure(exampleFrame()).withheld.map(({ name, unit, count }) => ({ name, unit, count })),
    ).toEqual([
      { name: "heat loss", unit: "W", count: 16 },
      { name: "heat storage", unit: "W/m²", count: 16 },
    ]);
  });

  it("goes out as counts and choices only: no key of a volunteer, no row", () => {
    const report = assessDisclosure(exampleFrame());
    const text = JSON.stringify(publicReport(report, []));
    expect(text).not.toContain("volunteer-8");
    expect(text).not.toContain(report.fingerprint);
    expect(text).not.toContain("uniqueVolunteers");
  });
});

describe("A release is refused", () => {
  it("when fewer volunteers permit sharing than each is to be hidden among", () => {
    const report = assessDisclosure(withVolunteers(2));
    expect(report.after).toBeNull();
    expect(report.refusals).toEqual([
      {
        code: "too few volunteers",
        place: "volunteers",
        problem:
          "2 volunteers permit sharing, and the rule hides each among at least 3. Wait until 3 permit it; a smaller k hides people less well.",
      },
    ]);
  });

  it("when there is no trial to hand out", () => {
    const report = assessDisclosure({ ...exampleFrame(), trials: [] });
    expect(report.refusals.map(({ code }) => code)).toEqual(["no trials"]);
  });

  it("when free text names somebody, holds a date or an address, saying where but not what", () => {
    const frame = exampleFrame();
    const [first, second] = frame.protocol.conditions;
    if (!first || !second) throw new Error("The example has two conditions.");
    const report = assessDisclosure({
      ...frame,
      study: { title: "As Tanemura suggested", summary: "Since 12 March 2025; ask lab@mail.example" },
      protocol: { ...frame.protocol, conditions: [first, { ...second, description: "the gloves of v 003" }] },
    });
    expect(report.refusals.map(({ code, place }) => `${code}: ${place}`)).toEqual([
      "text: study, title",
      "text: study, summary",
      "text: study, summary",
      "text: protocol, condition 2, description",
    ]);
    expect(JSON.stringify(report.refusals)).not.toMatch(/tanemura|003|2025/i);
  });

  it("but not for a region's label that is also a volunteer's surname", () => {
    expect(exampleFrame().forbiddenStrings).toContain("Hand");
    expect(assessDisclosure(exampleFrame()).refusals).toEqual([]);
  });
});

describe("A contradictory input", () => {
  it.each<[string, (frame: ReleaseFrame) => ReleaseFrame]>([
    ["rule.k", (frame) => ({ ...frame, rule: { ...frame.rule, k: 1 } })],
    ["release.number", (frame) => ({ ...frame, release: { ...frame.release, number: 0 } })],
    [
      "volunteers",
      (frame) => ({ ...frame, volunteers: [...frame.volunteers, ...frame.volunteers.slice(0, 1)] }),
    ],
    ["trials[0].volunteerKey", (frame) => ({ ...frame, volunteers: frame.volunteers.slice(1) })],
    ["trials[0].conditionName", (frame) => ({ ...frame, protocol: { ...frame.protocol, conditions: [] } })],
    [
      "trials[0].measures[0].regionId",
      (frame) => ({ ...frame, protocol: { ...frame.protocol, regions: [] } }),
    ],
    [
      "trials[0].phases",
      (frame) => ({ ...frame, trials: frame.trials.map((trial) => ({ ...trial, phases: [] })) }),
    ],
    [
      "volunteers[0].heightCm",
      (frame) => ({ ...frame, volunteers: frame.volunteers.map((v) => ({ ...v, heightCm: Number.NaN })) }),
    ],
  ])("is refused by the name of its argument: %s", (argument, spoil) => {
    expect(() => assessDisclosure(spoil(exampleFrame()))).toThrow(expect.objectContaining({ argument }));
  });
});
