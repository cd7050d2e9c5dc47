import type { SeededGenerator } from "@acral/analysis/statistics";
import { gzipSync, strFromU8, strToU8, unzipSync, zipSync } from "fflate";

type Mutation = (bytes: Uint8Array, random: SeededGenerator, others: readonly Uint8Array[]) => Uint8Array;

export const mostBytes = 1 << 16;

/** What tables are made of, and what breaks them. */
const tokens = [
  ..."0 1 9 -1 31.5 31,5 1.234,5 1,234.5 1'234 1e5 1e999 -0 .5 5. + - . , 00000000031.5 123456789012345678".split(
    " ",
  ),
  ..."9007199254740993 0.1 4.35 1e-7 2e308 NaN nan n/a null -- -9999 0x1F Infinity ٣١ °C °F K % [°C] (s)".split(
    " ",
  ),
  ..."time Time(s) t frame hand left mean max min sd right forearm dorsal heart rate HR power".split(" "),
  ..."10:00:00 23:59:59.999 0:00 24:00 10:00:00:250 12:00:00PM 1:2:3 -0:05 2026-02-03 31/02/2026 3.2.26".split(
    " ",
  ),
  ..."2026-02-03T10:00:00Z 2026-02-03T10:00:00+02:00 45000.5 1770107400 1770107400500 févr. Feb 2026".split(
    " ",
  ),
  ...'=1+1 =HYPERLINK("http://x") @SUM +1 #REF! <b> &amp; <script> {" [1] %PDF- PK \\u0000'.split(" "),
  ",",
  ";",
  "\t",
  "|",
  " ",
  "  ",
  "\n",
  "\r\n",
  "\r",
  '"',
  "'",
  '""',
  "\u0000",
  "\uFEFF",
  "\u2212",
  "\u00a0",
  "\u202f",
  "\u0085",
  "\u2028",
  "\v",
  "\f",
  "é",
  "℃",
  "\ud83c\udf21",
  "\x80",
  "#",
  "//",
  "time;hand\n",
];

function pick<T>(items: readonly T[], random: SeededGenerator): T {
  return items[random.below(items.length)] as T;
}

function spliced(bytes: Uint8Array, at: number, removed: number, added: Uint8Array): Uint8Array {
  const rest = bytes.subarray(at + removed);
  const result = new Uint8Array(at + added.length + rest.length);
  result.set(bytes.subarray(0, at));
  result.set(added, at);
  result.set(rest, at + added.length);
  return result;
}

/** A number of one to twenty-five digits, with a mark anywhere or nowhere. */
function digits(random: SeededGenerator): string {
  const text = Array.from({ length: 1 + random.below(25) }, () => random.below(10)).join("");
  const at = random.below(text.length + 1);
  return pick(["", "-", "+"], random) + text.slice(0, at) + pick(["", ".", ","], random) + text.slice(at);
}

/** Latin-1 keeps every byte, so that text can be changed and put back without harm to the rest. */
function changedText(bytes: Uint8Array, change: (text: string) => string): Uint8Array {
  return strToU8(change(strFromU8(bytes, true)), true);
}

function changedLines(bytes: Uint8Array, change: (lines: string[]) => void): Uint8Array {
  return changedText(bytes, (text) => {
    const lines = text.split(/(?<=\n|\r(?!\n))/);
    change(lines);
    return lines.join("");
  });
}

/** Byte order marks, and that of gzip. */
const marks = [
  [0xef, 0xbb, 0xbf],
  [0xff, 0xfe],
  [0xfe, 0xff],
  [0x1f, 0x8b],
];

const delimiters = [",", ";", "\t", "|", " ", "  "];

function usualDelimiter(text: string): string {
  let best = ",";
  let most = -1;
  for (const delimiter of delimiters) {
    const count = text.split(delimiter).length;
    if (count > most) {
      best = delimiter;
      most = count;
    }
  }
  return best;
}

function changedCells(line: string, change: (cells: string[]) => void): string {
  const delimiter = usualDelimiter(line);
  const body = line.replace(/[\r\n]+$/, "");
  const cells = body.split(delimiter);
  change(cells);
  return cells.join(delimiter) + line.slice(body.length);
}

function asUtf16(bytes: Uint8Array, little: boolean, mark: boolean): Uint8Array {
  const text = (mark ? "\uFEFF" : "") + new TextDecoder().decode(bytes);
  const result = new Uint8Array(text.length * 2);
  const view = new DataView(result.buffer);
  for (let i = 0; i < text.length; i++) view.setUint16(i * 2, text.charCodeAt(i), little);
  return result;
}

/** Changes inside one part of a workbook, packed again. */
function inWorkbook(bytes: Uint8Array, change: (part: Uint8Array) => Uint8Array, random: SeededGenerator) {
  if (bytes[0] !== 0x50 || bytes[1] !== 0x4b) return bytes;
  try {
    const parts = unzipSync(bytes);
    const names = Object.keys(parts);
    if (names.length === 0) return bytes;
    const name = pick(names, random);
    return zipSync({ ...parts, [name]: change(parts[name] ?? new Uint8Array(0)) });
  } catch {
    // What an earlier mutation damaged cannot be opened again, and stays as it is.
    return bytes;
  }
}

