import { AnalysisError } from "../analysis-error";
import { square } from "../elementary";
import { normalLowerTail, normalQuantile } from "./distributions/normal";
import { checkCount, checkLevel } from "./numeric/check-option";
import { quantileOfSorted } from "./numeric/quantile";
import { usableValues } from "./numeric/usable-values";
import type { Interval } from "./result";
import { seededGenerator } from "./seeded-generator";

export interface BootstrapInput {
  /** One sample, or several that are drawn from independently. For pairs give their differences. */
  readonly samples: readonly ArrayLike<number>[];
  /** The statistic of the samples, for instance the mean, or the difference of two medians. */
  readonly statistic: (samples: readonly Float64Array[]) => number;
  readonly kind?: "percentile" | "bca";
  readonly draws?: number;
  readonly seed?: number;
  readonly level?: number;
}

export interface BootstrapResult {
  readonly method: string;
  readonly estimate: number;
  readonly interval: Interval;
  /** Standard deviation of the statistic over the draws. */
  readonly standardError: number;
  /** Mean of the statistic over the draws less the estimate. */
  readonly bias: number;
  readonly draws: number;
  readonly seed: number;
  readonly n: number;
  readonly missing: number;
}

/**
 * Bootstrap interval of any statistic (Efron & Tibshirani 1993, An Introduction to the Bootstrap): percentile, or corrected
 * for bias and acceleration (BCa, unless given; acceleration from the jackknife). Missing values are left out first.
 * @throws AnalysisError `empty`, `too few` below two values in a sample, `constant` when the statistic never varies,
 * `not finite` when it is not a number, `out of range`.
 */
export function bootstrapInterval(input: BootstrapInput): BootstrapResult {
  const { statistic, kind = "bca", draws = 10_000, seed = 1, level = 0.95 } = input;
  checkLevel(level, NAME);
  checkCount(draws, 100, "draws", NAME);
  if (input.samples.length === 0) throw new AnalysisError("empty", NAME, "samples", "at least one sample");
  const usable = input.samples.map((sample, i) => usableValues(sample, `samples[${i}]`, NAME, 2));
  const samples = usable.map(({ values }) => values);
  const evaluate = (given: readonly Float64Array[]) => {
    const value = statistic(given);
    if (Number.isFinite(value)) return value;
    throw new AnalysisError(
      "not finite",
      NAME,
      "statistic",
      `a statistic that is a number for every draw, not ${value}`,
    );
  };
  const estimate = evaluate(samples);
  const generator = seededGenerator(seed);
  const drawn = samples.map((sample) => new Float64Array(sample.length));
  const replicates = new Float64Array(draws);
  for (let draw = 0; draw < draws; draw++) {
    samples.forEach((sample, s) => {
      const target = drawn[s] as Float64Array;
      for (let i = 0; i < target.length; i++) target[i] = sample[generator.below(sample.length)] as number;
    });
    replicates[draw] = evaluate(drawn);
  }
  const mean = replicates.reduce((total, value) => total + value, 0) / draws;
  const spread = replicates.reduce((total, value) => total + square(value - mean), 0);
  if (!(spread > 0))
    throw new AnalysisError("constant", NAME, "samples", "samples in which the statistic varies");
  return {
    method: `bootstrap, ${kind === "bca" ? "bias-corrected and accelerated (BCa)" : "percentile"} interval`,
    estimate,
    interval:
      kind === "percentile"
        ? percentileInterval(replicates, level)
        : bcaInterval(replicates, estimate, jackknifeAcceleration(samples, evaluate), level),
    standardError: Math.sqrt(spread / (draws - 1)),
    bias: mean - estimate,
    draws,
    seed,
    n: samples.reduce((total, sample) => total + sample.length, 0),
    missing: usable.reduce((total, { missing }) => total + missing, 0),
  };
}

const NAME = "bootstrapInterval";

export function percentileInterval(replicates: Float64Array, level: number): Interval {
  const sorted = replicates.slice().sort();
  const outside = (1 - level) / 2;
  return { lower: quantileOfSorted(sorted, outside), upper: quantileOfSorted(sorted, 1 - outside), level };
}

/** Efron & Tibshirani 1993, equations 14.9 to 14.14. */
export function bcaInterval(
  replicates: Float64Array,
  estimate: number,
  acceleration: number,
  level: number,
): Interval {
  const sorted = replicates.slice().sort();
  const below = replicates.reduce((count, value) => count + (value < estimate ? 1 : 0), 0);
  // With every draw on one side the correction would be infinite; half a draw stands for none.
  const share = Math.min(Math.max(below, 0.5), replicates.length - 0.5) / replicates.length;
  const bias = normalQuantile(share);
  const end = (probability: number) => {
    const z = bias + normalQuantile(probability);
    return quantileOfSorted(sorted, normalLowerTail(bias + z / (1 - acceleration * z)));
  };
  const outside = (1 - level) / 2;
  return { lower: end(outside), upper: end(1 - outside), level };
}

/** From the statistic without each value in turn; several samples pool their influence values by size. */
export function jackknifeAcceleration(
  samples: readonly Float64Array[],
  statistic: (samples: readonly Float64Array[]) => number,
): number {
  let cubes = 0;
  let squares = 0;
  samples.forEach((sample, s) => {
    const without = Array.from(sample, (_, left) =>
      statistic(samples.map((other, o) => (o === s ? other.filter((_, i) => i !== left) : other))),
    );
    const mean = without.reduce((total, value) => total + value, 0) / without.length;
    for (const value of without) {
      const influence = ((sample.length - 1) / sample.length) * (mean - value);
      cubes += influence * influence * influence;
      squares += square(influence);
    }
  });
  return squares > 0 ? cubes / (6 * squares * Math.sqrt(squares)) : 0;
}
