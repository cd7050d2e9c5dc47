import { AnalysisError } from "../../analysis-error";
import { studentTQuantile } from "../distributions/student-t";
import { checkCount } from "../numeric/check-option";
import { blockBounds, chooseBlock } from "./block-bounds";
import { findClusters, type PointScale, raiseLargestMasses, tFromScaled } from "./cluster-masses";
import { partialSums, partialSumsRoom } from "./partial-sums";
import { flipPatterns, GROUP, memberPatterns, type Patterns } from "./subset-patterns";

/** courses[volunteer][region][bin], NaN for a missing value. */
export type Courses = readonly (readonly ArrayLike<number>[])[];

export type ClusterPermutationInput = {
  /** Two-sided level beyond which a bin counts towards a cluster; 0.05 unless given. It does not bear on the error rate. */
  readonly clusterAlpha?: number;
  /** Rearrangements to draw; all are used when there are no more than this. 10,000 unless given. */
  readonly permutations?: number;
  /** Starts the random draw; 1 unless given. */
  readonly seed?: number;
  /** Told the share of the work done, after each region. */
  readonly onProgress?: (share: number) => void;
} & (
  | { readonly kind: "paired"; readonly first: Courses; readonly second: Courses }
  | { readonly kind: "paired"; readonly differences: Courses }
  | { readonly kind: "unpaired"; readonly first: Courses; readonly second: Courses }
);

export interface FoundCluster {
  readonly region: number;
  /** First and last bin. A cluster says that the courses differ there, not exactly where the difference begins and ends. */
  readonly start: number;
  readonly end: number;
  /** Sum of t over its bins. */
  readonly mass: number;
  readonly p: number;
}

export interface ClusterPermutationResult {
  readonly method: string;
  readonly clusters: readonly FoundCluster[];
  /** t of every bin of each region; NaN where fewer than two volunteers have a value or none varies. */
  readonly t: readonly Float64Array[];
  /** Largest absolute cluster mass over all regions in each rearrangement, the observed one first. */
  readonly largestMasses: Float64Array;
  readonly permutations: number;
  /** Every rearrangement was used. */
  readonly exact: boolean;
  /** Null when exact: nothing was drawn. */
  readonly seed: number | null;
  readonly clusterAlpha: number;
  readonly n: number;
  /** Values left out because of NaN (paired), or bins (unpaired). */
  readonly missing: number;
}

/** Ties with the observed mass, up to rounding, count as as large. */
const TIE = 1 - 1e-9;

/**
 * Cluster-based permutation test over time (Maris & Oostenveld 2007, Journal of Neuroscience Methods 164:177-190): t at
 * every bin; neighbouring bins beyond the threshold on the same side form a cluster, its mass the sum of t; the largest
 * absolute mass over all bins and regions under rearrangement (sign flips of whole volunteers when paired, shuffles of the
 * group labels when unpaired) gives each cluster a p value corrected for all bins and regions.
 *
 * Missing values: paired, a bin uses the volunteers that have it; unpaired, a bin that anyone lacks takes no part.
 * @throws AnalysisError `too few` below two volunteers (in each group), `empty`, `unequal lengths`, `not finite`,
 * `out of range`.
 */
export function clusterPermutationTest(input: ClusterPermutationInput): ClusterPermutationResult {
  const { clusterAlpha = 0.05, permutations = 10_000, seed = 1, onProgress } = input;
  if (!(clusterAlpha > 0 && clusterAlpha < 1)) {
    throw new AnalysisError(
      "out of range",
      NAME,
      "clusterAlpha",
      `clusterAlpha between 0 and 1, not ${clusterAlpha}`,
    );
  }
  checkCount(permutations, 1, "permutations", NAME);
  const prepared = prepare(input, permutations, seed);
  const { patterns, regions } = prepared;
  const largestMasses = new Float64Array(patterns.count);
  const t: Float64Array[] = [];
  const found: { region: number; start: number; end: number; mass: number }[] = [];
  let missing = 0;
  // Room for one region after the other; the length of blocks is chosen on the first.
  const sums = partialSumsRoom(prepared.n, prepared.points);
  let block = 0;
  let bounds = new Float32Array(0);
  for (let region = 0; region < regions; region++) {
    const part = prepared.regionAt(region, clusterAlpha);
    missing += part.missing;
    const points = part.scale.r.length;
    partialSums(part.values, points, part.share, sums);
    if (block === 0) {
      block = chooseBlock(sums, points, patterns);
      bounds = new Float32Array((patterns.groups << GROUP) * 2 * Math.ceil(points / block));
    }
    blockBounds(sums, points, block, prepared.n, bounds);
    raiseLargestMasses(sums, points, patterns, part.scale, bounds, block, largestMasses);
    const observed = observedSums(sums, points, patterns);
    t.push(observed.map((sum, i) => (part.scale.df[i] === 0 ? Number.NaN : tFromScaled(sum, i, part.scale))));
    for (const cluster of findClusters(observed, part.scale)) found.push({ region, ...cluster });
    onProgress?.((region + 1) / regions);
  }
  return {
    method: `cluster-based permutation test, ${input.kind === "paired" ? "sign flips" : "shuffled labels"}, ${patterns.exact ? "all of them" : "seeded draws"}`,
    clusters: found.map((cluster) => ({
      ...cluster,
      p: shareAtLeast(largestMasses, Math.abs(cluster.mass)),
    })),
    t,
    largestMasses,
    permutations: patterns.count,
    exact: patterns.exact,
    seed: patterns.seed,
    clusterAlpha,
    n: prepared.n,
    missing,
  };
}

