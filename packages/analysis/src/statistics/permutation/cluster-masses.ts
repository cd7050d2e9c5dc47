import { largestScale, SAFE, SAFE_UP } from "./block-bounds";
import { GROUP, type Patterns } from "./subset-patterns";

/**
 * Everything that turns a scaled sum s into t: t^2 = df r s^2 / (1 - r s^2) with r = c^2 / (df + c^2), where the sum is
 * scaled so that |t| passes the threshold c exactly when |s| passes 1.
 */
export interface PointScale {
  readonly r: Float64Array;
  readonly df: Float64Array;
}

export interface Cluster {
  readonly start: number;
  readonly end: number;
  readonly mass: number;
}

/** t from a scaled sum. The floor stands where all volunteers agree exactly and t would be infinite. */
export function tFromScaled(sum: number, point: number, { r, df }: PointScale): number {
  const explained = (r[point] as number) * sum * sum;
  return Math.sign(sum) * Math.sqrt(((df[point] as number) * explained) / Math.max(1 - explained, 1e-14));
}

/** Runs of neighbouring points beyond the threshold on the same side, with the sum of their t. */
export function findClusters(sums: Float64Array, scale: PointScale): Cluster[] {
  const clusters: Cluster[] = [];
  let side = 0;
  let start = 0;
  let mass = 0;
  for (let i = 0; i <= sums.length; i++) {
    const sum = i < sums.length ? (sums[i] as number) : 0;
    const beyond = Math.abs(sum) > 1 ? Math.sign(sum) : 0;
    if (beyond !== side) {
      if (side !== 0) clusters.push({ start, end: i - 1, mass });
      side = beyond;
      start = i;
      mass = 0;
    }
    if (beyond !== 0) mass += tFromScaled(sum, i, scale);
  }
  return clusters;
}

/**
 * Raises `largest` to the largest absolute cluster mass of each rearrangement.
 *
 * Courses are smooth, so that within a block of neighbouring points the partial sums hardly change, and the sum of their
 * extremes bounds the sum at every point. A block whose bound does not reach the threshold is passed over; a run of blocks
 * whose bounds do not add up to the largest mass found so far is passed over too. What remains is looked at point by point.
 * @param sums from `partialSums`, of scaled values
 * @param bounds from `blockBounds`, for blocks of `block` points
 */
export function raiseLargestMasses(
  sums: Float64Array,
  points: number,
  patterns: Patterns,
  scale: PointScale,
  bounds: Float32Array,
  block: number,
  largest: Float64Array,
): void {
  const { bytes, count, groups } = patterns;
  const blockScale = largestScale(scale, points, block);
  const choices = 1 << GROUP;
  const width = 2 * Math.ceil(points / block);
  // Three sources are added on the fly: the first three groups, zeros for lacking ones; further groups join the third.
  const zeroSums = new Float64Array(points);
  const zeroBounds = new Float32Array(width);
  const restSums = new Float64Array(points);
  const restBounds = new Float32Array(width);
  const sources: Sources = {
    a: sums,
    b: groups > 1 ? sums : zeroSums,
    c: groups > 3 ? restSums : groups > 2 ? sums : zeroSums,
    a0: 0,
    b0: 0,
    c0: 0,
  };
  const bBounds = groups > 1 ? bounds : zeroBounds;
  const cBounds = groups > 3 ? restBounds : groups > 2 ? bounds : zeroBounds;
  for (let row = 0; row < count; row++) {
    const at = row * groups;
    const choiceA = bytes[at] as number;
    const choiceB = groups > 1 ? choices + (bytes[at + 1] as number) : 0;
    const choiceC = groups === 3 ? 2 * choices + (bytes[at + 2] as number) : 0;
    if (groups > 3) {
      restSums.fill(0);
      restBounds.fill(0);
      for (let g = 2; g < groups; g++) {
        const choice = g * choices + (bytes[at + g] as number);
        addTo(restSums, sums, choice * points);
        addTo(restBounds, bounds, choice * width);
      }
    }
    sources.a0 = choiceA * points;
    sources.b0 = choiceB * points;
    sources.c0 = choiceC * points;
    const a1 = choiceA * width;
    const b1 = choiceB * width;
    const c1 = choiceC * width;
    let best = largest[row] as number;
    let runStart = -1;
    let runBound = 0;
    for (let k = 0; k < width; k += 2) {
      const top = (bounds[a1 + k] as number) + (bBounds[b1 + k] as number) + (cBounds[c1 + k] as number);
      const under =
        (bounds[a1 + k + 1] as number) + (bBounds[b1 + k + 1] as number) + (cBounds[c1 + k + 1] as number);
      let reach = top;
      if (under > reach) reach = under;
      if (reach < SAFE) {
        if (runStart < 0) continue;
        if (runBound > best) best = scanRun(sources, runStart * block, (k >> 1) * block, scale, best);
        runStart = -1;
        runBound = 0;
        continue;
      }
      if (runStart < 0) runStart = k >> 1;
      const explained = (blockScale.r[k >> 1] as number) * reach * reach * SAFE_UP;
      runBound +=
        block * Math.sqrt(((blockScale.df[k >> 1] as number) * explained) / Math.max(1 - explained, 1e-14));
    }
    if (runStart >= 0 && runBound > best) best = scanRun(sources, runStart * block, points, scale, best);
    largest[row] = best;
  }
}

interface Sources {
  readonly a: Float64Array;
  readonly b: Float64Array;
  readonly c: Float64Array;
  a0: number;
  b0: number;
  c0: number;
}

/** The largest absolute cluster mass between two points, or `best` if that is larger. */
function scanRun(
  { a, b, c, a0, b0, c0 }: Sources,
  start: number,
  end: number,
  { r, df }: PointScale,
  best: number,
): number {
  let largest = best;
  let mass = 0;
  for (let i = start; i < end; i++) {
    const sum = (a[a0 + i] as number) + (b[b0 + i] as number) + (c[c0 + i] as number);
    if (Math.abs(sum) > 1) {
      const explained = (r[i] as number) * sum * sum;
      const t = Math.sqrt(((df[i] as number) * explained) / Math.max(1 - explained, 1e-14));
      // A change of side ends a cluster.
      if (sum > 0) mass = mass > 0 ? mass + t : t;
      else mass = mass < 0 ? mass - t : -t;
      const size = Math.abs(mass);
      if (size > largest) largest = size;
    } else mass = 0;
  }
  return largest;
}

function addTo(total: Float64Array | Float32Array, from: Float64Array | Float32Array, at: number): void {
  for (let i = 0; i < total.length; i++) total[i] = (total[i] as number) + (from[at + i] as number);
}
