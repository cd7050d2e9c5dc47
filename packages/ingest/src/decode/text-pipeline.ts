import type { Encoding } from "../column-map";
import type { ReadLimits } from "../limits";
import { createRowScanner } from "../scan/create-row-scanner";
import type { RowScanner, RowSink, ScanOptions } from "../scan/row-scanner";
import { SourceFileError } from "../source-file-error";
import { isGzip, refuseContainer, sniffBytes } from "./container";
import { GzipInflater } from "./inflate";
import { TextBytes } from "./text-bytes";

/**
 * Bytes as uploaded in, rows out: looks at the first bytes, inflates gzip, looks again, brings the text to ASCII-compatible
 * bytes and scans rows. Pure push: whoever has bytes, from memory or a stream, calls `push` and then `end`.
 */
export class TextPipeline {
  bytes = 0;
  textBytes = 0;
  compressed = false;
  readonly scanner: RowScanner;
  private readonly limits: ReadLimits;
  private readonly text: TextBytes;
  private inflater: GzipInflater | null = null;
  private outer: Uint8Array | null = new Uint8Array(0);
  private inner: Uint8Array | null = new Uint8Array(0);

  constructor(encoding: Encoding, options: ScanOptions, sink: RowSink) {
    this.limits = options.limits;
    this.scanner = createRowScanner(options, sink);
    this.text = new TextBytes(encoding, (bytes) => this.scanner.push(bytes));
  }

  push(chunk: Uint8Array): void {
    this.bytes += chunk.length;
    if (this.outer === null) {
      this.pushOpened(chunk);
      return;
    }
    const wanted = sniffBytes - this.outer.length;
    this.outer = joined(this.outer, chunk.subarray(0, wanted));
    if (this.outer.length < sniffBytes) return;
    this.openOuter(this.outer);
    if (chunk.length > wanted) this.pushOpened(chunk.subarray(wanted));
  }

  end(): void {
    if (this.bytes === 0) {
      throw new SourceFileError(
        "empty-file",
        "The file is empty: it holds no bytes at all. Export it again.",
      );
    }
    if (this.outer !== null) this.openOuter(this.outer);
    this.inflater?.end();
    if (this.inner !== null) this.openInner(this.inner);
    if (this.textBytes === 0) {
      throw new SourceFileError(
        "empty-file",
        "The file is empty: the gzip archive holds no bytes. Export it again.",
      );
    }
    this.text.end();
    this.scanner.end();
  }

  private openOuter(head: Uint8Array): void {
    this.outer = null;
    this.compressed = isGzip(head);
    if (this.compressed) this.inflater = new GzipInflater(this.limits, (bytes) => this.pushText(bytes));
    this.pushOpened(head);
  }

  private pushOpened(chunk: Uint8Array): void {
    if (this.inflater !== null) this.inflater.push(chunk);
    else this.pushText(chunk);
  }

  private pushText(chunk: Uint8Array): void {
    this.textBytes += chunk.length;
    if (this.textBytes > this.limits.maxTextBytes) {
      throw new SourceFileError(
        "too-large",
        `The file holds more than ${Math.round(this.limits.maxTextBytes / 2 ** 20)} MiB of text. Split the recording and upload its parts.`,
      );
    }
    if (this.inner === null) {
      this.text.push(chunk);
      return;
    }
    const wanted = sniffBytes - this.inner.length;
    this.inner = joined(this.inner, chunk.subarray(0, wanted));
    if (this.inner.length < sniffBytes) return;
    this.openInner(this.inner);
    if (chunk.length > wanted) this.text.push(chunk.subarray(wanted));
  }

  private openInner(head: Uint8Array): void {
    this.inner = null;
    if (isGzip(head)) {
      throw new SourceFileError(
        "unsupported-container",
        "The gzip file holds another gzip file. Unpack it once and upload what comes out.",
      );
    }
    refuseContainer(head);
    this.text.push(head);
  }
}

function joined(first: Uint8Array, second: Uint8Array): Uint8Array {
  if (first.length === 0) return second.slice();
  const both = new Uint8Array(first.length + second.length);
  both.set(first);
  both.set(second, first.length);
  return both;
}
