import type { seededGenerator } from "../../src/statistics";

/** The names of the functions that a family exports. */
type FunctionsOf<Family> = {
  [Name in keyof Family]: Family[Name] extends (...given: never[]) => unknown ? Name : never;
}[keyof Family];

/** Something computed by each function of a family; a function without an entry does not type-check. */
export type EveryFunction<Family> = Record<FunctionsOf<Family> & string, () => unknown>;

export type Generator = ReturnType<typeof seededGenerator>;

/** Values between 0 and 2, made from a seed by whole-number arithmetic. */
export function drawn(generator: Generator, n: number): number[] {
  return Array.from({ length: n }, () => generator.uniform() + generator.uniform());
}
