import type { PointScale } from "./cluster-masses";
import { GROUP, type Patterns } from "./subset-patterns";

/** A bound below this leaves no sum beyond 1, the rounding of bounds (single precision) included. */
export const SAFE = 1 - 1e-5;
/** By which squares of bounds are raised for their rounding. */
export const SAFE_UP = 1 + 1e-5;

/** Time to check the bounds of a block in units of the time to look at a point; measured. */
const CHECK = 3;

/** The size of block that costs least on the first rearrangements: long where courses are smooth, short where they are rough. */
export function chooseBlock(sums: Float64Array, points: number, { bytes, count, groups }: Patterns): number {
  const trial = Math.min(count, 20);
  let best = 4;
  let least = Number.POSITIVE_INFINITY;
  for (const block of [4, 8, 16, 32]) {
    const width = 2 * Math.ceil(points / block);
    const bounds = new Float32Array(width);
    const own = new Float32Array(width);
    let looked = 0;
    for (let row = 0; row < trial; row++) {
      bounds.fill(0);
      for (let g = 0; g < groups; g++) {
        writeBounds(
          sums,
          ((g << GROUP) + (bytes[row * groups + g] as number)) * points,
          points,
          block,
          own,
          0,
        );
        for (let k = 0; k < width; k++) bounds[k] = (bounds[k] as number) + (own[k] as number);
      }
      for (let k = 0; k < width; k += 2) {
        if (Math.max(bounds[k] as number, bounds[k + 1] as number) >= SAFE) looked++;
      }
    }
    const cost = (CHECK * width) / 2 + (looked * block) / trial;
    if (cost < least) {
      least = cost;
      best = block;
    }
  }
  return best;
}

/**
 * Largest partial sum within each block and largest of the negated ones, side by side, for every choice of every group. The
 * opposite choice has the same two, exchanged, because a volunteer's share only changes its sign.
 */
export function blockBounds(
  sums: Float64Array,
  points: number,
  block: number,
  volunteers: number,
  into: Float32Array,
): void {
  const width = 2 * Math.ceil(points / block);
  for (let first = 0; first < volunteers; first += GROUP) {
    const base = (first / GROUP) << GROUP;
    const last = (1 << Math.min(GROUP, volunteers - first)) - 1;
    for (let choice = 0; 2 * choice <= last; choice++) {
      const own = (base + choice) * width;
      const opposite = (base + (last ^ choice)) * width;
      writeBounds(sums, (base + choice) * points, points, block, into, own);
      for (let k = 0; k < width; k += 2) {
        into[opposite + k] = into[own + k + 1] as number;
        into[opposite + k + 1] = into[own + k] as number;
      }
    }
  }
}

function writeBounds(
  sums: Float64Array,
  from: number,
  points: number,
  block: number,
  bounds: Float32Array,
  to: number,
): void {
  let place = to;
  for (let start = 0; start < points; start += block) {
    const end = from + Math.min(points, start + block);
    let top = sums[from + start] as number;
    let bottom = top;
    for (let i = from + start + 1; i < end; i++) {
      const value = sums[i] as number;
      if (value > top) top = value;
      if (value < bottom) bottom = value;
    }
    bounds[place++] = top;
    bounds[place++] = -bottom;
  }
}

/** The scale within each block that gives the largest t. */
export function largestScale({ r, df }: PointScale, points: number, block: number): PointScale {
  const blocks = Math.ceil(points / block);
  const largest = { r: new Float64Array(blocks), df: new Float64Array(blocks) };
  for (let i = 0; i < points; i++) {
    const k = Math.floor(i / block);
    largest.r[k] = Math.max(largest.r[k] as number, r[i] as number);
    largest.df[k] = Math.max(largest.df[k] as number, df[i] as number);
  }
  return largest;
}
