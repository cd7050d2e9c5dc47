import type { Encoding } from "../column-map";
import { SourceFileError } from "../source-file-error";

/** UTF-16 is turned in steps, so that a whole file pushed at once needs no second copy of it. */
const utf16Step = 1 << 16;

/**
 * Turns the bytes of a text file into bytes in which every delimiter, digit and line break is its ASCII byte: UTF-16
 * becomes UTF-8, everything else passes through without its byte order mark. `cellEncoding` says how to decode the rest.
 */
export class TextBytes {
  private head: Uint8Array | null = new Uint8Array(0);
  private odd = -1;
  private high = 0;
  private out = new Uint8Array(0);

  constructor(
    private readonly encoding: Encoding,
    private readonly sink: (bytes: Uint8Array) => void,
  ) {}

  push(bytes: Uint8Array): void {
    if (this.head === null) {
      this.pass(bytes);
      return;
    }
    const joined = new Uint8Array(this.head.length + bytes.length);
    joined.set(this.head);
    joined.set(bytes, this.head.length);
    this.head = joined;
    if (joined.length >= 3) this.start(joined);
  }

  end(): void {
    if (this.head !== null) this.start(this.head);
    if (this.odd >= 0) {
      throw new SourceFileError(
        "not-text",
        "The file ends in the middle of a UTF-16 character: it was cut off, or it is not UTF-16. Copy or export it again.",
      );
    }
    if (this.high !== 0) this.sink(Uint8Array.of(0xef, 0xbf, 0xbd));
  }

  private start(head: Uint8Array): void {
    this.head = null;
    const mark = byteOrderMark(head);
    if (mark !== null && mark.encoding !== this.encoding) {
      throw new SourceFileError(
        "encoding-differs",
        `The file begins with the mark of ${mark.encoding.toUpperCase()}, but the column map says ${this.encoding}. Choose ${mark.encoding.toUpperCase()} as the encoding.`,
        { line: 1 },
      );
    }
    this.pass(mark === null ? head : head.subarray(mark.length));
  }

  private pass(bytes: Uint8Array): void {
    if (this.encoding === "utf-16le" || this.encoding === "utf-16be") {
      for (let at = 0; at < bytes.length; at += utf16Step) this.fromUtf16(bytes.subarray(at, at + utf16Step));
    } else if (bytes.length > 0) this.sink(bytes);
  }

  private fromUtf16(bytes: Uint8Array): void {
    const little = this.encoding === "utf-16le";
    if (this.out.length < bytes.length * 2 + 8) this.out = new Uint8Array(bytes.length * 2 + 8);
    const out = this.out;
    let at = 0;
    let { odd, high } = this;
    for (let i = 0; i < bytes.length; i++) {
      const byte = bytes[i] as number;
      if (odd < 0) {
        odd = byte;
        continue;
      }
      const unit = little ? (byte << 8) | odd : (odd << 8) | byte;
      odd = -1;
      if (high !== 0) {
        if (unit >= 0xdc00 && unit < 0xe000) {
          const point = 0x10000 + ((high - 0xd800) << 10) + (unit - 0xdc00);
          out[at++] = 0xf0 | (point >> 18);
          out[at++] = 0x80 | ((point >> 12) & 63);
          out[at++] = 0x80 | ((point >> 6) & 63);
          out[at++] = 0x80 | (point & 63);
          high = 0;
          continue;
        }
        at = putReplacement(out, at);
        high = 0;
      }
      if (unit < 0x80) out[at++] = unit;
      else if (unit < 0x800) {
        out[at++] = 0xc0 | (unit >> 6);
        out[at++] = 0x80 | (unit & 63);
      } else if (unit >= 0xd800 && unit < 0xdc00) high = unit;
      else if (unit >= 0xdc00 && unit < 0xe000) at = putReplacement(out, at);
      else {
        out[at++] = 0xe0 | (unit >> 12);
        out[at++] = 0x80 | ((unit >> 6) & 63);
        out[at++] = 0x80 | (unit & 63);
      }
    }
    this.odd = odd;
    this.high = high;
    if (at > 0) this.sink(out.subarray(0, at));
  }
}

function putReplacement(out: Uint8Array, at: number): number {
  out[at] = 0xef;
  out[at + 1] = 0xbf;
  out[at + 2] = 0xbd;
  return at + 3;
}

export function byteOrderMark(head: Uint8Array): { encoding: Encoding; length: number } | null {
  if (head[0] === 0xef && head[1] === 0xbb && head[2] === 0xbf) return { encoding: "utf-8", length: 3 };
  if (head[0] === 0xff && head[1] === 0xfe) return { encoding: "utf-16le", length: 2 };
  if (head[0] === 0xfe && head[1] === 0xff) return { encoding: "utf-16be", length: 2 };
  return null;
}

export type CellEncoding = "utf-8" | "windows-1252" | "iso-8859-1";

/** The encoding of what `TextBytes` hands on. */
export function cellEncoding(encoding: Encoding): CellEncoding {
  return encoding === "windows-1252" || encoding === "iso-8859-1" ? encoding : "utf-8";
}
