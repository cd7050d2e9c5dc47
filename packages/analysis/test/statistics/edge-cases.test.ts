import { describe, expect, it } from "vitest";
import {
  adjustPValues,
  bootstrapInterval,
  clusterPermutationTest,
  cohensD,
  cohensDz,
  friedmanTest,
  intraclassCorrelation,
  kendallCorrelation,
  limitsOfAgreement,
  limitsOfAgreementRepeated,
  linearModel,
  meanCourse,
  measurementError,
  oneWayAnalysis,
  pearsonCorrelation,
  quantiles,
  repeatedMeasuresAnalysis,
  signFlipTest,
  singleCaseTest,
  spearmanCorrelation,
  describe as summarise,
  tTest,
  wilcoxonRankSum,
  wilcoxonSignedRank,
} from "../../src/statistics";
import { expectClose } from "./close-to";
import { refusal } from "./refusal";

const two = (first: number[], second: number[]) => ({ first, second });

describe("no values, one value, two values", () => {
  it("describes nothing as nothing, and one value without a spread", () => {
    expect(summarise([])).toMatchObject({
      n: 0,
      mean: null,
      median: null,
      standardDeviation: null,
      interval: null,
    });
    expect(summarise([33.5])).toMatchObject({
      n: 1,
      mean: 33.5,
      median: 33.5,
      standardDeviation: null,
      interval: null,
    });
    expect(summarise([33, 34])).toMatchObject({ n: 2, mean: 33.5, variance: 0.5 });
  });

  it("refuses what needs more values, naming the argument", () => {
    const refused: [() => unknown, string][] = [
      [() => quantiles([], [0.5]), "empty: values"],
      [() => tTest({ kind: "one-sample", values: [] }), "empty: values"],
      [() => tTest({ kind: "one-sample", values: [33.5] }), "too few: values"],
      [() => tTest({ kind: "paired", ...two([1], [2]) }), "too few: first"],
      [() => tTest({ kind: "welch", ...two([1, 2], [2]) }), "too few: second"],
      [() => tTest({ kind: "pooled", ...two([1], [2]) }), "too few: first"],
      [() => cohensD(two([1], [2, 3])), "too few: first"],
      [() => cohensDz({ differences: [1] }), "too few: differences"],
      [() => wilcoxonSignedRank({ values: [] }), "empty: values"],
      [() => wilcoxonRankSum(two([], [1])), "empty: first"],
      [() => pearsonCorrelation({ x: [1, 2], y: [1, 2] }), "too few: x"],
      [() => spearmanCorrelation({ x: [1], y: [1] }), "too few: x"],
      [() => kendallCorrelation({ x: [], y: [] }), "empty: x"],
      [() => friedmanTest([]), "empty: rows"],
      [() => friedmanTest([[1, 2, 3]]), "too few: rows"],
      [() => intraclassCorrelation([[1, 2]]), "too few: rows"],
      [() => measurementError([[1], [2]]), "too few: rows"],
      [() => limitsOfAgreement(two([1], [2])), "too few: first"],
      [
        () => limitsOfAgreementRepeated({ ...two([1, 2], [2, 4]), volunteers: ["a", "b"] }),
        "too few: volunteers",
      ],
      [() => oneWayAnalysis([[1, 2]]), "too few: groups"],
      [() => oneWayAnalysis([[1], [2]]), "too few: groups"],
      [
        () => repeatedMeasuresAnalysis({ rows: [[1, 2]], within: [{ name: "A", levels: 2 }] }),
        "too few: rows",
      ],
      [() => singleCaseTest({ case: 3, controls: [1] }), "too few: controls"],
      [() => meanCourse([]), "empty: courses"],
      [() => signFlipTest({ rows: [[1]] }), "too few: rows"],
      [() => clusterPermutationTest({ kind: "paired", differences: [] }), "empty: differences"],
      [() => clusterPermutationTest({ kind: "paired", differences: [[[1, 2]]] }), "too few: first"],
      [() => bootstrapInterval({ samples: [[1]], statistic: () => 1 }), "too few: samples[0]"],
      [() => linearModel({ outcome: [1, 2], variables: { x: [1, 2] }, terms: ["x"] }), "too few: outcome"],
    ];
    expect(refused.map(([call]) => refusal(call))).toEqual(refused.map(([, words]) => words));
  });

  it("answers for two values where the method can", () => {
    expectClose(tTest({ kind: "one-sample", values: [1, 3] }).statistic, 2);
    expect(wilcoxonSignedRank({ values: [1, 2] }).p).toBe(0.5);
    expect(wilcoxonRankSum(two([1], [2])).p).toBe(1);
    expect(kendallCorrelation({ x: [1, 2], y: [3, 4] })).toMatchObject({ estimate: 1, p: 1 });
    expect(signFlipTest({ rows: [[1], [2]] })).toMatchObject({ exact: true, permutations: 4, seed: null });
  });
});

