import { createHash } from "node:crypto";
import { type Anchor, type ChainedEntry, eraseValuesAction } from "./schema";

/**
 * The chain of the audit trail, computed here a second time and without the database's functions: whoever can alter entries
 * there could alter those as well. `audit_entry_hash` and `audit_values_digest` of the migrations build the same texts.
 */

/** What the first entry of a chain has for the hash of the one before. */
export const noHash = "0".repeat(64);

/** SHA-256, in lower-case hexadecimal, over a JSON array of texts and nulls as PostgreSQL's json_build_array writes it. */
function sha256Of(parts: readonly (string | null)[]): string {
  const text = `[${parts.map((part) => JSON.stringify(part)).join(", ")}]`;
  return createHash("sha256").update(text, "utf8").digest("hex");
}

export function valuesDigestOf({ valuesSalt, before, after, reason }: ChainedEntry): string {
  return sha256Of([valuesSalt, before, after, reason]);
}

export function hashOfEntry(entry: ChainedEntry): string {
  return sha256Of([
    "acral audit entry 1",
    entry.previousHash,
    entry.studyId,
    String(entry.sequence),
    entry.id,
    entry.at,
    entry.actorId,
    entry.actorName,
    entry.action,
    entry.subjectKind,
    entry.subjectId,
    entry.subjectLabel,
    entry.volunteerId,
    entry.valuesDigest,
  ]);
}

export interface ChainFault {
  readonly kind: "changed" | "rewritten" | "missing" | "inserted" | "head" | "values removed";
  /** The number of the entry that is named, or of the first of those that are missing. */
  readonly sequence: number;
  /** When that entry says that it was written; null for one that is missing. */
  readonly at: string | null;
  readonly problem: string;
}

interface Place {
  readonly sequence: number;
  readonly at: string | null;
  /** What the next entry may have for the hash of this one: as it stands, and as its content gives it. */
  readonly hashes: ReadonlySet<string>;
  /** Its content gives its hash; of one that was named as changed nothing more is said. */
  readonly intact: boolean;
}

const called = (entry: ChainedEntry) => `(${entry.action} of ${entry.subjectKind} “${entry.subjectLabel}”)`;
const numbers = (from: number, to: number) =>
  from === to ? `Entry ${from} is` : `Entries ${from} to ${to} are`;

/**
 * Walks along one chain, entry by entry in the order of their numbers, and says what does not fit. Keeps nothing of what
 * lies behind but the last entry, and the numbers of entries whose values were taken away without a word so far.
 */
export class ChainWalk {
  #last: Place = { sequence: 0, at: null, hashes: new Set([noHash]), intact: true };
  #entries = 0;
  /** By volunteer; entries that follow each other are one stretch. */
  readonly #withoutValues = new Map<string, { from: number; to: number; at: string | null }[]>();

  constructor(private readonly anchors: readonly Anchor[] = []) {}

  get entries(): number {
    return this.#entries;
  }

