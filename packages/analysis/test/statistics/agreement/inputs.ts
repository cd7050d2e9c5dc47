import { seededGenerator } from "../../../src/statistics";

/** Roughly normal values (sum of twelve uniforms) that are the same in every run. */
export function normalValues(seed: number, n: number, mean = 0, deviation = 1): number[] {
  const generator = seededGenerator(seed);
  return Array.from({ length: n }, () => {
    let total = -6;
    for (let i = 0; i < 12; i++) total += generator.uniform();
    return mean + deviation * total;
  });
}

/** Values on a coarse grid, so that ties and zeros abound. */
export function tiedValues(seed: number, n: number, levels = 5): number[] {
  const generator = seededGenerator(seed);
  return Array.from({ length: n }, () => generator.below(levels) - Math.floor(levels / 2));
}

/** All combinations of the entries of several lists. */
export function combinations(...lists: readonly (readonly number[])[]): number[][] {
  return lists.reduce<number[][]>(
    (sofar, list) => sofar.flatMap((head) => list.map((entry) => [...head, entry])),
    [[]],
  );
}

/** Paired series of every size and offset that the tests of two samples are run over. */
export const pairedSeries: readonly { readonly x: number[]; readonly y: number[] }[] = [
  {
    x: [0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0, 2],
    y: [1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4],
  },
  { x: normalValues(1, 2), y: normalValues(2, 2) },
  { x: normalValues(3, 3, 33, 0.4), y: normalValues(4, 3, 31, 0.7) },
  { x: normalValues(5, 24, 33, 0.4), y: normalValues(6, 24, 33.2, 0.4) },
  { x: normalValues(7, 24, 33, 0.4), y: normalValues(8, 24, 20, 0.4) },
  { x: normalValues(9, 40, 1e6, 1e-2), y: normalValues(10, 40, 1e6, 1e-2) },
  { x: normalValues(11, 200, -5, 30), y: normalValues(12, 200, 2, 10) },
  { x: normalValues(13, 1000, 1e-9, 1e-7), y: normalValues(14, 1000, 0, 1e-7) },
];
