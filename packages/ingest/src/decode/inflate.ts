import { Gunzip } from "fflate";
import type { ReadLimits } from "../limits";
import { SourceFileError } from "../source-file-error";
import { Crc32 } from "./crc32";

/** Small enough that one push cannot inflate to more than about 4 MiB (deflate packs at most 1032:1). */
const pushBytes = 4096;
const ratioFreeBytes = 16 * 2 ** 20;

/** Inflates a gzip stream piece by piece, checks its checksum, and refuses one that would fill the memory. */
export class GzipInflater {
  private readonly gunzip: Gunzip;
  private readonly crc = new Crc32();
  private readonly trailer = new Uint8Array(8);
  private packed = 0;
  private inflated = 0;
  private memberBytes = 0;

  constructor(
    private readonly limits: ReadLimits,
    private readonly sink: (bytes: Uint8Array) => void,
  ) {
    this.gunzip = new Gunzip((bytes) => this.take(bytes));
    this.gunzip.onmember = () => {
      this.crc.reset();
      this.memberBytes = 0;
    };
  }

  push(bytes: Uint8Array): void {
    for (let at = 0; at < bytes.length; at += pushBytes) {
      const piece = bytes.subarray(at, at + pushBytes);
      this.packed += piece.length;
      this.rememberTrailer(piece);
      this.guarded(piece, false);
    }
  }

  end(): void {
    this.guarded(new Uint8Array(0), true);
    const view = new DataView(this.trailer.buffer);
    if (view.getUint32(0, true) !== this.crc.value() || view.getUint32(4, true) !== this.memberBytes >>> 0) {
      throw new SourceFileError(
        "damaged-gzip",
        "The gzip file is damaged: its contents do not match its checksum. Copy or export it again.",
      );
    }
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

  private rememberTrailer(piece: Uint8Array): void {
    if (piece.length >= 8) {
      this.trailer.set(piece.subarray(piece.length - 8));
      return;
    }
    this.trailer.copyWithin(0, piece.length);
    this.trailer.set(piece, 8 - piece.length);
  }
}
