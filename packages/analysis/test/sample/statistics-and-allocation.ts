import * as allocation from "../../src/allocation";
import * as statistics from "../../src/statistics";
import { drawn, type EveryFunction } from "./every-function";

const generator = statistics.seededGenerator(11);
const first = drawn(generator, 12);
const second = drawn(generator, 12);
const rows = Array.from({ length: 9 }, () => drawn(generator, 4));
const pValues = first.map((value) => value / 2);
const outcome = drawn(generator, 36);
const volunteers = outcome.map((_, i) => `V${i % 12}`);
const time = outcome.map((_, i) => Math.floor(i / 12));
const group = outcome.map((_, i) => (i % 3 === 0 ? "warm" : "cool"));
const courses = Array.from({ length: 15 }, () => [drawn(generator, 40), drawn(generator, 40)]);
const shifted = courses.map((volunteer) => volunteer.map((course) => course.map((value) => value - 0.9)));
const model = (randomSlope: boolean, estimation: "REML" | "ML") =>
  statistics.mixedModel({
    outcome,
    volunteers,
    variables: { time, group },
    terms: ["time", "group", ["time", "group"]],
    estimation,
    predictAt: [{ time: 1, group: "warm" }],
    ...(randomSlope ? { randomSlope: "time" } : {}),
  });

export const statisticsSamples: EveryFunction<typeof statistics> = {
  describe: () => statistics.describe(first),
  quantiles: () => statistics.quantiles(first, [0.1, 0.33, 0.9]),
  meanCourse: () => statistics.meanCourse(rows),
  tTest: () => [
    statistics.tTest({ kind: "one-sample", values: first }),
    statistics.tTest({ kind: "paired", first, second }),
    statistics.tTest({ kind: "welch", first, second }),
    statistics.tTest({ kind: "pooled", first, second }),
  ],
  cohensD: () => statistics.cohensD({ first, second }),
  hedgesG: () => statistics.hedgesG({ first, second }),
  cohensDz: () => statistics.cohensDz({ first, second }),
  wilcoxonSignedRank: () =>
    [true, false].map((exact) => statistics.wilcoxonSignedRank({ first, second, exact })),
  wilcoxonRankSum: () => [true, false].map((exact) => statistics.wilcoxonRankSum({ first, second, exact })),
  adjustPValues: () =>
    (["holm", "hochberg", "benjamini-hochberg", "benjamini-yekutieli"] as const).map((adjustment) =>
      statistics.adjustPValues(pValues, adjustment),
    ),
  shareInterval: () =>
    (["exact", "wilson", "jeffreys"] as const).map((kind) =>
      statistics.shareInterval({ count: 7, n: 12, kind }),
    ),
  oneWayAnalysis: () => statistics.oneWayAnalysis([first, second, rows.flat()]),
  repeatedMeasuresAnalysis: () => [
    statistics.repeatedMeasuresAnalysis({ rows, within: [{ name: "time", levels: 4 }] }),
    statistics.repeatedMeasuresAnalysis({
      rows,
      within: [
        { name: "site", levels: 2 },
        { name: "time", levels: 2 },
      ],
      between: { name: "group", groups: rows.map((_, i) => (i % 2 === 0 ? "cool" : "warm")) },
    }),
  ],
  friedmanTest: () => statistics.friedmanTest(rows),
  linearModel: () =>
    statistics.linearModel({ outcome, variables: { time, group }, terms: ["time", "group"] }),
  compareLinearModels: () =>
    statistics.compareLinearModels(
      statistics.linearModel({ outcome, variables: { time, group }, terms: ["time", "group"] }),
      statistics.linearModel({ outcome, variables: { time }, terms: ["time"] }),
    ),
  analysisOfCovariance: () => statistics.analysisOfCovariance({ outcome, group, covariates: { time } }),
  mixedModel: () => [model(true, "REML"), model(false, "ML")],
  likelihoodRatioTest: () => statistics.likelihoodRatioTest(model(true, "ML"), model(false, "ML")),
  intraclassCorrelation: () => statistics.intraclassCorrelation(rows),
  measurementError: () => statistics.measurementError(rows),
  limitsOfAgreement: () => statistics.limitsOfAgreement({ first, second }),
  limitsOfAgreementRepeated: () =>
    statistics.limitsOfAgreementRepeated({ first, second, volunteers: first.map((_, i) => `V${i % 4}`) }),
  pearsonCorrelation: () => statistics.pearsonCorrelation({ x: first, y: second }),
  spearmanCorrelation: () => statistics.spearmanCorrelation({ x: first, y: second }),
  kendallCorrelation: () => statistics.kendallCorrelation({ x: first, y: second }),
  bootstrapInterval: () =>
    (["percentile", "bca"] as const).map((kind) =>
      statistics.bootstrapInterval({
        samples: [first],
        statistic: ([sample]) => Float64Array.from(sample ?? []).reduce((sum, value) => sum + value, 0),
        kind,
        draws: 300,
      }),
    ),
  signFlipTest: () => statistics.signFlipTest({ rows: rows.map((row) => row.map((value) => value - 1)) }),
  clusterPermutationTest: () => [
    statistics.clusterPermutationTest({ kind: "paired", differences: shifted, permutations: 500 }),
    statistics.clusterPermutationTest({
      kind: "unpaired",
      first: courses.slice(0, 8),
      second: courses.slice(8),
      permutations: 500,
    }),
  ],
  singleCaseTest: () => statistics.singleCaseTest({ case: 2.1, controls: first }),
  tTestPower: () => statistics.tTestPower({ kind: "paired", difference: 0.5, standardDeviation: 1, n: 17 }),
  tTestSampleSize: () =>
    statistics.tTestSampleSize({ kind: "two-sample", difference: 0.5, standardDeviation: 1, power: 0.8 }),
  seededGenerator: () => {
    const { uniform, below, shuffle } = statistics.seededGenerator(2 ** 40 + 7);
    return [uniform(), below(1000), shuffle([1, 2, 3, 4, 5, 6, 7])];
  },
};

const conditions = ["bare", "covered", "warmed"];

export const allocationSamples: EveryFunction<typeof allocation> = {
  allocateOrders: () =>
    allocation.allocateOrders({
      volunteers: ["V1", "V2", "V3", "V4"],
      conditions,
      design: "williams",
      seed: 5,
    }),
  randomiseInBlocks: () =>
    allocation.randomiseInBlocks({ volunteers: volunteers.slice(0, 12), conditions, seed: 5 }),
  latinSquare: () => allocation.latinSquare(5, 7),
  williamsDesign: () => [allocation.williamsDesign(4), allocation.williamsDesign(5)],
  orderBalance: () => allocation.orderBalance([conditions, [...conditions].reverse()], conditions),
};
