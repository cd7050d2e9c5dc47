import type { Encoding } from "../column-map";
import { decodeText } from "../decode/decode-text";
import { byteOrderMark } from "../decode/text-bytes";
import type { Doubt } from "../detection";
import { SourceFileError } from "../source-file-error";

/** The encoding of text from its first bytes; `complete` when they are all there is. */
export function guessEncoding(head: Uint8Array, complete: boolean): { encoding: Encoding; doubts: Doubt[] } {
  const mark = byteOrderMark(head);
  if (mark !== null) return { encoding: mark.encoding, doubts: [] };
  const wide = utf16WithoutMark(head);
  if (wide !== null) return { encoding: wide, doubts: [] };
  refuseControlCharacters(head);
  if (isUtf8(head, complete)) return { encoding: "utf-8", doubts: [] };
  return { encoding: "windows-1252", doubts: doubtfulLatin(head) };
}

/** ASCII in UTF-16 has a zero in every second byte. */
function utf16WithoutMark(head: Uint8Array): Encoding | null {
  const length = Math.min(head.length & ~1, 4096);
  if (length < 4) return null;
  let even = 0;
  let odd = 0;
  for (let i = 0; i < length; i += 2) {
    if (head[i] === 0) even++;
    if (head[i + 1] === 0) odd++;
  }
  const pairs = length / 2;
  if (odd > 0.7 * pairs && even < 0.05 * pairs) return "utf-16le";
  if (even > 0.7 * pairs && odd < 0.05 * pairs) return "utf-16be";
  return null;
}

function refuseControlCharacters(head: Uint8Array): void {
  const length = Math.min(head.length, 1 << 16);
  let control = 0;
  let line = 1;
  for (let i = 0; i < length; i++) {
    const byte = head[i] as number;
    if (byte === 10) line++;
    if (byte === 0) {
      throw new SourceFileError(
        "binary-file",
        `Line ${line} holds a NUL byte, so this is not a text file, or it was damaged while it was written. Export the series as CSV or tab-separated text.`,
        { line },
      );
    }
    if (byte < 32 && byte !== 9 && byte !== 10 && byte !== 13 && byte !== 12 && byte !== 26) control++;
  }
  if (control > length * 0.02) {
    throw new SourceFileError(
      "binary-file",
      "The file is full of control characters, so it is not a text file. Export the series as CSV or tab-separated text.",
      { line: 1 },
    );
  }
}

function isUtf8(head: Uint8Array, complete: boolean): boolean {
  try {
    new TextDecoder("utf-8", { fatal: true }).decode(head, { stream: !complete });
    return true;
  } catch {
    return false;
  }
}

/** Western European text has few kinds of characters beyond ASCII; others mean another code page. */
function doubtfulLatin(head: Uint8Array): Doubt[] {
  let line = 1;
  for (let i = 0; i < head.length; i++) {
    const byte = head[i] as number;
    if (byte === 10) line++;
    if (byte < 0x80) continue;
    const character = decodeText(head, i, i + 1, "windows-1252");
    if (/[\p{L}°µ²³±·«»–—‘’“”„…€%ªº\u00a0]/u.test(character)) {
      // "øC" and "¡C" are degree signs of other code pages.
      const next = head[i + 1];
      if (!/[øª¡]/.test(character) || (next !== 0x43 && next !== 0x46)) continue;
    }
    return [
      {
        kind: "encoding",
        field: "encoding",
        line,
        column: null,
        guessed: "windows-1252",
        alternatives: ["utf-8", "iso-8859-1"],
        reason: `Line ${line} holds the character "${character}" when read as Windows-1252, which is unusual in a table: the text may have another encoding.`,
      },
    ];
  }
  return [];
}
