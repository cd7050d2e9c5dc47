/**
 * A seeded generator whose draws are the same bytes on every machine: 32-bit integer arithmetic and exact
 * additions only. The core is sfc32 ("small fast counter", Chris Doty-Humphrey, PractRand, public domain).
 *
 * Streams are opened by label, so that the noise of one trial does not depend on how many draws another made.
 */
export interface SeededRandom {
  /** Uniform in [0, 1), 32 bits. */
  uniform(): number;
  /** Standard normal to a good approximation: twelve uniforms minus six (Irwin–Hall), bounded by ±6. */
  normal(): number;
  /** Integer in [0, below). */
  integer(below: number): number;
  /** A new array in random order: sorted by a random key. */
  shuffled<T>(items: readonly T[]): T[];
}

export function seededRandom(seed: number, label: string): SeededRandom {
  let [a, b, c] = [hash(`${seed}|${label}|a`), hash(`${seed}|${label}|b`), hash(`${seed}|${label}|c`)];
  let counter = 1;

  function next(): number {
    const t = (((a + b) | 0) + counter) | 0;
    counter = (counter + 1) | 0;
    a = b ^ (b >>> 9);
    b = (c + (c << 3)) | 0;
    c = ((c << 21) | (c >>> 11)) + t;
    c |= 0;
    return t >>> 0;
  }
  for (let i = 0; i < 15; i += 1) next();

  const uniform = (): number => next() / 4294967296;
  const integer = (below: number): number => Math.floor(uniform() * below);
  return {
    uniform,
    integer,
    normal() {
      let sum = -6;
      for (let i = 0; i < 12; i += 1) sum += uniform();
      return sum;
    },
    shuffled(items) {
      const keyed = items.map((item) => ({ item, key: next() }));
      // Ties in 32 bits keep their order: sort is stable.
      return keyed.sort((x, y) => x.key - y.key).map(({ item }) => item);
    },
  };
}

/** FNV-1a over UTF-16 units, finished with the mixer of MurmurHash3 (both public domain). */
function hash(text: string): number {
  let h = 0x811c9dc5;
  for (let i = 0; i < text.length; i += 1) h = Math.imul(h ^ text.charCodeAt(i), 0x01000193);
  h = Math.imul(h ^ (h >>> 16), 0x85ebca6b);
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
  return (h ^ (h >>> 16)) | 0;
}