const NAME = "clusterPermutationTest";

function shareAtLeast(masses: Float64Array, mass: number): number {
  let count = 0;
  for (const other of masses) if (other >= mass * TIE) count++;
  return count / masses.length;
}

interface RegionPart {
  readonly values: readonly Float64Array[];
  readonly scale: PointScale;
  /** What a volunteer adds to the sum, and takes away when flipped. */
  readonly share: number;
  readonly missing: number;
}

interface Prepared {
  readonly n: number;
  readonly regions: number;
  readonly points: number;
  readonly patterns: Patterns;
  readonly regionAt: (region: number, clusterAlpha: number) => RegionPart;
}

function prepare(input: ClusterPermutationInput, permutations: number, seed: number): Prepared {
  if (input.kind === "paired") {
    const differences = "differences" in input ? checked(input.differences, "differences") : subtract(input);
    const n = differences.length;
    if (n < 2) throw new AnalysisError("too few", NAME, "first", `at least two volunteers, not ${n}`);
    return {
      n,
      regions: differences[0]?.length ?? 0,
      points: differences[0]?.[0]?.length ?? 0,
      patterns: flipPatterns(n, permutations, seed),
      regionAt: (region, alpha) =>
        pairedPart(
          differences.map((courses) => courses[region] as Float64Array),
          alpha,
        ),
    };
  }
  const first = checked(input.first, "first");
  const second = checked(input.second, "second");
  for (const [group, argument] of [
    [first, "first"],
    [second, "second"],
  ] as const) {
    if (group.length < 2) {
      throw new AnalysisError(
        "too few",
        NAME,
        argument,
        `at least two volunteers in ${argument}, not ${group.length}`,
      );
    }
  }
  requireSameShape(first, second);
  const all = [...first, ...second];
  return {
    n: all.length,
    regions: first[0]?.length ?? 0,
    points: first[0]?.[0]?.length ?? 0,
    patterns: memberPatterns(all.length, first.length, permutations, seed),
    regionAt: (region, alpha) =>
      unpairedPart(
        all.map((courses) => courses[region] as Float64Array),
        first.length,
        alpha,
      ),
  };
}

/**
 * Sign flips: the sum D of n signed differences has t = D sqrt(df k / (q - k D^2)) with k = 1 / n, df = n - 1 and q the sum
 * of squares, which no flip changes; n counts the volunteers who have the bin.
 */
function pairedPart(differences: readonly Float64Array[], alpha: number): RegionPart {
  const points = differences[0]?.length ?? 0;
  const scale = emptyScale(points);
  const values = differences.map(() => new Float64Array(points));
  let missing = 0;
  for (let i = 0; i < points; i++) {
    let n = 0;
    let squares = 0;
    for (const course of differences) {
      const value = course[i] as number;
      if (Number.isNaN(value)) continue;
      n++;
      squares += value * value;
    }
    missing += differences.length - n;
    if (n < 2 || !(squares > 0)) continue;
    const critical = setPoint(scale, i, 1 / n, squares, n - 1, alpha);
    differences.forEach((course, v) => {
      const value = course[i] as number;
      (values[v] as Float64Array)[i] = Number.isNaN(value) ? 0 : value / critical;
    });
  }
  return { values, scale, share: 1, missing };
}

