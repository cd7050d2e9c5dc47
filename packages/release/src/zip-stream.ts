import { createHash } from "node:crypto";
import { Zip, ZipDeflate } from "fflate";
import { ReleaseRefusedError } from "./errors";

/** Noon, because some time zone has skipped midnight before: local time is what a ZIP stores. */
const dosEpoch = new Date(1980, 0, 1, 12, 0, 0);
/** What the plain ZIP format can address. */
const largestArchive = 0xffffffff;
const mostFiles = 0xffff;

/**
 * Packs files one after another. Nothing is kept but what `take` has not fetched yet, and the list of files. The
 * bytes depend on the content alone: one date for all, and deflate in plain JavaScript, not the machine's library.
 */
export class ZipStream {
  readonly #zip: Zip;
  #ready: Uint8Array[] = [];
  #total = 0;
  #files = 0;

  constructor() {
    this.#zip = new Zip((error, chunk) => {
      if (error) throw error;
      this.#total += chunk.length;
      if (this.#total > largestArchive) {
        throw new ReleaseRefusedError("The package would exceed 4 GiB, the most that a ZIP file can hold.");
      }
      if (chunk.length > 0) this.#ready.push(chunk);
    });
  }

  startFile(path: string): FileInZip {
    if (++this.#files > mostFiles) {
      throw new ReleaseRefusedError(`The package would have more than ${mostFiles} files.`);
    }
    // Level 1: a sixth more bytes than level 6 for tables of temperatures, in half the time.
    const file = new ZipDeflate(path, { level: 1 });
    file.mtime = dosEpoch;
    this.#zip.add(file);
    return new FileInZip(path, file);
  }

  end(): void {
    this.#zip.end();
  }

  /** What is ready to be sent, as one piece; null while it is less than `atLeast` bytes. */
  take(atLeast: number): Uint8Array | null {
    const length = this.#ready.reduce((sum, chunk) => sum + chunk.length, 0);
    if (length === 0 || length < atLeast) return null;
    const piece = new Uint8Array(length);
    let offset = 0;
    for (const chunk of this.#ready) {
      piece.set(chunk, offset);
      offset += chunk.length;
    }
    this.#ready = [];
    return piece;
  }
}

const encoder = new TextEncoder();

class FileInZip {
  readonly #hash = createHash("sha256");
  #bytes = 0;
  readonly #file: ZipDeflate;

  constructor(
    readonly path: string,
    file: ZipDeflate,
  ) {
    this.#file = file;
  }

  write(text: string): void {
    this.writeBytes(encoder.encode(text));
  }

  writeBytes(bytes: Uint8Array): void {
    this.#bytes += bytes.length;
    this.#hash.update(bytes);
    this.#file.push(bytes);
  }

  end(): { path: string; bytes: number; sha256: string } {
    this.#file.push(new Uint8Array(0), true);
    return { path: this.path, bytes: this.#bytes, sha256: this.#hash.digest("hex") };
  }
}
