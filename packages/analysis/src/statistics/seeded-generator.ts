import { AnalysisError } from "../analysis-error";

const twoTo32 = 0x1_0000_0000;

/** A stream of pseudo-random numbers that is the same on every machine for the same seed. */
export interface SeededGenerator {
  /** The seed that starts this stream again. */
  readonly seed: number;
  /** Next whole number of 32 bits. */
  uint32(): number;
  /** Next number in [0, 1), a multiple of 2^-32. */
  uniform(): number;
  /** Next whole number in [0, count), without bias: draws that would favour some numbers are thrown away. */
  below(count: number): number;
  /** Puts an array into random order in place (Fisher & Yates; Knuth, The Art of Computer Programming 2, 3.4.2 P). */
  shuffle<T>(items: T[]): T[];
}

/**
 * xoshiro128** (Blackman & Vigna 2021, ACM Transactions on Mathematical Software 47:36), its state filled by SplitMix64
 * (Steele, Lea & Flood 2014) from the seed, as its authors recommend. Whole-number arithmetic throughout, so that no
 * machine or browser rounds differently. Not for secrets.
 * @param seed whole number from 0 to 2^53 - 1
 */
export function seededGenerator(seed: number): SeededGenerator {
  if (!Number.isSafeInteger(seed) || seed < 0) {
    throw new AnalysisError(
      "out of range",
      "seededGenerator",
      "seed",
      `a whole seed from 0 to 2^53 - 1, not ${seed}`,
    );
  }
  return generatorFromState(stateFromSeed(seed), seed);
}

/** The four words that SplitMix64 makes of a seed, low word first. */
function stateFromSeed(seed: number): [number, number, number, number] {
  let state = BigInt(seed);
  const next = (): bigint => {
    state = BigInt.asUintN(64, state + 0x9e3779b97f4a7c15n);
    let z = state;
    z = BigInt.asUintN(64, (z ^ (z >> 30n)) * 0xbf58476d1ce4e5b9n);
    z = BigInt.asUintN(64, (z ^ (z >> 27n)) * 0x94d049bb133111ebn);
    return z ^ (z >> 31n);
  };
  const first = next();
  const second = next();
  const low = (z: bigint) => Number(z & 0xffffffffn);
  return [low(first), low(first >> 32n), low(second), low(second >> 32n)];
}

/** The bare generator on a given state, for the check against its authors' reference output. */
export function generatorFromState(
  state: readonly [number, number, number, number],
  seed = Number.NaN,
): SeededGenerator {
  let [a, b, c, d] = state;
  const uint32 = (): number => {
    const five = Math.imul(b, 5);
    const result = Math.imul((five << 7) | (five >>> 25), 9) >>> 0;
    const shifted = b << 9;
    c ^= a;
    d ^= b;
    b ^= c;
    a ^= d;
    c ^= shifted;
    d = (d << 11) | (d >>> 21);
    return result;
  };
  const below = (count: number): number => {
    if (!Number.isInteger(count) || count < 1 || count > twoTo32) {
      throw new AnalysisError("out of range", "below", "count", `a whole count from 1 to 2^32, not ${count}`);
    }
    const usable = twoTo32 - (twoTo32 % count);
    for (;;) {
      const draw = uint32();
      if (draw < usable) return draw % count;
    }
  };
  return {
    seed,
    uint32,
    uniform: () => uint32() / twoTo32,
    below,
    shuffle: (items) => {
      for (let i = items.length - 1; i > 0; i--) {
        const j = below(i + 1);
        const held = items[i] as (typeof items)[number];
        items[i] = items[j] as (typeof items)[number];
        items[j] = held;
      }
      return items;
    },
  };
}
