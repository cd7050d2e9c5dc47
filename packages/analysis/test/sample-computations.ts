import { allocateOrders } from "../src/allocation";
import { regions } from "../src/skin";
import {
  bootstrapInterval,
  clusterPermutationTest,
  cohensDz,
  mixedModel,
  seededGenerator,
  tTest,
  tTestSampleSize,
  wilcoxonSignedRank,
} from "../src/statistics";

/**
 * A little of every kind of work, as text: run in Node and in a browser's worker it has to give the same bytes. All values are
 * made from a seed.
 */
export function sampleComputations(): string {
  const generator = seededGenerator(11);
  const values = (n: number) => Array.from({ length: n }, () => generator.uniform() + generator.uniform());
  const first = values(12);
  const second = values(12);
  const outcome = values(36);
  const volunteers = outcome.map((_, i) => `V${i % 12}`);
  const time = outcome.map((_, i) => Math.floor(i / 12));
  const courses = Array.from({ length: 15 }, () => [values(40), values(40)]);
  const { t, largestMasses, ...clusters } = clusterPermutationTest({
    kind: "paired",
    differences: courses.map((volunteer) => volunteer.map((course) => course.map((value) => value - 0.9))),
    permutations: 500,
  });
  return JSON.stringify([
    tTest({ kind: "welch", first, second }),
    cohensDz({ first, second }),
    wilcoxonSignedRank({ first, second }),
    tTestSampleSize({ kind: "paired", difference: 0.5, standardDeviation: 1, power: 0.8 }),
    mixedModel({ outcome, volunteers, variables: { time }, terms: ["time"], randomSlope: "time" }),
    bootstrapInterval({ samples: [first], statistic: ([sample]) => sample?.[0] ?? 0, draws: 200 }),
    [clusters, t.map((course) => [...course]), [...largestMasses]],
    allocateOrders({ volunteers: ["V1", "V2", "V3"], conditions: ["bare", "covered", "warmed"], seed: 5 }),
    regions.map(({ id }) => id),
  ]);
}
