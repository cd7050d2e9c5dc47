import { AnalysisError } from "../../analysis-error";
import { checkCount } from "../numeric/check-option";
import { blockBounds, chooseBlock } from "./block-bounds";
import { findClusters, raiseLargestMasses, tFromScaled } from "./cluster-masses";
import { partialSums, partialSumsRoom } from "./partial-sums";
import { prepareCourses } from "./prepare-courses";
import { GROUP, type Patterns } from "./subset-patterns";

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
  const prepared = prepareCourses(input, permutations, seed);
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

/** The sums of the rearrangement in row 0, formed as those of all others. */
function observedSums(sums: Float64Array, points: number, { bytes, groups }: Patterns): Float64Array {
  const observed = new Float64Array(points);
  for (let g = 0; g < groups; g++) {
    const from = ((g << GROUP) + (bytes[g] as number)) * points;
    for (let i = 0; i < points; i++) observed[i] = (observed[i] as number) + (sums[from + i] as number);
  }
  return observed;
}
