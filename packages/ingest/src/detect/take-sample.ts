import type { Encoding } from "../column-map";
import { isGzip, refuseContainer, sniffBytes } from "../decode/container";
import { GzipInflater } from "../decode/inflate";
import { TextBytes } from "../decode/text-bytes";
import type { Doubt } from "../detection";
import type { ReadLimits } from "../limits";
import { SourceFileError } from "../source-file-error";
import { guessEncoding } from "./guess-encoding";

/** The beginning of a file's text, in which delimiters, digits and line breaks are their ASCII bytes. */
export interface Sample {
  encoding: Encoding;
  text: Uint8Array;
  /** Whether the sample is the whole file. */
  complete: boolean;
  doubts: Doubt[];
}

const sampleBytes = 1 << 18;

export function takeSample(bytes: Uint8Array, limits: ReadLimits): Sample {
  if (bytes.length === 0) {
    throw new SourceFileError("empty-file", "The file is empty: it holds no bytes at all. Export it again.");
  }
  const { head, complete } = isGzip(bytes) ? inflateHead(bytes, limits) : plainHead(bytes);
  if (isGzip(head)) {
    throw new SourceFileError(
      "unsupported-container",
      "The gzip file holds another gzip file. Unpack it once and upload what comes out.",
    );
  }
  refuseContainer(head.subarray(0, sniffBytes));
  const { encoding, doubts } = guessEncoding(head, complete);
  const pieces: Uint8Array[] = [];
  const text = new TextBytes(encoding, (piece) => pieces.push(piece.slice()));
  text.push(head);
  if (complete) text.end();
  const joined = concat(pieces);
  if (isBlank(joined)) {
    throw new SourceFileError(
      "empty-file",
      "The file is empty: it holds nothing but blanks. Export it again.",
    );
  }
  return { encoding, text: joined, complete, doubts };
}

function isBlank(text: Uint8Array): boolean {
  for (const byte of text) if (byte > 32) return false;
  return true;
}

function plainHead(bytes: Uint8Array): { head: Uint8Array; complete: boolean } {
  return { head: bytes.subarray(0, sampleBytes), complete: bytes.length <= sampleBytes };
}

function inflateHead(bytes: Uint8Array, limits: ReadLimits): { head: Uint8Array; complete: boolean } {
  const pieces: Uint8Array[] = [];
  let length = 0;
  const inflater = new GzipInflater(limits, (piece) => {
    pieces.push(piece.slice());
    length += piece.length;
  });
  let at = 0;
  for (; at < bytes.length && length < sampleBytes; at += 4096) inflater.push(bytes.subarray(at, at + 4096));
  const complete = at >= bytes.length;
  if (complete) inflater.end();
  const all = concat(pieces);
  if (all.length === 0) {
    throw new SourceFileError(
      "empty-file",
      "The file is empty: the gzip archive holds no bytes. Export it again.",
    );
  }
  return { head: all.subarray(0, sampleBytes), complete: complete && all.length <= sampleBytes };
}

function concat(pieces: readonly Uint8Array[]): Uint8Array {
  const all = new Uint8Array(pieces.reduce((sum, piece) => sum + piece.length, 0));
  let at = 0;
  for (const piece of pieces) {
    all.set(piece, at);
    at += piece.length;
  }
  return all;
}