  next(entry: ChainedEntry): ChainFault[] {
    this.#entries++;
    const faults: ChainFault[] = [];
    const fault = (kind: ChainFault["kind"], problem: string) =>
      faults.push({ kind, sequence: entry.sequence, at: entry.at, problem });
    const computed = hashOfEntry(entry);
    const intact = computed === entry.hash;
    if (!intact) {
      fault(
        "changed",
        `Its content ${called(entry)} does not give its hash: a field was changed after it was written.`,
      );
    } else if (entry.valuesSalt !== null && valuesDigestOf(entry) !== entry.valuesDigest) {
      fault(
        "changed",
        `Its values ${called(entry)} do not give their digest: before, after or reason was changed.`,
      );
    } else if (entry.valuesSalt === null) {
      this.#noteMissingValues(entry, fault);
    }
    if (entry.action === eraseValuesAction && entry.volunteerId !== null) {
      this.#withoutValues.delete(entry.volunteerId);
    }
    for (const anchor of this.anchors) {
      if (anchor.sequence === entry.sequence && anchor.hash !== entry.hash) {
        fault("rewritten", `It had the hash ${anchor.hash} when that was noted, and has ${entry.hash} now.`);
      }
    }
    const hashes = new Set([entry.hash, computed]);
    if (entry.sequence === this.#last.sequence || entry.sequence < 1) {
      fault(
        "inserted",
        entry.sequence < 1
          ? `Entry with id ${entry.id} ${called(entry)} bears a number from before the beginning of the chain.`
          : `Another entry, with id ${entry.id} ${called(entry)}, bears the same number: one of them was inserted.`,
      );
      this.#last = { ...this.#last, hashes: new Set([...this.#last.hashes, ...hashes]) };
      return faults;
    }
    const due = this.#last.sequence + 1;
    if (entry.sequence > due) {
      faults.unshift(
        missing(due, entry.sequence - 1, `${this.#after()}, before entry ${entry.sequence} of ${entry.at}`),
      );
    } else if (intact && this.#last.intact && !this.#last.hashes.has(entry.previousHash)) {
      faults.unshift(this.#doesNotFit(entry));
    }
    this.#last = { sequence: entry.sequence, at: entry.at, hashes, intact };
    return faults;
  }

  /** @param head what the database keeps as the chain's last entry */
  end(head: { readonly sequence: number; readonly hash: string } | null): ChainFault[] {
    const { sequence, at, hashes } = this.#last;
    const faults: ChainFault[] = [];
    if (head === null) {
      if (sequence > 0)
        faults.push({ kind: "head", sequence, at, problem: "The head of this chain was removed." });
    } else if (head.sequence > sequence) {
      faults.push(missing(sequence + 1, head.sequence, `${this.#after()}, at the end of the chain`));
    } else if (head.sequence < sequence) {
      const problem = `Entries stand behind the head of the chain, which is entry ${head.sequence}: they were inserted, or the head was set back.`;
      faults.push({ kind: "inserted", sequence, at, problem });
    } else if (!hashes.has(head.hash)) {
      const problem =
        "The head of the chain notes another hash for this last entry: one of the two was rewritten.";
      faults.push({ kind: "rewritten", sequence, at, problem });
    }
    const expected = Math.max(0, ...this.anchors.map((anchor) => anchor.sequence));
    if (expected > Math.max(sequence, head?.sequence ?? 0)) {
      faults.push(
        missing(
          Math.max(sequence, head?.sequence ?? 0) + 1,
          expected,
          "an anchor noted that they were there",
        ),
      );
    }
    for (const stretch of [...this.#withoutValues.values()].flat().sort((a, b) => a.from - b.from)) {
      const { from, to } = stretch;
      faults.push({
        kind: "values removed",
        sequence: from,
        at: stretch.at,
        problem: `${from === to ? "Its values were" : `The values of entries ${from} to ${to} were`} removed, and no later entry says that the volunteer was erased.`,
      });
    }
    return faults;
  }

  #noteMissingValues(entry: ChainedEntry, fault: (kind: ChainFault["kind"], problem: string) => void): void {
    const { volunteerId, sequence, at } = entry;
    if (entry.before !== null || entry.after !== null || entry.reason !== null || volunteerId === null) {
      fault("changed", `The salt of its values ${called(entry)} was removed.`);
      return;
    }
    const stretches = this.#withoutValues.get(volunteerId) ?? [];
    const last = stretches.at(-1);
    if (last !== undefined && last.to === sequence - 1) last.to = sequence;
    else stretches.push({ from: sequence, to: sequence, at });
    this.#withoutValues.set(volunteerId, stretches);
  }

  #doesNotFit(entry: ChainedEntry): ChainFault {
    const { sequence, at } = this.#last;
    if (sequence === 0) {
      const problem = `It is chained to an entry before it ${called(entry)}, and there is none: what came before was removed, or it was rewritten.`;
      return { kind: "rewritten", sequence: entry.sequence, at: entry.at, problem };
    }
    const problem = `Entry ${entry.sequence} of ${entry.at} ${called(entry)} was chained to another than this: one of the two was rewritten, with a hash of its own, or replaced.`;
    return { kind: "rewritten", sequence, at, problem };
  }

  #after(): string {
    const { sequence, at } = this.#last;
    return sequence === 0 ? "at the beginning of the chain" : `after entry ${sequence} of ${at}`;
  }
}

function missing(from: number, to: number, where: string): ChainFault {
  return { kind: "missing", sequence: from, at: null, problem: `${numbers(from, to)} missing: ${where}.` };
}
