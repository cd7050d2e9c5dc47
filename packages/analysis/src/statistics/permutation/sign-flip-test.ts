import { AnalysisError } from "../../analysis-error";
import { checkCount, checkLevel } from "../numeric/check-option";
import type { Alternative, Interval } from "../result";
import { partialSums, partialSumsRoom } from "./partial-sums";
import { flipPatterns, GROUP, type Patterns } from "./subset-patterns";

export interface SignFlipMeasure {
  /** Mean difference. */
  readonly estimate: number;
  /** The means that the test does not reject, each measure taken alone. */
  readonly interval: Interval;
  /** One-sample t, the statistic whose maximum is controlled. */
  readonly statistic: number;
  readonly degreesOfFreedom: number;
  /** Of this measure taken alone. */
  readonly p: number;
  /** Corrected for all measures tested together, by the largest statistic. */
  readonly adjustedP: number;
  readonly n: number;
}

export interface SignFlipResult {
  readonly method: string;
  readonly measures: readonly SignFlipMeasure[];
  readonly permutations: number;
  /** Every flip was used. */
  readonly exact: boolean;
  /** Null when exact: nothing was drawn. */
  readonly seed: number | null;
  readonly alternative: Alternative;
  readonly n: number;
  readonly missing: number;
}

export interface SignFlipInput {
  /** One row per volunteer, one column per measure (region); NaN for a missing value. */
  readonly rows: readonly ArrayLike<number>[];
  readonly alternative?: Alternative;
  readonly level?: number;
  /** Flips to draw; all are used when there are no more than this. 10,000 unless given. */
  readonly permutations?: number;
  readonly seed?: number;
}

/** Ties with the observed statistic, up to rounding, count as as large. */
const TIE = 1e-10;
const NAME = "signFlipTest";

/**
 * Sign-flip permutation test of mean differences (Fisher 1935, The Design of Experiments, section 21), the signs of a whole
 * volunteer flipped together, so that the largest statistic over measures controls the error over all of them (Westfall &
 * Young 1993, single step). The interval inverts the test: its ends are ordered means of subsets (Hartigan 1969, JASA
 * 64:1303-1317).
 * @throws AnalysisError `empty`, `too few` below two values of a measure, `constant` when all its values are zero,
 * `unequal lengths`, `not finite`, `out of range`.
 */
export function signFlipTest(input: SignFlipInput): SignFlipResult {
  const { rows, alternative = "two-sided", level = 0.95, permutations = 10_000, seed = 1 } = input;
  checkLevel(level, NAME);
  checkCount(permutations, 1, "permutations", NAME);
  const prepared = prepare(rows);
  const { measures, values, present } = prepared;
  const patterns = flipPatterns(rows.length, permutations, seed);
  const sums = flippedSums(patterns, values, measures);
  // Volunteers not flipped less those flipped.
  const balances = flippedSums(patterns, present, measures);
  // Each listed flip stands for its opposite too when all are listed.
  const total = patterns.exact ? 2 * patterns.count : patterns.count;
  const signs = patterns.exact ? [1, -1] : [1];
  const t = (sum: number, m: number) => tOf(sum, prepared, m);
  const extreme = (value: number) =>
    alternative === "two-sided" ? Math.abs(value) : alternative === "less" ? -value : value;
  const observed = Array.from({ length: measures }, (_, m) => extreme(t(sums[m] as number, m)));
  const alone = new Float64Array(measures);
  const together = new Float64Array(measures);
  for (let row = 0; row < patterns.count; row++) {
    for (const sign of signs) {
      let largest = Number.NEGATIVE_INFINITY;
      for (let m = 0; m < measures; m++) {
        const value = extreme(t(sign * (sums[row * measures + m] as number), m));
        const bound = observed[m] as number;
        if (value >= bound - TIE * Math.abs(bound)) alone[m] = (alone[m] as number) + 1;
        if (value > largest) largest = value;
      }
      for (let m = 0; m < measures; m++) {
        const bound = observed[m] as number;
        if (largest >= bound - TIE * Math.abs(bound)) together[m] = (together[m] as number) + 1;
      }
    }
  }
  return {
    method: `sign-flip permutation test, ${patterns.exact ? "all flips" : "seeded draws"}, corrected by the largest t`,
    measures: Array.from({ length: measures }, (_, m) => {
      const n = prepared.n[m] as number;
      return {
        estimate: (sums[m] as number) / n,
        interval: invert(patterns, sums, balances, m, measures, n, total, level, alternative),
        statistic: t(sums[m] as number, m),
        degreesOfFreedom: n - 1,
        p: (alone[m] as number) / total,
        adjustedP: (together[m] as number) / total,
        n,
      };
    }),
    permutations: total,
    exact: patterns.exact,
    seed: patterns.seed,
    alternative,
    n: rows.length,
    missing: prepared.missing,
  };
}

