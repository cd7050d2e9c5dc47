import { Gunzip } from "fflate";
import type { ReadLimits } from "../limits";
import { SourceFileError } from "../source-file-error";
import { Crc32 } from "./crc32";

/** Small enough that one push cannot inflate to more than about 4 MiB (deflate packs at most 1032:1). */
const pushBytes = 4096;
const ratioFreeBytes = 16 * 2 ** 20;
/** Bytes of a member behind its checksum and length (RFC 1952, section 2.3). */
const trailerBytes = 8;
/** How far back a trailer is looked for: a member is told of when its header has arrived, which may hold a file name. */
const keptBytes = 4096;

/** Inflates a gzip stream piece by piece, checks the checksum of each member, and refuses one that would fill the memory. */
export class GzipInflater {
  private readonly gunzip: Gunzip;
  private readonly crc = new Crc32();
  /** The last packed bytes. */
  private readonly kept = new Uint8Array(keptBytes);
  private packed = 0;
  private inflated = 0;
  private memberBytes = 0;

  constructor(
    private readonly limits: ReadLimits,
    private readonly sink: (bytes: Uint8Array) => void,
  ) {
    this.gunzip = new Gunzip((bytes) => this.take(bytes));
    this.gunzip.onmember = (offset) => {
      this.checkMember(offset);
      this.crc.reset();
      this.memberBytes = 0;
    };
  }

  push(bytes: Uint8Array): void {
    for (let at = 0; at < bytes.length; at += pushBytes) {
      const piece = bytes.subarray(at, at + pushBytes);
      this.packed += piece.length;
      this.keep(piece);
      this.guarded(piece, false);
    }
  }

  end(): void {
    this.guarded(new Uint8Array(0), true);
    this.checkMember(this.packed);
  }

  private guarded(piece: Uint8Array, final: boolean): void {
    try {
      this.gunzip.push(piece, final);
    } catch (error) {
      if (error instanceof SourceFileError) throw error;
      // Only fflate's own errors carry a number as code; anything else is a fault of ours.
      if (!(error instanceof Error) || typeof (error as { code?: unknown }).code !== "number") throw error;
      throw new SourceFileError(
        "damaged-gzip",
        final
          ? "The gzip file ends too early: part of it is missing. Copy or export it again."
          : "The gzip file is damaged and cannot be unpacked. Copy or export it again.",
      );
    }
  }

  private take(bytes: Uint8Array): void {
    if (bytes.length === 0) return;
    this.crc.update(bytes);
    this.memberBytes += bytes.length;
    this.inflated += bytes.length;
    const bomb =
      this.inflated > ratioFreeBytes && this.inflated > this.packed * this.limits.maxCompressionRatio;
    if (bomb || this.inflated > this.limits.maxTextBytes) {
      throw new SourceFileError(
        "too-large",
        bomb
          ? `The gzip file unpacks to more than ${this.limits.maxCompressionRatio} times its size, which no recording does. It is refused; unpack it yourself and look inside.`
          : `The gzip file unpacks to more than ${Math.round(this.limits.maxTextBytes / 2 ** 20)} MiB. Split the recording and upload its parts.`,
      );
    }
    this.sink(bytes);
  }

  /** Throws unless the trailer that ends at this place among the packed bytes fits what was unpacked. */
  private checkMember(end: number): void {
    const at = keptBytes - (this.packed - end) - trailerBytes;
    const view = new DataView(this.kept.buffer);
    const fits =
      at >= 0 &&
      view.getUint32(at, true) === this.crc.value() &&
      view.getUint32(at + 4, true) === this.memberBytes >>> 0;
    if (fits) return;
    throw new SourceFileError(
      "damaged-gzip",
      "The gzip file is damaged: its contents do not match its checksum. Copy or export it again.",
    );
  }

  private keep(piece: Uint8Array): void {
    this.kept.copyWithin(0, piece.length);
    this.kept.set(piece, keptBytes - piece.length);
  }
}
