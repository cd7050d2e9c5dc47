import { power } from "../../elementary";
import { type SeededGenerator, seededGenerator } from "../seeded-generator";

/** Volunteers are taken in groups of eight, whose choices fit one byte. */
export const GROUP = 8;

/**
 * Which volunteers are chosen (flipped, or in the first group) in each rearrangement: one byte for every eight volunteers,
 * one row per rearrangement. Row 0 is what was observed.
 */
export interface Patterns {
  readonly bytes: Uint8Array;
  readonly count: number;
  readonly groups: number;
  /** All rearrangements that there are (up to those that cannot differ), rather than a random draw. */
  readonly exact: boolean;
  readonly seed: number | null;
}

/**
 * Sign flips: all of them when 2^n does not exceed `limit`, otherwise the identity and `limit` seeded draws. A flip and its
 * opposite give the same two-sided statistic, so that of all flips only the half is listed which leaves the last volunteer.
 */
export function flipPatterns(n: number, limit: number, seed: number): Patterns {
  const groups = Math.ceil(n / GROUP);
  if (n <= 30 && power(2, n) <= limit) {
    const count = power(2, n - 1);
    const bytes = new Uint8Array(count * groups);
    for (let row = 0; row < count; row++) writeBits(bytes, row, groups, row);
    return { bytes, count, groups, exact: true, seed: null };
  }
  const generator = seededGenerator(seed);
  const count = limit + 1;
  const bytes = new Uint8Array(count * groups);
  const last = n % GROUP === 0 ? 0xff : (1 << (n % GROUP)) - 1;
  for (let row = 1; row < count; row++) {
    let word = 0;
    for (let g = 0; g < groups; g++) {
      if (g % 4 === 0) word = generator.uint32();
      const byte = (word >>> (8 * (g % 4))) & 0xff;
      bytes[row * groups + g] = g === groups - 1 ? byte & last : byte;
    }
  }
  return { bytes, count, groups, exact: false, seed };
}

/**
 * Members of the first of two samples: every choice when there are at most `limit`, otherwise the observed one and `limit`
 * seeded draws. Volunteers 0 to `size` - 1 are the observed first sample.
 */
export function memberPatterns(n: number, size: number, limit: number, seed: number): Patterns {
  const groups = Math.ceil(n / GROUP);
  const total = choices(n, size);
  if (total <= limit) {
    const bytes = new Uint8Array(total * groups);
    const members = Array.from({ length: size }, (_, i) => i);
    for (let row = 0; row < total; row++) {
      writeMembers(bytes, row, groups, members);
      nextChoice(members, n);
    }
    return { bytes, count: total, groups, exact: true, seed: null };
  }
  const generator = seededGenerator(seed);
  const count = limit + 1;
  const bytes = new Uint8Array(count * groups);
  const order = Array.from({ length: n }, (_, i) => i);
  writeMembers(bytes, 0, groups, order.slice(0, size));
  for (let row = 1; row < count; row++) {
    drawFirst(order, size, generator);
    writeMembers(bytes, row, groups, order.slice(0, size));
  }
  return { bytes, count, groups, exact: false, seed };
}

function choices(n: number, size: number): number {
  let total = 1;
  for (let i = 1; i <= size; i++) total = (total * (n - size + i)) / i;
  return Math.round(total);
}

/** The next choice in lexical order. */
function nextChoice(members: number[], n: number): void {
  const size = members.length;
  let i = size - 1;
  while (i >= 0 && members[i] === n - size + i) i--;
  if (i < 0) return;
  members[i] = (members[i] as number) + 1;
  for (let j = i + 1; j < size; j++) members[j] = (members[j - 1] as number) + 1;
}

/** The first `size` steps of Fisher and Yates's shuffle. */
function drawFirst(order: number[], size: number, generator: SeededGenerator): void {
  for (let i = 0; i < size; i++) {
    const j = i + generator.below(order.length - i);
    const held = order[i] as number;
    order[i] = order[j] as number;
    order[j] = held;
  }
}

function writeBits(bytes: Uint8Array, row: number, groups: number, bits: number): void {
  for (let g = 0; g < groups; g++) bytes[row * groups + g] = (bits >>> (GROUP * g)) & 0xff;
}

function writeMembers(bytes: Uint8Array, row: number, groups: number, members: readonly number[]): void {
  for (const member of members) {
    const at = row * groups + Math.floor(member / GROUP);
    bytes[at] = (bytes[at] as number) | (1 << (member % GROUP));
  }
}
