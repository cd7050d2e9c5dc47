import { GROUP, type Patterns } from "./subset-patterns";

/** What turns a sum D at a point into t = D sqrt(k df / (q - k D^2)): all that the test needs besides the sums. */
export interface PointScale {
  readonly k: Float64Array;
  readonly q: Float64Array;
  readonly df: Float64Array;
  /** |D| beyond which |t| exceeds the threshold; infinite where a point takes no part. */
  readonly critical: Float64Array;
}

export interface Cluster {
  readonly start: number;
  readonly end: number;
  readonly mass: number;
}

/** t from a sum. The floor stands where all volunteers agree exactly and t would be infinite. */
export function tFromSum(sum: number, point: number, { k, q, df }: PointScale): number {
  const explained = (k[point] as number) * sum * sum;
  const total = q[point] as number;
  const left = Math.max(total - explained, 1e-14 * total);
  return Math.sign(sum) * Math.sqrt((explained * (df[point] as number)) / left);
}

/** Runs of neighbouring points beyond the threshold on the same side, with the sum of their t. */
export function findClusters(sums: Float64Array, scale: PointScale): Cluster[] {
  const clusters: Cluster[] = [];
  let side = 0;
  let start = 0;
  let mass = 0;
  for (let i = 0; i <= sums.length; i++) {
    const sum = i < sums.length ? (sums[i] as number) : 0;
    const beyond = i < sums.length && Math.abs(sum) > (scale.critical[i] as number) ? Math.sign(sum) : 0;
    if (beyond !== side) {
      if (side !== 0) clusters.push({ start, end: i - 1, mass });
      side = beyond;
      start = i;
      mass = 0;
    }
    if (beyond !== 0) mass += tFromSum(sum, i, scale);
  }
  return clusters;
}

/**
 * Raises `largest` to the largest absolute cluster mass of each rearrangement.
 * @param sums from `partialSums`
 */
export function raiseLargestMasses(
  sums: Float64Array,
  points: number,
  patterns: Patterns,
  scale: PointScale,
  largest: Float64Array,
): void {
  const { bytes, count, groups } = patterns;
  const { critical, k, q, df } = scale;
  const groupSize = (1 << GROUP) * points;
  const zeros = new Float64Array(points);
  const rest = new Float64Array(points);
  for (let row = 0; row < count; row++) {
    const at = row * groups;
    // Up to three groups are added on the fly; further ones beforehand.
    const a = sums;
    const a0 = (bytes[at] as number) * points;
    const b = groups > 1 ? sums : zeros;
    const b0 = groups > 1 ? groupSize + (bytes[at + 1] as number) * points : 0;
    let c = groups > 2 ? sums : zeros;
    let c0 = groups > 2 ? 2 * groupSize + (bytes[at + 2] as number) * points : 0;
    if (groups > 3) {
      for (let i = 0; i < points; i++) rest[i] = sums[c0 + i] as number;
      for (let g = 3; g < groups; g++) {
        const from = g * groupSize + (bytes[at + g] as number) * points;
        for (let i = 0; i < points; i++) rest[i] = (rest[i] as number) + (sums[from + i] as number);
      }
      c = rest;
      c0 = 0;
    }
    let best = largest[row] as number;
    let mass = 0;
    for (let i = 0; i < points; i++) {
      const sum = (a[a0 + i] as number) + (b[b0 + i] as number) + (c[c0 + i] as number);
      if (Math.abs(sum) > (critical[i] as number)) {
        const explained = (k[i] as number) * sum * sum;
        const total = q[i] as number;
        const left = Math.max(total - explained, 1e-14 * total);
        const t = Math.sqrt((explained * (df[i] as number)) / left);
        // A change of side ends a cluster.
        if (sum > 0) mass = mass > 0 ? mass + t : t;
        else mass = mass < 0 ? mass - t : -t;
        const size = Math.abs(mass);
        if (size > best) best = size;
      } else mass = 0;
    }
    largest[row] = best;
  }
}
