import { AnalysisError } from "../../analysis-error";
import { square } from "../../elementary";
import { studentTQuantile } from "../distributions/student-t";
import type { PointScale } from "./cluster-masses";
import type { ClusterPermutationInput, Courses } from "./cluster-permutation-test";
import { flipPatterns, memberPatterns, type Patterns } from "./subset-patterns";

const NAME = "clusterPermutationTest";

/** What one region brings to the test: scaled values of every volunteer, and what turns their sums into t. */
export interface RegionPart {
  readonly values: readonly Float64Array[];
  readonly scale: PointScale;
  /** What a volunteer adds to the sum, and takes away when flipped. */
  readonly share: number;
  readonly missing: number;
}

export interface Prepared {
  readonly n: number;
  readonly regions: number;
  readonly points: number;
  readonly patterns: Patterns;
  readonly regionAt: (region: number, clusterAlpha: number) => RegionPart;
}

/** Checks the courses and lays out the rearrangements. */
export function prepareCourses(input: ClusterPermutationInput, permutations: number, seed: number): Prepared {
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
    for (const course of courses) squares += square((course[i] as number) - origin - shift);
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
  const c2 = square(thresholdAt(df, alpha));
  scale.df[i] = df;
  scale.r[i] = c2 / (df + c2);
  return Math.sqrt((c2 * q) / (k * (df + c2)));
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
