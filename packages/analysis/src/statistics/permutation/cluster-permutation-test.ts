import { AnalysisError } from "../../analysis-error";
import { studentTQuantile } from "../distributions/student-t";
import { checkCount } from "../numeric/check-option";
import { findClusters, type PointScale, raiseLargestMasses, tFromSum } from "./cluster-masses";
import { partialSums } from "./partial-sums";
import { flipPatterns, memberPatterns, type Patterns } from "./subset-patterns";

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
  for (let region = 0; region < regions; region++) {
    const part = prepared.regionAt(region, clusterAlpha);
    missing += part.missing;
    const points = part.scale.k.length;
    const sums = partialSums(part.values, points, part.whenChosen, part.otherwise);
    raiseLargestMasses(sums, points, patterns, part.scale, largestMasses);
    const observed = observedSums(part.values, points, patterns, part.whenChosen, part.otherwise);
    t.push(
      observed.map((sum, i) =>
        part.scale.critical[i] === Number.POSITIVE_INFINITY ? Number.NaN : tFromSum(sum, i, part.scale),
      ),
    );
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
  readonly whenChosen: number;
  readonly otherwise: number;
  readonly missing: number;
}

interface Prepared {
  readonly n: number;
  readonly regions: number;
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
    patterns: memberPatterns(all.length, first.length, permutations, seed),
    regionAt: (region, alpha) =>
      unpairedPart(
        all.map((courses) => courses[region] as Float64Array),
        first.length,
        alpha,
      ),
  };
}

/** Sign flips: D is the signed sum over the n volunteers who have the bin, k = 1 / n, q the sum of squares. */
function pairedPart(differences: readonly Float64Array[], alpha: number): RegionPart {
  const points = differences[0]?.length ?? 0;
  const scale = emptyScale(points);
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
    setPoint(scale, i, n < 2 ? 0 : 1 / n, squares, n - 1, alpha);
  }
  const values = differences.map((course) => course.map((value) => (Number.isNaN(value) ? 0 : value)));
  return { values, scale, whenChosen: -1, otherwise: 1, missing };
}

/** Two groups: D is the first group's sum of deviations from the mean of all, k = N / (n1 n2), q their sum of squares. */
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
    courses.forEach((course, v) => {
      const deviation = (course[i] as number) - origin - shift;
      (values[v] as Float64Array)[i] = deviation;
      squares += deviation * deviation;
    });
    setPoint(scale, i, n / (size * (n - size)), squares, n - 2, alpha);
  }
  return { values, scale, whenChosen: 1, otherwise: 0, missing };
}

function emptyScale(points: number) {
  return {
    k: new Float64Array(points),
    q: new Float64Array(points),
    df: new Float64Array(points),
    critical: new Float64Array(points).fill(Number.POSITIVE_INFINITY),
  };
}

/** |t| > c exactly when |D| > c sqrt(q / (k (df + c^2))). */
function setPoint(
  scale: ReturnType<typeof emptyScale>,
  i: number,
  k: number,
  q: number,
  df: number,
  alpha: number,
): void {
  if (!(k > 0) || !(q > 0)) return;
  const threshold = thresholdAt(df, alpha);
  scale.k[i] = k;
  scale.q[i] = q;
  scale.df[i] = df;
  scale.critical[i] = threshold * Math.sqrt(q / (k * (df + threshold * threshold)));
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

function observedSums(
  values: readonly Float64Array[],
  points: number,
  { bytes }: Patterns,
  whenChosen: number,
  otherwise: number,
): Float64Array {
  const sums = new Float64Array(points);
  values.forEach((course, v) => {
    const chosen = ((bytes[v >> 3] as number) >> (v & 7)) & 1;
    for (let i = 0; i < points; i++) {
      sums[i] = (sums[i] as number) + (chosen ? whenChosen : otherwise) * (course[i] as number);
    }
  });
  return sums;
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
