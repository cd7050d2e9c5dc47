/**
 * Looks for strings that must not leave the study. Text is compared as runs of letters and digits: upper and lower
 * case, accents and whatever stands between the runs make no difference, so that "V-007", "v 007" and "V007" are one
 * code. A string is found only as whole runs: "Ann" is not in "channel".
 */
export class IdentityScan {
  readonly #forbidden = new Set<string>();
  /** One or two letters alone would be found in any prose; they count only as whole runs in the same case. */
  readonly #short = new Set<string>();
  #longest = 0;
  readonly #excused = new Set<string>();

  /**
   * @param forbidden the strings; those without two letters or digits cannot be told from prose and are passed over
   */
  constructor(forbidden: Iterable<string>) {
    for (const text of forbidden) {
      const runs = runsOf(text);
      const joined = runs.join("");
      if (joined.length < 2) continue;
      if (joined.length === 2 && /^\p{L}+$/u.test(joined)) {
        this.#short.add(plainRunsOf(text).join(""));
      } else {
        this.#forbidden.add(joined);
        this.#longest = Math.max(this.#longest, joined.length);
      }
    }
  }

  /**
   * Excuses plain words (letters only, one run) that occur in `vocabulary`, the words that every release uses: with
   * a volunteer named Hand, the word "hand" in a region's label gives nobody away. Codes and contacts are never excused.
   */
  excuse(vocabulary: string): void {
    for (const run of runsOf(vocabulary)) if (/^\p{L}+$/u.test(run)) this.#excused.add(run);
    for (const run of plainRunsOf(vocabulary)) if (run.length === 2) this.#excused.add(run);
  }

  /** True when the text contains something forbidden. */
  finds(text: string): boolean {
    if (this.#forbidden.size > 0) {
      const runs = runsOf(text);
      for (let first = 0; first < runs.length; first++) {
        let joined = "";
        for (let last = first; last < runs.length; last++) {
          joined += runs[last] ?? "";
          if (joined.length > this.#longest) break;
          if (this.#forbidden.has(joined) && !(last === first && this.#excused.has(joined))) return true;
        }
      }
    }
    if (this.#short.size > 0) {
      for (const run of plainRunsOf(text)) if (this.#short.has(run) && !this.#excused.has(run)) return true;
    }
    return false;
  }
}

function runsOf(text: string): string[] {
  return plainRunsOf(text.toLowerCase());
}

function plainRunsOf(text: string): string[] {
  return (
    text
      .normalize("NFKD")
      .replace(/\p{M}+/gu, "")
      .match(/[\p{L}\p{N}]+/gu) ?? []
  );
}

/** What is known of one volunteer that must not leave the study. */
export interface KnownOfVolunteer {
  readonly code: string;
  readonly name?: string | undefined;
  /** Any number of contacts: addresses, e-mail addresses, telephone numbers, as entered. */
  readonly contacts?: readonly string[] | undefined;
  /** ISO date. */
  readonly birthDate?: string | undefined;
}

/**
 * The strings to look for: the code; the name as a whole and each part of three letters or more; each contact as a
 * whole, each of its lines, and each e-mail address and telephone number inside; the birth date in the usual orders.
 */
export function forbiddenStringsOf(known: KnownOfVolunteer): string[] {
  const strings = new Set<string>([known.code]);
  if (known.name !== undefined) {
    strings.add(known.name);
    for (const part of known.name.split(/[\s,;]+/u)) {
      if ((part.match(/\p{L}/gu) ?? []).length >= 3) strings.add(part);
    }
  }
  for (const contact of known.contacts ?? []) {
    strings.add(contact);
    for (const line of contact.split(/[\r\n;]+/u)) strings.add(line);
    for (const address of contact.match(/[^\s,;<>]+@[^\s,;<>]+/gu) ?? []) strings.add(address);
    for (const number of contact.match(/\+?\d[\d\s()./-]{5,}\d/gu) ?? []) strings.add(number);
  }
  const date = /^(\d{4})-(\d{2})-(\d{2})/.exec(known.birthDate ?? "");
  if (date) {
    const [, year = "", month = "", day = ""] = date;
    const short = [String(Number(day)), String(Number(month))] as const;
    for (const [d, m] of [[day, month] as const, short]) {
      strings.add(`${year}-${m}-${d}`);
      strings.add(`${d}.${m}.${year}`);
      strings.add(`${m}/${d}/${year}`);
    }
  }
  return [...strings].filter((text) => text.trim() !== "");
}
