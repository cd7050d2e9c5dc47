import { describe, expect, it } from "vitest";
import {
  adjustPValues,
  bootstrapInterval,
  clusterPermutationTest,
  friedmanTest,
  intraclassCorrelation,
  limitsOfAgreementRepeated,
  linearModel,
  meanCourse,
  oneWayAnalysis,
  pearsonCorrelation,
  quantiles,
  repeatedMeasuresAnalysis,
  shareInterval,
  signFlipTest,
  singleCaseTest,
  describe as summarise,
  tTest,
  tTestPower,
  tTestSampleSize,
  wilcoxonRankSum,
  wilcoxonSignedRank,
} from "../../src/statistics";
import { expectClose } from "./close-to";
import { refusal } from "./refusal";

const two = (first: number[], second: number[]) => ({ first, second });

describe("values that cannot be", () => {
  it("are refused: infinite ones are a fault of the source and not missing", () => {
    const infinite = Number.POSITIVE_INFINITY;
    const refused: [() => unknown, string][] = [
      [() => summarise([1, infinite]), "not finite: values"],
      [() => tTest({ kind: "paired", ...two([1, 2], [3, -infinite]) }), "not finite: second"],
      [() => tTest({ kind: "one-sample", values: [1, 2], hypothesis: Number.NaN }), "not finite: hypothesis"],
      [() => meanCourse([[1, infinite]]), "not finite: courses"],
      [
        () =>
          friedmanTest([
            [1, infinite],
            [1, 2],
          ]),
        "not finite: rows",
      ],
      [() => singleCaseTest({ case: infinite, controls: [1, 2] }), "not finite: case"],
      [() => signFlipTest({ rows: [[infinite], [1]] }), "not finite: rows"],
      [
        () => clusterPermutationTest({ kind: "paired", differences: [[[infinite]], [[1]]] }),
        "not finite: differences",
      ],
      [
        () => linearModel({ outcome: [1, 2, 3], variables: { x: [1, infinite, 2] }, terms: ["x"] }),
        "not finite: x",
      ],
      [() => bootstrapInterval({ samples: [[1, 2]], statistic: () => Number.NaN }), "not finite: statistic"],
    ];
    expect(refused.map(([call]) => refusal(call))).toEqual(refused.map(([, words]) => words));
  });

  it("are refused: arrays that should run in parallel and do not", () => {
    const refused: [() => unknown, string][] = [
      [() => tTest({ kind: "paired", ...two([1, 2], [1]) }), "unequal lengths: second"],
      [() => pearsonCorrelation({ x: [1, 2, 3], y: [1, 2] }), "unequal lengths: y"],
      [() => meanCourse([[1, 2], [1]]), "unequal lengths: courses"],
      [() => friedmanTest([[1, 2], [1]]), "unequal lengths: rows"],
      [
        () =>
          repeatedMeasuresAnalysis({
            rows: [
              [1, 2],
              [2, 1],
            ],
            within: [{ name: "A", levels: 3 }],
          }),
        "unequal lengths: rows",
      ],
      [() => signFlipTest({ rows: [[1, 2], [1]] }), "unequal lengths: rows"],
      [
        () => clusterPermutationTest({ kind: "paired", first: [[[1]]], second: [[[1]], [[2]]] }),
        "unequal lengths: second",
      ],
      [
        () => linearModel({ outcome: [1, 2, 3], variables: { x: [1, 2] }, terms: ["x"] }),
        "unequal lengths: x",
      ],
      [
        () => limitsOfAgreementRepeated({ ...two([1, 2], [1, 2]), volunteers: ["a"] }),
        "unequal lengths: volunteers",
      ],
    ];
    expect(refused.map(([call]) => refusal(call))).toEqual(refused.map(([, words]) => words));
  });

  it("are refused: settings outside their range", () => {
    const refused: [() => unknown, string][] = [
      [() => summarise([1, 2], { level: 0 }), "out of range: level"],
      [() => quantiles([1, 2], [1.5]), "out of range: shares"],
      [() => shareInterval({ count: 3, n: 2 }), "out of range: count"],
      [() => shareInterval({ count: 0, n: 0 }), "out of range: n"],
      [() => adjustPValues([2], "holm"), "out of range: pValues"],
      [() => tTestPower({ kind: "paired", n: 1, difference: 1, standardDeviation: 1 }), "out of range: n"],
      [
        () => tTestPower({ kind: "paired", n: 5, difference: 1, standardDeviation: 0 }),
        "out of range: standardDeviation",
      ],
      [
        () => tTestSampleSize({ kind: "paired", difference: 0, standardDeviation: 1, power: 0.8 }),
        "out of range: difference",
      ],
      [
        () => tTestSampleSize({ kind: "paired", difference: 1, standardDeviation: 1, power: 1 }),
        "out of range: power",
      ],
      [() => signFlipTest({ rows: [[1], [2]], permutations: 0 }), "out of range: permutations"],
      [
        () => clusterPermutationTest({ kind: "paired", differences: [[[1]], [[2]]], clusterAlpha: 2 }),
        "out of range: clusterAlpha",
      ],
      [
        () =>
          linearModel({
            outcome: [1, 2, 3, 4],
            variables: { x: [1, 2, 3, 4], y: [2, 4, 6, 8] },
            terms: ["x", "y"],
          }),
        "refused: terms",
      ],
    ];
    expect(refused.map(([call]) => refusal(call))).toEqual(refused.map(([, words]) => words));
  });
});