describe("values that do not vary", () => {
  const same = [33.5, 33.5, 33.5, 33.5, 33.5, 33.5];

  it("refuses to divide by nothing", () => {
    const refused: [() => unknown, string][] = [
      [() => tTest({ kind: "one-sample", values: same, hypothesis: 32.5 }), "constant: values"],
      [() => tTest({ kind: "paired", first: same, second: same }), "constant: first"],
      [
        () => tTest({ kind: "welch", first: same, second: same.map((value) => value + 1) }),
        "constant: first",
      ],
      [() => cohensD({ first: same, second: same.map((value) => value + 1) }), "constant: first"],
      [() => cohensDz({ differences: same }), "constant: differences"],
      [() => wilcoxonSignedRank({ values: [0, 0, 0] }), "constant: values"],
      [() => wilcoxonRankSum({ first: same, second: same }), "constant: first"],
      [() => pearsonCorrelation({ x: same, y: [1, 2, 3, 4, 5, 6] }), "constant: x"],
      [() => spearmanCorrelation({ x: [1, 2, 3, 4, 5, 6], y: same }), "constant: y"],
      [() => kendallCorrelation({ x: same, y: same }), "constant: x"],
      [
        () =>
          friedmanTest([
            [1, 1],
            [2, 2],
            [3, 3],
          ]),
        "constant: rows",
      ],
      [
        () =>
          intraclassCorrelation([
            [1, 1],
            [1, 1],
            [1, 1],
          ]),
        "constant: rows",
      ],
      [() => limitsOfAgreement({ first: same, second: same }), "constant: first"],
      [
        () =>
          oneWayAnalysis([
            [1, 1],
            [2, 2],
          ]),
        "constant: groups",
      ],
      [
        () =>
          repeatedMeasuresAnalysis({
            rows: [
              [1, 2],
              [3, 4],
            ],
            within: [{ name: "A", levels: 2 }],
          }),
        "constant: rows",
      ],
      [() => singleCaseTest({ case: 33, controls: same }), "constant: controls"],
      [() => signFlipTest({ rows: [[0], [0], [0]] }), "constant: rows"],
      [
        () => bootstrapInterval({ samples: [same], statistic: ([sample]) => sample?.[0] ?? 0 }),
        "constant: samples",
      ],
    ];
    expect(refused.map(([call]) => refusal(call))).toEqual(refused.map(([, words]) => words));
  });

  it("takes rounding for what it is: a spread of a few units in the last place is none", () => {
    const almost = [0.1 + 0.2, 0.3, 0.3, 0.1 + 0.2];
    expect(refusal(() => tTest({ kind: "one-sample", values: almost }))).toBe("constant: values");
  });

  it("describes them all the same", () => {
    expect(summarise(same)).toMatchObject({ mean: 33.5, standardDeviation: 0, medianAbsoluteDeviation: 0 });
  });

  it("leaves a bin without variation out of clusters", () => {
    const differences = [[[0, 1, 2]], [[0, 2, 3]], [[0, 1, 1]], [[0, 3, 2]]];
    const { t } = clusterPermutationTest({ kind: "paired", differences });
    expect(t[0]?.[0]).toBeNaN();
    expect(t[0]?.[1]).toBeGreaterThan(0);
  });
});

