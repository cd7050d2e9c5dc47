import { AnalysisError } from "../analysis-error";
import { seededGenerator } from "../statistics";

export interface BlockAssignment {
  readonly volunteer: string;
  readonly condition: string;
  readonly stratum: string;
  /** Block within the stratum, counted from 1. */
  readonly block: number;
}

export interface BlockRandomisation {
  readonly method: string;
  readonly assignments: readonly BlockAssignment[];
  readonly counts: Readonly<Record<string, number>>;
  readonly seed: number;
}

/**
 * Assigns each volunteer to one condition in permuted blocks: within a block every condition comes up equally often, in
 * random order, so that the groups never differ by more than half a block (Matts & Lachin 1988, Controlled Clinical Trials
 * 9:327-344). With several block sizes the size of the next block is drawn too, so that it cannot be foreseen. Strata have
 * blocks of their own.
 * @throws AnalysisError `too few` below two conditions, `empty` without volunteers, `unequal lengths`, `out of range` for a
 * block size that is no multiple of the number of conditions, `refused` for repeated names.
 */
export function randomiseInBlocks(input: {
  readonly volunteers: readonly string[];
  readonly conditions: readonly string[];
  /** Sizes of blocks to draw from; twice the number of conditions unless given. */
  readonly blockSizes?: readonly number[];
  /** Stratum of each volunteer, for instance a fitness class. */
  readonly strata?: readonly string[];
  readonly seed: number;
}): BlockRandomisation {
  const { volunteers, conditions, strata, seed } = input;
  const blockSizes = input.blockSizes ?? [2 * conditions.length];
  check(volunteers, conditions, blockSizes, strata);
  const generator = seededGenerator(seed);
  const open = new Map<string, { left: string[]; block: number }>();
  const counts: Record<string, number> = Object.fromEntries(conditions.map((condition) => [condition, 0]));
  const assignments = volunteers.map((volunteer, i): BlockAssignment => {
    const stratum = strata?.[i] ?? "";
    let current = open.get(stratum);
    if (current === undefined || current.left.length === 0) {
      const size = blockSizes[generator.below(blockSizes.length)] as number;
      const names = Array.from({ length: size }, (_, k) => conditions[k % conditions.length] as string);
      current = { left: generator.shuffle(names), block: (current?.block ?? 0) + 1 };
      open.set(stratum, current);
    }
    const condition = current.left.pop() as string;
    counts[condition] = (counts[condition] ?? 0) + 1;
    return { volunteer, condition, stratum, block: current.block };
  });
  return { method: "randomisation in permuted blocks", assignments, counts, seed };
}

const NAME = "randomiseInBlocks";

function check(
  volunteers: readonly string[],
  conditions: readonly string[],
  blockSizes: readonly number[],
  strata: readonly string[] | undefined,
): void {
  if (conditions.length < 2) {
    throw new AnalysisError(
      "too few",
      NAME,
      "conditions",
      `at least two conditions, not ${conditions.length}`,
    );
  }
  if (volunteers.length === 0) throw new AnalysisError("empty", NAME, "volunteers", "at least one volunteer");
  for (const [names, argument] of [
    [volunteers, "volunteers"],
    [conditions, "conditions"],
  ] as const) {
    const repeated = names.find((name, i) => names.indexOf(name) !== i);
    if (repeated !== undefined) {
      throw new AnalysisError(
        "refused",
        NAME,
        argument,
        `each of the ${argument} once; ${repeated} is there twice`,
      );
    }
  }
  const wrong = blockSizes.find((size) => !(size > 0 && size % conditions.length === 0));
  if (blockSizes.length === 0 || wrong !== undefined) {
    throw new AnalysisError(
      "out of range",
      NAME,
      "blockSizes",
      `multiples of ${conditions.length} as block sizes, not ${wrong}`,
    );
  }
  if (strata && strata.length !== volunteers.length) {
    throw new AnalysisError(
      "unequal lengths",
      NAME,
      "strata",
      `a stratum for each of the ${volunteers.length} volunteers`,
    );
  }
}
