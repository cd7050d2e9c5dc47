import { describe, expect, it } from "vitest";
import {
  earthMoversDistance,
  type GroupedAnswer,
  kAnonymity,
  lDiversity,
  tCloseness,
} from "../src/privacy-measures";

const table = (groups: Record<string, readonly string[]>): GroupedAnswer[] =>
  Object.entries(groups).flatMap(([group, answers]) => answers.map((answer) => ({ group, answer })));

// The four-anonymous and the three-diverse inpatient tables of Machanavajjhala, Kifer, Gehrke and Venkitasubramaniam,
// "l-diversity: privacy beyond k-anonymity" (ACM TKDD 1, 2007), retold from memory; their measures computed by hand.
const fourAnonymous = table({
  "130**, below 30": ["heart", "heart", "viral", "viral"],
  "1485*, 40 and over": ["cancer", "heart", "viral", "viral"],
  "130**, 30 to 39": ["cancer", "cancer", "cancer", "cancer"],
});
const threeDiverse = table({
  "1305*, up to 40": ["heart", "viral", "cancer", "cancer"],
  "1485*, over 40": ["cancer", "heart", "viral", "viral"],
  "1306*, up to 40": ["heart", "viral", "cancer", "cancer"],
});
// A published three-anonymous table with the groups 1970/male/121 and 198*/human/12*.
const threeAnonymous = table({
  "1970, male, 121": ["cold", "obesity", "diabetes"],
  "198*, human, 12*": ["diabetes", "obesity", "diabetes", "cold"],
});
const k = (rows: readonly GroupedAnswer[]): number => kAnonymity(rows.map((row) => row.group));

describe("k-anonymity (Sweeney 2002)", () => {
  it("is the size of the smallest group", () => {
    expect(k(fourAnonymous)).toBe(4);
    expect(k(threeDiverse)).toBe(4);
    expect(k(threeAnonymous)).toBe(3);
  });

  it("has no value for an empty table", () => {
    expect(() => kAnonymity([])).toThrow("groups");
  });
});

describe("l-diversity (Machanavajjhala et al. 2007)", () => {
  it("is 1 when one group is homogeneous, however large k is", () => {
    expect(lDiversity(fourAnonymous)).toEqual({ distinct: 1, entropy: 1 });
  });

  it("counts distinct answers, and the effective number of answers from their entropy", () => {
    expect(lDiversity(threeDiverse).distinct).toBe(3);
    expect(lDiversity(threeDiverse).entropy).toBeCloseTo(2.828427, 6);
    expect(lDiversity(threeAnonymous).distinct).toBe(3);
    expect(lDiversity(threeAnonymous).entropy).toBeCloseTo(2.828427, 6);
  });
});

describe("t-closeness (Li, Li and Venkatasubramanian 2007)", () => {
  it("is the greatest distance of a group from the whole table, all answers equally far apart", () => {
    expect(tCloseness(fourAnonymous, { kind: "equal" })).toBeCloseTo(0.583333, 6);
    expect(tCloseness(threeDiverse, { kind: "equal" })).toBeCloseTo(0.166667, 6);
    expect(tCloseness(threeAnonymous, { kind: "equal" })).toBeCloseTo(0.095238, 6);
  });

  it("agrees with the paper's income example: 3k to 11k, groups {3, 4, 5} and {6, 8, 11}", () => {
    const incomes = ["3", "4", "5", "6", "7", "8", "9", "10", "11"];
    const overall = incomes.map(() => 1 / 9);
    const group = (...members: string[]): number[] =>
      incomes.map((income) => (members.includes(income) ? 1 / members.length : 0));
    expect(earthMoversDistance(group("3", "4", "5"), overall, "ordered")).toBeCloseTo(0.375, 12);
    expect(earthMoversDistance(group("6", "8", "11"), overall, "ordered")).toBeCloseTo(0.1667, 4);
    const rows = table({ a: ["3", "4", "5"], b: ["6", "8", "11"], c: ["7", "9", "10"] });
    expect(tCloseness(rows, { kind: "ordered", order: incomes })).toBeCloseTo(0.375, 12);
  });

  it("refuses an order that leaves out an answer", () => {
    expect(() => tCloseness(fourAnonymous, { kind: "ordered", order: ["heart"] })).toThrow("order");
  });
});