describe("ties, zeros and far offsets", () => {
  it("counts zero differences apart in the signed-rank test", () => {
    expect(wilcoxonSignedRank({ values: [0, 1, 2, 0, -3] })).toMatchObject({ n: 5, zeros: 2 });
  });

  it("gives no interval to a rank-biserial correlation of one, where it would have no width", () => {
    const test = wilcoxonRankSum(two([4, 5, 6], [1, 2, 3]));
    expect(test.rankBiserial).toEqual({ estimate: 1, interval: null });
    expect(test.p).toBe(0.1);
  });

  it("keeps a perfect correlation within bounds and its p at nil", () => {
    expect(pearsonCorrelation({ x: [1, 2, 3, 4], y: [2, 4, 6, 8] })).toMatchObject({
      estimate: 1,
      p: 0,
      interval: null,
    });
  });

  it("loses nothing to an offset of a million", () => {
    // Steps of 1/64 survive the addition exactly, so that the results have to agree to the last digits.
    const x = [3, 7, 1, 9, 4, 6].map((value) => value / 64);
    const y = [2, 8, 3, 6, 5, 9].map((value) => value / 64);
    const far = (values: readonly number[]) => values.map((value) => value + 1e6);
    expectClose(summarise(far(x)).standardDeviation, summarise(x).standardDeviation as number, 1e-13);
    for (const kind of ["welch", "pooled", "paired"] as const) {
      const near = tTest({ kind, first: x, second: y });
      expectClose(tTest({ kind, first: far(x), second: far(y) }).p, near.p, 1e-9);
    }
    expectClose(
      pearsonCorrelation({ x: far(x), y: far(y) }).estimate,
      pearsonCorrelation({ x, y }).estimate,
      1e-12,
    );
    expectClose(oneWayAnalysis([far(x), far(y)]).statistic, oneWayAnalysis([x, y]).statistic, 1e-11);
    const rows = x.map((value, i) => [value, y[i] as number]);
    const icc = intraclassCorrelation(rows).forms["ICC(2,1)"].estimate;
    expectClose(intraclassCorrelation(rows.map(far)).forms["ICC(2,1)"].estimate, icc, 1e-8);
    const within = [{ name: "A", levels: 2 }];
    expectClose(
      repeatedMeasuresAnalysis({ rows: rows.map(far), within }).effects[0]?.statistic,
      repeatedMeasuresAnalysis({ rows, within }).effects[0]?.statistic as number,
      1e-10,
    );
  });
});

describe("seeds", () => {
  const rows = Array.from({ length: 20 }, (_, i) => [Math.sin(i) + 0.3, Math.cos(i)]);

  it("are part of the result and repeat it", () => {
    const once = signFlipTest({ rows, permutations: 500, seed: 7 });
    expect(once).toMatchObject({ exact: false, seed: 7, permutations: 501 });
    expect(signFlipTest({ rows, permutations: 500, seed: 7 })).toEqual(once);
    expect(signFlipTest({ rows, permutations: 500, seed: 8 }).measures).not.toEqual(once.measures);
    const draw = (seed: number) =>
      bootstrapInterval({
        samples: [rows.map((row) => row[0] as number)],
        statistic: ([s]) => s?.[3] ?? 0,
        seed,
        draws: 200,
      });
    expect(draw(3)).toEqual(draw(3));
    expect(draw(3).seed).toBe(3);
  });

  it("reports how far a cluster test has come", () => {
    const shares: number[] = [];
    clusterPermutationTest({
      kind: "paired",
      differences: rows.map((row) => [row, row]),
      permutations: 50,
      onProgress: (share) => shares.push(share),
    });
    expect(shares).toEqual([0.5, 1]);
  });
});