describe("missing values", () => {
  const gap = Number.NaN;

  it("are left out and counted", () => {
    expect(summarise([1, gap, 3])).toMatchObject({ n: 2, missing: 1, mean: 2 });
    expect(tTest({ kind: "one-sample", values: [1, gap, 3, 5] })).toMatchObject({
      n: 3,
      missing: 1,
      estimate: 3,
    });
    expect(tTest({ kind: "welch", ...two([1, 2, gap], [3, gap, 5, 7]) })).toMatchObject({
      sizes: [2, 3],
      missing: 2,
    });
    expect(wilcoxonRankSum(two([1, gap, 2], [3, 4]))).toMatchObject({ sizes: [2, 2], missing: 1 });
    expect(
      oneWayAnalysis([
        [1, 2, gap],
        [3, 5],
      ]),
    ).toMatchObject({ n: 4, missing: 1 });
    expect(
      bootstrapInterval({ samples: [[1, gap, 2, 4]], statistic: ([s]) => s?.[0] ?? 0, draws: 100 }),
    ).toMatchObject({ n: 3, missing: 1 });
  });

  it("take their partner with them where values are paired", () => {
    const first = [1, gap, 3, 4, 8];
    const second = [2, 2, gap, 6, 7];
    expect(tTest({ kind: "paired", first, second })).toMatchObject({ n: 3, missing: 2 });
    expect(wilcoxonSignedRank({ first, second })).toMatchObject({ n: 3, missing: 2 });
    expect(pearsonCorrelation({ x: first, y: second })).toMatchObject({ n: 3, missing: 2 });
    expect(limitsOfAgreement({ first, second })).toMatchObject({ n: 3, missing: 2 });
  });

  it("take the whole volunteer with them where every condition is needed", () => {
    const rows = [
      [1, 2, 4],
      [2, 1, gap],
      [3, 5, 4],
      [1, 4, 5],
    ];
    expect(friedmanTest(rows)).toMatchObject({ n: 3, missing: 1 });
    expect(intraclassCorrelation(rows)).toMatchObject({ n: 3, missing: 1 });
    expect(repeatedMeasuresAnalysis({ rows, within: [{ name: "A", levels: 3 }] })).toMatchObject({
      n: 3,
      missing: 1,
    });
  });

  it("count bin by bin in a mean course", () => {
    const course = meanCourse([
      [1, gap, gap],
      [3, 4, gap],
      [gap, 6, gap],
    ]);
    expect([...course.n]).toEqual([2, 2, 0]);
    expect([...course.mean]).toEqual([2, 5, gap]);
    expect(course.lower[2]).toBeNaN();
  });

  it("give a measure or a bin its own number of volunteers in a sign-flip test", () => {
    const rows = [
      [1, 2],
      [2, gap],
      [3, 4],
      [5, 1],
    ];
    const { measures, missing } = signFlipTest({ rows });
    expect(measures.map(({ n }) => n)).toEqual([4, 3]);
    expect(missing).toBe(1);
    expectClose(measures[1]?.statistic, tTest({ kind: "one-sample", values: [2, 4, 1] }).statistic);
    const { t } = clusterPermutationTest({ kind: "paired", differences: rows.map((row) => [row]) });
    expectClose(t[0]?.[1], tTest({ kind: "one-sample", values: [2, 4, 1] }).statistic);
  });

  it("take a bin out of an unpaired cluster test", () => {
    const { t, missing } = clusterPermutationTest({
      kind: "unpaired",
      first: [[[1, gap]], [[2, 3]]],
      second: [[[2, 1]], [[5, 4]]],
    });
    expect(missing).toBe(1);
    expect(t[0]?.[1]).toBeNaN();
    expectClose(t[0]?.[0], tTest({ kind: "pooled", ...two([1, 2], [2, 5]) }).statistic);
  });

  it("stay missing among p values and do not count", () => {
    expect(adjustPValues([0.01, gap, 0.02], "holm")).toEqual([0.02, gap, 0.02]);
  });
});
