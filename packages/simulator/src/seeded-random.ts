import { seededGenerator } from "@acral/analysis/statistics";

/** One stream of draws that are the same on every machine for the same seed and label. */
export interface SeededRandom {
  /** Uniform in [0, 1). */
  uniform(): number;
  /** Standard normal to a good approximation: twelve uniforms minus six (Irwin–Hall), bounded by ±6; no transcendental function. */
  normal(): number;
  /** Whole number in [0, below). */
  integer(below: number): number;
  /** A new array in random order. */
  shuffled<T>(items: readonly T[]): T[];
}

/**
 * Streams are opened by label, so that the noise of one trial does not depend on how many draws another made, and
 * one file can be written without the others.
 */
export function seededRandom(seed: number, label: string): SeededRandom {
  const text = `${seed}|${label}`;
  const generator = seededGenerator((hash(`${text}|a`) >>> 11) * 2 ** 32 + hash(`${text}|b`));
  return {
    uniform: generator.uniform,
    integer: generator.below,
    normal() {
      let sum = -6;
      for (let i = 0; i < 12; i += 1) sum += generator.uniform();
      return sum;
    },
    shuffled: (items) => generator.shuffle([...items]),
  };
}

/** FNV-1a over UTF-16 units, finished with the mixer of MurmurHash3 (both public domain); 32 bits, unsigned. */
function hash(text: string): number {
  let h = 0x811c9dc5;
  for (let i = 0; i < text.length; i += 1) h = Math.imul(h ^ text.charCodeAt(i), 0x01000193);
  h = Math.imul(h ^ (h >>> 16), 0x85ebca6b);
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
  return (h ^ (h >>> 16)) >>> 0;
}
