import { Inflate } from "fflate";
import { Crc32 } from "../decode/crc32";
import type { ReadLimits } from "../limits";
import { SourceFileError } from "../source-file-error";
import { damagedWorkbook } from "./damaged-workbook";
import { packedBytesOf, type ZipEntry } from "./zip-directory";

/** Small enough that one step cannot unpack to more than about 4 MiB (deflate packs at most 1032:1). */
const stepBytes = 4096;
const ratioFreeBytes = 16 * 2 ** 20;

/**
 * Unpacks one part of a workbook piece by piece into `sink`; each step of the iterator is a small amount of work, so that a
 * server can do something else in between, and whoever has seen enough just stops. What the directory claims about sizes
 * is never believed: too many bytes, or far too many for their packed size, are refused as they come.
 */
export function* unpackEntry(
  bytes: Uint8Array,
  entry: ZipEntry,
  limits: ReadLimits,
  sink: (piece: Uint8Array) => void,
): Generator<void> {
  if (entry.encrypted) {
    throw new SourceFileError(
      "unsupported-container",
      "The workbook is protected by a password. Save it without one, or export the sheet as CSV.",
    );
  }
  const packed = packedBytesOf(bytes, entry);
  const crc = new Crc32();
  let unpacked = 0;
  let taken = 0;
  const take = (piece: Uint8Array) => {
    unpacked += piece.length;
    const bomb = unpacked > ratioFreeBytes && unpacked > taken * limits.maxCompressionRatio;
    if (bomb || unpacked > limits.maxSheetBytes) throw tooLarge(entry.name, bomb, limits);
    crc.update(piece);
    if (piece.length > 0) sink(piece);
  };
  const inflate = unpacker(entry, take);
  for (let at = 0; at < packed.length || at === 0; at += stepBytes) {
    const piece = packed.subarray(at, at + stepBytes);
    taken += piece.length;
    inflate(piece, at + stepBytes >= packed.length);
    yield;
  }
  if (crc.value() !== entry.crc || unpacked !== entry.bytes) {
    throw damagedWorkbook(`its part ${entry.name} does not match its checksum`);
  }
}

function unpacker(
  entry: ZipEntry,
  take: (piece: Uint8Array) => void,
): (piece: Uint8Array, last: boolean) => void {
  if (entry.method === 0) return take;
  if (entry.method !== 8) throw damagedWorkbook(`its part ${entry.name} is packed in an unknown way`);
  const inflate = new Inflate(take);
  return (piece, last) => {
    try {
      inflate.push(piece, last);
    } catch (error) {
      // Only fflate's own errors carry a number as code; anything else comes from the sink.
      if (!(error instanceof Error) || typeof (error as { code?: unknown }).code !== "number") throw error;
      throw damagedWorkbook(`its part ${entry.name} cannot be unpacked`);
    }
  };
}

function tooLarge(name: string, bomb: boolean, limits: ReadLimits): SourceFileError {
  return new SourceFileError(
    "too-large",
    bomb
      ? `The part ${name} of the workbook unpacks to more than ${limits.maxCompressionRatio} times its size, which no recording does. It is refused; export the sheet as CSV if it is one.`
      : `The part ${name} of the workbook unpacks to more than ${Math.round(limits.maxSheetBytes / 2 ** 20)} MiB. Export the sheet as CSV, or split the recording.`,
  );
}
