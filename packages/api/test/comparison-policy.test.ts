import { describe, expect, it } from "vitest";
import { answerComparison, type ComparisonInput, type TrialOfComparison } from "../src/comparison/policy";
import type { ComparisonSettings } from "../src/comparison/schema";

/**
 * Student's sleep data (Student 1908, Biometrika 6:1-25; R dataset `sleep`), taken as the outcome of ten volunteers in
 * two conditions. R 4: t.test(extra ~ group, paired) gives t = -4.0621, df = 9, p = 0.002833, interval -2.4598858 to
 * -0.7001142 (R's own reference output, tests/Examples/stats-Ex.Rout.save). Here the difference is the second minus the
 * first, so that the signs are turned.
 */
const sleep1 = [0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0];
const sleep2 = [1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4];

const settings: ComparisonSettings = {
  schema: 1,
  outcome: { measure: "change", regionId: "forearm-left-anterior" },
  conditions: ["one", "two"],
  occasion: "mean over occasions",
  course: "temperature",
  level: 0.95,
};

function trial(
  volunteer: number,
  conditionKey: string,
  value: number,
  more: Partial<TrialOfComparison> = {},
): TrialOfComparison {
  return {
    trialId: `${volunteer}${conditionKey}`,
    volunteerId: `v${volunteer}`,
    conditionKey,
    occasion: 1,
    state: "accepted",
    setAsideReason: null,
    outcome: { value, reason: null },
    baseline: 33,
    course: { fromS: -5, binS: 5, values: [33, 33 + value, 33 + 2 * value] },
    ...more,
  };
}

const sleepStudy: ComparisonInput = {
  settings,
  conditions: [
    { key: "one", name: "Drug 1" },
    { key: "two", name: "Drug 2" },
  ],
  occasions: 1,
  phases: [
    { name: "Rest", kind: "rest", durationS: 600 },
    { name: "Exercise", kind: "exercise", durationS: 1200 },
  ],
  binS: 5,
  volunteers: sleep1.map((_, i) => ({ volunteerId: `v${i}`, code: `V${i}`, excluded: null })),
  trials: sleep1.flatMap((value, i) => [trial(i, "one", value), trial(i, "two", sleep2[i] ?? 0)]),
};

