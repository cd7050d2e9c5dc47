import { type SeededGenerator, seededGenerator } from "@acral/analysis/statistics";
import { corpus } from "../corpus-truth";
import type { CoverageFeedback } from "./coverage-feedback";
import { storedFindings } from "./findings";
import type { FuzzInput } from "./fuzz-input";
import { minimise } from "./minimise";
import { mostBytes, mutateBytes } from "./mutate-bytes";
import { mutateMap } from "./mutate-map";
import { FuzzFinding, requireSound } from "./oracles";

export interface FuzzOptions {
  seed: number;
  /** Whether to go on, asked after every round. */
  goOn: (progress: FuzzProgress) => boolean;
  /** Without it, only the corpus is mutated; with it, inputs that take new ways are mutated further. */
  coverage?: CoverageFeedback;
  /** Called before each input, so that one that never ends can be told. */
  onInput?: (input: FuzzInput) => void;
  onFinding: (input: FuzzInput, finding: FuzzFinding) => void;
}

export interface FuzzProgress {
  inputs: number;
  queue: number;
}

/** Few enough that asking for the coverage takes little of the time, and an input with a new way is found soon. */
const roundLength = 32;

/** Mutates files of the corpus, and what became of them, and holds the reader to its promises with each. */
export async function fuzz(options: FuzzOptions): Promise<FuzzProgress> {
  const { coverage, goOn, onFinding, onInput } = options;
  const random = seededGenerator(options.seed);
  const seeds: FuzzInput[] = [
    ...corpus.map(({ bytes }) => ({ bytes: bytes.subarray(0, mostBytes), changes: [] })),
    ...storedFindings(),
  ];
  const queue = [...seeds];
  const progress: FuzzProgress = { inputs: 0, queue: queue.length };
  const known = new Set<string>();
  await coverage?.takeNew();

  const attempt = async (input: FuzzInput): Promise<void> => {
    progress.inputs++;
    onInput?.(input);
    const finding = await findingOf(input, random);
    if (finding === null) return;
    // The same defect shows in many inputs: it is told once.
    const key = finding.message.replace(/[\d"].*$/s, "") + placeOf(finding);
    if (known.has(key)) return;
    known.add(key);
    const smallest = await minimise(input, async (smaller) => {
      onInput?.(smaller);
      return (await findingOf(smaller, random))?.kind === finding.kind;
    });
    onFinding(smallest, (await findingOf(smallest, random)) ?? finding);
  };

  do {
    const round = Array.from({ length: roundLength }, () => mutated(queue, seeds, random));
    for (const input of round) await attempt(input);
    if (coverage !== undefined && (await coverage.takeNew(false)) > 0) {
      for (const input of round) {
        await attempt(input);
        if ((await coverage.takeNew()) > 0) queue.push(input);
      }
    }
    progress.queue = queue.length;
  } while (goOn(progress));
  return progress;
}

/** Newer inputs, which took new ways, are taken more often. */
function mutated(
  queue: readonly FuzzInput[],
  seeds: readonly FuzzInput[],
  random: SeededGenerator,
): FuzzInput {
  const at =
    random.below(2) === 0
      ? random.below(queue.length)
      : queue.length - 1 - random.below(Math.min(queue.length, 40));
  const { bytes, changes } = queue[at] ?? { bytes: new Uint8Array(0), changes: [] };
  return {
    bytes: mutateBytes(
      bytes,
      random,
      seeds.map((seed) => seed.bytes),
    ),
    changes: mutateMap(changes, random),
  };
}

async function findingOf(input: FuzzInput, random: SeededGenerator): Promise<FuzzFinding | null> {
  try {
    await requireSound(input, random);
    return null;
  } catch (error) {
    if (error instanceof FuzzFinding) return error;
    throw error;
  }
}

function placeOf({ cause }: FuzzFinding): string {
  if (!(cause instanceof Error)) return "";
  return /\(?(\S*packages\/ingest\/src\/\S+?)\)?$/m.exec(cause.stack ?? "")?.[1] ?? "";
}
