import { describe, expect, it } from "vitest";
import {
  allocateOrders,
  latinSquare,
  orderBalance,
  randomiseInBlocks,
  williamsDesign,
} from "../../src/allocation";
import { AnalysisError } from "../../src/analysis-error";

const words = (orders: readonly number[][]) => orders.map((order) => order.map(String));
const names = (size: number) => Array.from({ length: size }, (_, i) => String(i));
const volunteers = (count: number) => Array.from({ length: count }, (_, i) => `V${i + 1}`);

describe("latinSquare", () => {
  it("holds every number once in each row and column, for every size", () => {
    for (let size = 1; size <= 9; size++) {
      const square = latinSquare(size, 5);
      const all = new Set(names(size).map(Number));
      for (let i = 0; i < size; i++) {
        expect(new Set(square[i])).toEqual(all);
        expect(new Set(square.map((row) => row[i]))).toEqual(all);
      }
    }
  });

  it("repeats itself for a seed and differs between seeds", () => {
    expect(latinSquare(5, 1)).toEqual(latinSquare(5, 1));
    expect(latinSquare(5, 1)).not.toEqual(latinSquare(5, 2));
  });
});

describe("williamsDesign", () => {
  it("balances positions and carry-over for every size, with size orders when even and twice as many when odd", () => {
    for (let size = 2; size <= 11; size++) {
      const design = williamsDesign(size);
      expect(design).toHaveLength(size % 2 === 0 ? size : 2 * size);
      const balance = orderBalance(words(design), names(size));
      expect(balance.positionsBalanced).toBe(true);
      expect(balance.carryOverBalanced).toBe(true);
      // Every succession once (even) or twice (odd): Williams 1949.
      expect(balance.carryOver[0]?.[1]).toBe(size % 2 === 0 ? 1 : 2);
    }
  });

  it("gives the square of four of the textbook construction 0 1 3 2", () => {
    // Williams 1949; the same square in Jones & Kenward 2014, Design and Analysis of Cross-Over Trials, section 4.2.
    expect(williamsDesign(4)).toEqual([
      [0, 1, 3, 2],
      [1, 2, 0, 3],
      [2, 3, 1, 0],
      [3, 0, 2, 1],
    ]);
  });

  it("tells a cyclic square, which is not balanced for carry-over, from one that is", () => {
    const cyclic = [
      [0, 1, 2, 3],
      [1, 2, 3, 0],
      [2, 3, 0, 1],
      [3, 0, 1, 2],
    ];
    expect(orderBalance(words(cyclic), names(4))).toMatchObject({
      positionsBalanced: true,
      carryOverBalanced: false,
    });
  });
});

describe("allocateOrders", () => {
  const conditions = ["bare hands", "covered hands", "warm room"];

  it("balances everything when volunteers fill their blocks", () => {
    const { orders, balance, blockSize } = allocateOrders({
      volunteers: volunteers(12),
      conditions,
      seed: 4,
    });
    expect(blockSize).toBe(6);
    expect(orders.map(({ volunteer }) => volunteer)).toEqual(volunteers(12));
    expect(balance).toMatchObject({ positionsBalanced: true, carryOverBalanced: true });
    expect(orders.map(({ block }) => block)).toEqual([1, 1, 1, 1, 1, 1, 2, 2, 2, 2, 2, 2]);
  });

  it("says so when they do not", () => {
    const { balance, orders } = allocateOrders({ volunteers: volunteers(4), conditions, seed: 4 });
    expect(orders).toHaveLength(4);
    expect(balance.carryOverBalanced).toBe(false);
  });

  it("balances positions with Latin squares", () => {
    const { balance } = allocateOrders({
      volunteers: volunteers(9),
      conditions,
      design: "latin square",
      seed: 4,
    });
    expect(balance.positionsBalanced).toBe(true);
  });

  it("repeats itself for a seed, and gives every order the same chance", () => {
    const first = (seed: number) =>
      allocateOrders({ volunteers: ["V1"], conditions, seed }).orders[0]?.order.join();
    expect(first(9)).toBe(first(9));
    const counts = new Map<string, number>();
    for (let seed = 0; seed < 1200; seed++)
      counts.set(first(seed) ?? "", (counts.get(first(seed) ?? "") ?? 0) + 1);
    expect(counts.size).toBe(6);
    // Chi-squared with 5 degrees of freedom: its 0.9999 quantile is 25.7 (R qchisq).
    const chiSquared = [...counts.values()].reduce((total, count) => total + (count - 200) ** 2 / 200, 0);
    expect(chiSquared).toBeLessThan(25.7);
  });

  it("refuses what it cannot allocate", () => {
    const refused = [
      () => allocateOrders({ volunteers: [], conditions, seed: 1 }),
      () => allocateOrders({ volunteers: ["V1"], conditions: ["one"], seed: 1 }),
      () => allocateOrders({ volunteers: ["V1", "V1"], conditions, seed: 1 }),
      () => allocateOrders({ volunteers: ["V1"], conditions, seed: -1 }),
      () => latinSquare(0, 1),
      () => williamsDesign(1),
    ];
    for (const call of refused) expect(call).toThrow(AnalysisError);
  });
});

describe("randomiseInBlocks", () => {
  const conditions = ["cool", "warm"];

  it("keeps the groups level after every block", () => {
    const { assignments, counts } = randomiseInBlocks({
      volunteers: volunteers(20),
      conditions,
      blockSizes: [4],
      seed: 3,
    });
    for (let end = 4; end <= 20; end += 4) {
      expect(assignments.slice(0, end).filter(({ condition }) => condition === "cool")).toHaveLength(end / 2);
    }
    expect(counts).toEqual({ cool: 10, warm: 10 });
  });

  it("keeps the groups level within each stratum", () => {
    const strata = volunteers(24).map((_, i) => (i % 3 === 0 ? "trained" : "untrained"));
    const { assignments } = randomiseInBlocks({
      volunteers: volunteers(24),
      conditions,
      blockSizes: [2, 4],
      strata,
      seed: 8,
    });
    for (const stratum of ["trained", "untrained"]) {
      const own = assignments.filter((assignment) => assignment.stratum === stratum);
      const cool = own.filter(({ condition }) => condition === "cool").length;
      expect(Math.abs(2 * cool - own.length)).toBeLessThanOrEqual(4);
    }
  });

  it("repeats itself for a seed", () => {
    const draw = (seed: number) =>
      randomiseInBlocks({ volunteers: volunteers(10), conditions, seed }).assignments;
    expect(draw(2)).toEqual(draw(2));
    expect(draw(2)).not.toEqual(draw(3));
  });

  it("refuses blocks that would not be level, and strata that do not match", () => {
    expect(() => randomiseInBlocks({ volunteers: ["V1"], conditions, blockSizes: [3], seed: 1 })).toThrow(
      AnalysisError,
    );
    expect(() => randomiseInBlocks({ volunteers: ["V1"], conditions, strata: [], seed: 1 })).toThrow(
      AnalysisError,
    );
  });
});