describe("a comparison of two conditions", () => {
  it("gives R's paired t test of the sleep data", () => {
    const { test, effect } = answerComparison(sleepStudy);
    expect(test?.estimate).toBeCloseTo(1.58, 12);
    expect(test?.statistic).toBeCloseTo(4.062127683, 8);
    expect(test?.degreesOfFreedom).toBe(9);
    expect(test?.p).toBeCloseTo(0.002833, 6);
    expect(test?.interval.lower).toBeCloseTo(0.7001142, 7);
    expect(test?.interval.upper).toBeCloseTo(2.4598858, 7);
    expect(test?.means).toEqual([expect.closeTo(0.75, 12), expect.closeTo(2.33, 12)]);
    // dz = 1.58 / 1.2299955 (standard deviation of the differences).
    expect(effect?.estimate).toBeCloseTo(1.2845576, 6);
  });

  it("accounts for every expected trial: used or missing with its reason", () => {
    const trials = sleepStudy.trials
      .filter(({ trialId }) => trialId !== "3one")
      .map((candidate) =>
        candidate.trialId === "4two"
          ? { ...candidate, state: "set_aside" as const, setAsideReason: "camera stopped", outcome: null }
          : candidate.trialId === "5one"
            ? { ...candidate, state: "recorded" as const, outcome: null }
            : candidate.trialId === "6two"
              ? { ...candidate, outcome: { value: null, reason: "no rest phase" } }
              : candidate,
      );
    const volunteers = sleepStudy.volunteers.map((volunteer) =>
      volunteer.code === "V7" ? { ...volunteer, excluded: "Consent was withdrawn." } : volunteer,
    );
    const answer = answerComparison({ ...sleepStudy, trials, volunteers });
    expect(answer.missing.map(({ code, conditionKey, reason }) => [code, conditionKey, reason])).toEqual([
      ["V3", "one", "No trial was planned."],
      ["V4", "two", "Set aside: camera stopped"],
      ["V5", "one", "Recorded, not accepted yet."],
      ["V6", "two", "no rest phase"],
      ["V7", "one", "Consent was withdrawn."],
      ["V7", "two", "Consent was withdrawn."],
    ]);
    expect(answer.usedTrials + answer.missing.length).toBe(answer.expectedTrials);
    expect(answer.expectedTrials).toBe(20);
    expect(answer.test?.n).toBe(5);
    expect(answer.pairs.map(({ code }) => code)).toEqual(["V0", "V1", "V2", "V8", "V9"]);
  });

  it("says why there is no test, instead of a number", () => {
    const one = answerComparison({ ...sleepStudy, volunteers: sleepStudy.volunteers.slice(0, 1) });
    expect(one.test).toBeNull();
    expect(one.testUnavailable).toMatch(/at least 2 volunteers.*there is 1/);
    const same = answerComparison({
      ...sleepStudy,
      trials: sleepStudy.trials.map((candidate) => ({
        ...candidate,
        outcome: { value: candidate.conditionKey === "one" ? 1 : 2, reason: null },
      })),
    });
    expect(same.testUnavailable).toMatch(/same/);
  });

  it("averages a volunteer's occasions first, so that each volunteer counts once", () => {
    const trials = [
      trial(0, "one", 1, { trialId: "a" }),
      trial(0, "one", 3, { trialId: "b", occasion: 2 }),
      trial(0, "two", 0, { trialId: "c" }),
      trial(1, "one", 5, { trialId: "d" }),
      trial(1, "two", 1, { trialId: "e" }),
    ];
    const answer = answerComparison({
      ...sleepStudy,
      occasions: 2,
      volunteers: sleepStudy.volunteers.slice(0, 2),
      trials,
    });
    expect(answer.pairs.map(({ first, second, trials: counts }) => [first, second, counts])).toEqual([
      [2, 0, [2, 1]],
      [5, 1, [1, 1]],
    ]);
    const [first] = answer.course.conditions;
    expect(first.volunteers).toBe(2);
    expect(first.trials).toBe(3);
    expect(first.mean[1]).toBeCloseTo(33 + (2 + 5) / 2, 12);
    const secondOccasion = answerComparison({
      ...sleepStudy,
      settings: { ...settings, occasion: 2 },
      occasions: 2,
      volunteers: sleepStudy.volunteers.slice(0, 2),
      trials,
    });
    expect(secondOccasion.usedTrials).toBe(1);
  });

  it("puts courses that begin at different times onto one grid, and counts each bin", () => {
    const trials = [
      trial(0, "one", 1, { course: { fromS: -10, binS: 5, values: [30, 31, 32] } }),
      trial(1, "one", 1, { course: { fromS: 0, binS: 5, values: [36, 37] } }),
      trial(0, "two", 1),
      trial(1, "two", 1, { course: null }),
    ];
    const { course } = answerComparison({
      ...sleepStudy,
      volunteers: sleepStudy.volunteers.slice(0, 2),
      trials,
    });
    expect(course.timesS).toEqual([-7.5, -2.5, 2.5, 7.5]);
    expect(course.conditions[0].mean).toEqual([30, 31, 34, 37]);
    expect(course.conditions[0].n).toEqual([1, 1, 2, 1]);
    expect(course.conditions[0].lower[0]).toBeNull();
    expect(course.conditions[1].volunteers).toBe(1);
    expect(course.phases.map(({ startS }) => startS)).toEqual([-600, 0]);
  });

  it("takes bins together where a file was sampled too rarely to fill each, so that mean courses have no gaps", () => {
    // One file sampled every second, one every 10 s; bins of 5 s, from 20 s before exercise to 40 s after its start.
    const times = Array.from({ length: 12 }, (_, k) => -20 + 5 * k + 2.5);
    const often = { fromS: -20, binS: 5, values: times.map((time) => 30 + time / 100) };
    const rarely = {
      fromS: -15,
      binS: 5,
      values: times.slice(1).map((time, k) => (k % 2 === 0 ? 34 + time / 100 : Number.NaN)),
    };
    const trials = [
      trial(0, "one", 1, { trialId: "a", course: often }),
      trial(0, "one", 1, { trialId: "b", occasion: 2, course: rarely }),
      trial(1, "one", 1, { trialId: "c", course: often }),
      trial(0, "two", 1, { trialId: "d", course: often }),
      trial(1, "two", 1, { trialId: "e", course: rarely }),
    ];
    const { course } = answerComparison({
      ...sleepStudy,
      occasions: 2,
      volunteers: sleepStudy.volunteers.slice(0, 2),
      trials,
    });
    expect(course.binS).toBe(10);
    expect(course.timesS).toEqual([-15, -5, 5, 15, 25, 35]);
    for (const condition of course.conditions) {
      expect(condition.n).toEqual([2, 2, 2, 2, 2, 2]);
      expect(condition.lower.every((value) => value !== null)).toBe(true);
    }
    // By hand: bins of 10 s hold 30 + t/100 (often, at their middle t) and 34 + (t + 2.5)/100 (rarely: its second half).
    course.timesS.forEach((t, k) => {
      const [first, second] = course.conditions;
      expect(first.mean[k]).toBeCloseTo((30 + t / 100 + 34 + (t + 2.5) / 100) / 4 + (30 + t / 100) / 2, 10);
      expect(second.mean[k]).toBeCloseTo((30 + t / 100 + 34 + (t + 2.5) / 100) / 2, 10);
    });
  });

  it("keeps the study's bins where every file fills them, and makes none wider than a minute", () => {
    const sparse = [30, ...Array.from({ length: 39 }, () => Number.NaN), 31];
    const binSOf = (values: readonly number[]) =>
      answerComparison({
        ...sleepStudy,
        volunteers: sleepStudy.volunteers.slice(0, 1),
        trials: [trial(0, "one", 1, { course: { fromS: 0, binS: 5, values } })],
      }).course.binS;
    expect(binSOf([30, 31, 32, 33])).toBe(5);
    expect(binSOf([Number.NaN, Number.NaN])).toBe(5);
    expect(binSOf(sparse)).toBe(60);
  });

  it("draws change from each trial's own baseline when asked to", () => {
    const trials = [trial(0, "one", 1, { baseline: 30, course: { fromS: 0, binS: 5, values: [30, 31] } })];
    const { course } = answerComparison({
      ...sleepStudy,
      settings: { ...settings, course: "change from baseline" },
      volunteers: sleepStudy.volunteers.slice(0, 1),
      trials,
    });
    expect(course.conditions[0].mean).toEqual([0, 1]);
  });
});