/**
 * Two groups: the first group's sum D of deviations from the mean of all, which is half their sum with the second group's
 * signs turned because all deviations add up to nil, has t = D sqrt(df k / (q - k D^2)) with
 * k = N / (n1 n2), df = N - 2 and q the sum of squared deviations, which no shuffle changes.
 */
function unpairedPart(courses: readonly Float64Array[], size: number, alpha: number): RegionPart {
  const points = courses[0]?.length ?? 0;
  const n = courses.length;
  const scale = emptyScale(points);
  const values = courses.map(() => new Float64Array(points));
  let missing = 0;
  for (let i = 0; i < points; i++) {
    const origin = courses[0]?.[i] as number;
    let total = 0;
    for (const course of courses) total += (course[i] as number) - origin;
    if (Number.isNaN(total)) {
      missing++;
      continue;
    }
    const shift = total / n;
    let squares = 0;
    for (const course of courses) squares += ((course[i] as number) - origin - shift) ** 2;
    if (!(squares > 0)) continue;
    const critical = setPoint(scale, i, n / (size * (n - size)), squares, n - 2, alpha);
    courses.forEach((course, v) => {
      (values[v] as Float64Array)[i] = ((course[i] as number) - origin - shift) / critical;
    });
  }
  return { values, scale, share: -0.5, missing };
}

function emptyScale(points: number): PointScale {
  return { r: new Float64Array(points), df: new Float64Array(points) };
}

/** Sets a point's scale and gives the sum D at which |t| equals the threshold c: sqrt(c^2 q / (k (df + c^2))). */
function setPoint(scale: PointScale, i: number, k: number, q: number, df: number, alpha: number): number {
  const square = thresholdAt(df, alpha) ** 2;
  scale.df[i] = df;
  scale.r[i] = square / (df + square);
  return Math.sqrt((square * q) / (k * (df + square)));
}

const thresholds = new Map<string, number>();

function thresholdAt(df: number, alpha: number): number {
  const key = `${df} ${alpha}`;
  const known = thresholds.get(key);
  if (known !== undefined) return known;
  const threshold = studentTQuantile(alpha / 2, df, true);
  thresholds.set(key, threshold);
  return threshold;
}

/** The sums of the rearrangement in row 0, formed as those of all others. */
function observedSums(sums: Float64Array, points: number, { bytes, groups }: Patterns): Float64Array {
  const observed = new Float64Array(points);
  for (let g = 0; g < groups; g++) {
    const from = ((g << GROUP) + (bytes[g] as number)) * points;
    for (let i = 0; i < points; i++) observed[i] = (observed[i] as number) + (sums[from + i] as number);
  }
  return observed;
}

function subtract(input: { readonly first: Courses; readonly second: Courses }): Float64Array[][] {
  const first = checked(input.first, "first");
  const second = checked(input.second, "second");
  if (first.length !== second.length) {
    throw new AnalysisError(
      "unequal lengths",
      NAME,
      "second",
      `first and second of as many volunteers, not ${first.length} and ${second.length}`,
    );
  }
  requireSameShape(first, second);
  return first.map((courses, v) =>
    courses.map((course, r) => course.map((value, i) => value - (second[v]?.[r]?.[i] as number))),
  );
}

function requireSameShape(first: readonly Float64Array[][], second: readonly Float64Array[][]): void {
  if (first[0]?.length === second[0]?.length && first[0]?.[0]?.length === second[0]?.[0]?.length) return;
  throw new AnalysisError(
    "unequal lengths",
    NAME,
    "second",
    "first and second with the same regions and bins",
  );
}

function checked(courses: Courses, argument: string): Float64Array[][] {
  const regions = courses[0]?.length ?? 0;
  const bins = courses[0]?.[0]?.length ?? 0;
  if (regions === 0 || bins === 0) {
    throw new AnalysisError("empty", NAME, argument, `at least one volunteer, region and bin in ${argument}`);
  }
  return courses.map((volunteer, v) => {
    if (volunteer.length !== regions || volunteer.some((course) => course.length !== bins)) {
      throw new AnalysisError(
        "unequal lengths",
        NAME,
        argument,
        `the same regions and bins for volunteer ${v} as for the first`,
      );
    }
    return volunteer.map((course) => {
      const values = Float64Array.from(course);
      if (values.some((value) => value === Number.POSITIVE_INFINITY || value === Number.NEGATIVE_INFINITY)) {
        throw new AnalysisError("not finite", NAME, argument, `finite values or NaN for volunteer ${v}`);
      }
      return values;
    });
  });
}