const mutations: readonly Mutation[] = [
  (bytes, random) => {
    const changed = bytes.slice();
    for (let i = random.below(4); i >= 0; i--) changed[random.below(changed.length)] = random.below(256);
    return changed;
  },
  (bytes, random) => {
    const changed = bytes.slice();
    const at = random.below(changed.length);
    changed[at] = (changed[at] ?? 0) ^ (1 << random.below(8));
    return changed;
  },
  (bytes, random) => spliced(bytes, random.below(bytes.length), random.below(12), new Uint8Array(0)),
  (bytes, random) => bytes.subarray(0, random.below(bytes.length)),
  (bytes, random) => {
    const from = random.below(bytes.length);
    const piece = bytes.subarray(from, from + 1 + random.below(60));
    return spliced(bytes, random.below(bytes.length), 0, piece);
  },
  (bytes, random, others) => {
    const other = pick(others, random);
    const from = random.below(other.length);
    return spliced(bytes, random.below(bytes.length), 0, other.subarray(from, from + 1 + random.below(400)));
  },
  (bytes, random) =>
    spliced(bytes, random.below(bytes.length), 0, new TextEncoder().encode(pick(tokens, random))),
  (bytes, random) =>
    spliced(bytes, random.below(bytes.length), 0, new TextEncoder().encode(pick(tokens, random))),
  (bytes, random) =>
    changedText(bytes, (text) => {
      const numbers = [...text.matchAll(/[\d.,:+-]+/g)];
      const number = numbers.length === 0 ? undefined : pick(numbers, random);
      if (number === undefined) return text;
      const token = random.below(2) === 0 ? digits(random) : strFromU8(strToU8(pick(tokens, random)), true);
      return text.slice(0, number.index) + token + text.slice(number.index + number[0].length);
    }),
  (bytes, random) =>
    changedText(bytes, (text) => text.replaceAll(usualDelimiter(text), pick(delimiters, random))),
  (bytes, random) =>
    changedText(bytes, (text) =>
      text.replace(/\r\n|\r|\n/g, pick(["\n", "\r\n", "\r", "\n\n", "\r\r\n"], random)),
    ),
  (bytes, random) =>
    changedText(bytes, (text) =>
      text.replaceAll(pick([".", ",", '"', ":"], random), pick([".", ",", "'", " ", ""], random)),
    ),
  (bytes, random) =>
    changedText(bytes, (text) => (random.below(2) === 0 ? text.replace(/[\r\n]+$/, "") : `${text}\n`)),
  (bytes, random) =>
    changedLines(bytes, (lines) => {
      const line = pick(lines, random);
      lines.splice(
        random.below(lines.length + 1),
        0,
        ...Array.from({ length: 1 + random.below(3) }, () => line),
      );
    }),
  (bytes, random) =>
    changedLines(bytes, (lines) => lines.splice(random.below(lines.length), 1 + random.below(2))),
  (bytes, random) =>
    changedLines(bytes, (lines) => void lines.splice(random.below(lines.length + 1), 0, lines[0] ?? "")),
  (bytes, random) =>
    changedLines(bytes, (lines) => {
      const at = random.below(lines.length);
      lines[at] = changedCells(lines[at] ?? "", (cells) => {
        const cell = random.below(cells.length);
        const text = cells[cell] ?? "";
        const how = random.below(7);
        if (how === 0) cells[cell] = `"${text}"`;
        else if (how === 1) cells[cell] = `"${text}`;
        else if (how === 2) cells[cell] = ` ${text} `;
        else if (how === 3) cells[cell] = "";
        else if (how === 4) cells.splice(cell, 1);
        else if (how === 5) cells.push(strFromU8(strToU8(pick(tokens, random)), true));
        else cells[cell] = `"${text}\n${text}"`;
      });
    }),
  (bytes, random) =>
    changedLines(bytes, (lines) => {
      // A column appears half-way, or vanishes.
      const from = random.below(lines.length);
      const adds = random.below(2) === 0;
      for (let i = from; i < lines.length; i++) {
        lines[i] = changedCells(lines[i] ?? "", (cells) => (adds ? cells.push("30.5") : cells.pop()));
      }
    }),
  (bytes, random) => changedLines(bytes, (lines) => random.shuffle(lines)),
  (bytes, random) => asUtf16(bytes, random.below(2) === 0, random.below(2) === 0),
  (bytes) => gzipSync(bytes),
  (bytes, random) => spliced(bytes, 0, 0, Uint8Array.from(pick(marks, random))),
  (bytes, random, others) => inWorkbook(bytes, (part) => mutateOnce(part, random, others), random),
  (bytes, random, others) => inWorkbook(bytes, (part) => mutateOnce(part, random, others), random),
];

function mutateOnce(bytes: Uint8Array, random: SeededGenerator, others: readonly Uint8Array[]): Uint8Array {
  if (bytes.length === 0) return new TextEncoder().encode(pick(tokens, random));
  return pick(mutations, random)(bytes, random, others).subarray(0, mostBytes);
}

/** The bytes after a few mutations of bytes, cells, lines, encoding and container. */
export function mutateBytes(
  bytes: Uint8Array,
  random: SeededGenerator,
  others: readonly Uint8Array[],
): Uint8Array {
  let mutated = bytes;
  for (let i = random.below(4); i >= 0; i--) mutated = mutateOnce(mutated, random, others);
  return mutated.slice();
}