interface Prepared {
  readonly measures: number;
  readonly values: readonly Float64Array[];
  readonly present: readonly Float64Array[];
  readonly n: Float64Array;
  readonly squares: Float64Array;
  readonly missing: number;
}

function prepare(rows: readonly ArrayLike<number>[]): Prepared {
  const measures = rows[0]?.length ?? 0;
  if (measures === 0)
    throw new AnalysisError("empty", NAME, "rows", "at least one volunteer and one measure");
  const n = new Float64Array(measures);
  const squares = new Float64Array(measures);
  const values: Float64Array[] = [];
  const present: Float64Array[] = [];
  rows.forEach((row, v) => {
    if (row.length !== measures) {
      throw new AnalysisError(
        "unequal lengths",
        NAME,
        "rows",
        `rows of ${measures} measures; row ${v} has ${row.length}`,
      );
    }
    const kept = new Float64Array(measures);
    const here = new Float64Array(measures);
    for (let m = 0; m < measures; m++) {
      const value = row[m] as number;
      if (Number.isNaN(value)) continue;
      if (!Number.isFinite(value)) {
        throw new AnalysisError("not finite", NAME, "rows", `finite values or NaN; row ${v} holds ${value}`);
      }
      kept[m] = value;
      here[m] = 1;
      n[m] = (n[m] as number) + 1;
      squares[m] = (squares[m] as number) + value * value;
    }
    values.push(kept);
    present.push(here);
  });
  for (let m = 0; m < measures; m++) {
    if ((n[m] as number) < 2) {
      throw new AnalysisError("too few", NAME, "rows", `at least two values of measure ${m}, not ${n[m]}`);
    }
    if (!((squares[m] as number) > 0)) {
      throw new AnalysisError("constant", NAME, "rows", `differences of measure ${m} that are not all zero`);
    }
  }
  const missing = rows.length * measures - n.reduce((total, count) => total + count, 0);
  return { measures, values, present, n, squares, missing };
}

function tOf(sum: number, { n, squares }: Prepared, m: number): number {
  const count = n[m] as number;
  const explained = (sum * sum) / count;
  const total = squares[m] as number;
  // The floor stands where all volunteers agree exactly and t would be infinite.
  const left = Math.max(total - explained, 1e-14 * total);
  return Math.sign(sum) * Math.sqrt((explained * (count - 1)) / left);
}

/** Sum of every measure in every flip, row by row. */
function flippedSums(
  { bytes, count, groups }: Patterns,
  values: readonly Float64Array[],
  measures: number,
): Float64Array {
  const tables = partialSumsRoom(values.length, measures);
  partialSums(values, measures, 1, tables);
  const sums = new Float64Array(count * measures);
  for (let row = 0; row < count; row++) {
    for (let g = 0; g < groups; g++) {
      const from = ((g << GROUP) + (bytes[row * groups + g] as number)) * measures;
      for (let m = 0; m < measures; m++) {
        sums[row * measures + m] = (sums[row * measures + m] as number) + (tables[from + m] as number);
      }
    }
  }
  return sums;
}

/**
 * A mean mu is rejected from below when few flips reach the observed sum of differences from mu, and a flip reaches it
 * exactly when the mean of the flipped volunteers does not exceed mu.
 */
function invert(
  patterns: Patterns,
  sums: Float64Array,
  balances: Float64Array,
  m: number,
  measures: number,
  n: number,
  total: number,
  level: number,
  alternative: Alternative,
): Interval {
  const observed = sums[m] as number;
  const means: number[] = [];
  for (let row = 0; row < patterns.count; row++) {
    const chosen = (n - (balances[row * measures + m] as number)) / 2;
    const chosenSum = (observed - (sums[row * measures + m] as number)) / 2;
    if (chosen > 0) means.push(chosenSum / chosen);
    if (patterns.exact && chosen < n) means.push((observed - chosenSum) / (n - chosen));
  }
  const ordered = Float64Array.from(means).sort();
  const outside = alternative === "two-sided" ? (1 - level) / 2 : 1 - level;
  const place = Math.floor(outside * total + 1e-9);
  return {
    lower:
      alternative === "less" || place < 1
        ? Number.NEGATIVE_INFINITY
        : (ordered[place - 1] ?? Number.NEGATIVE_INFINITY),
    upper:
      alternative === "greater" || place < 1
        ? Number.POSITIVE_INFINITY
        : (ordered[ordered.length - place] ?? Number.POSITIVE_INFINITY),
    level,
  };
}
