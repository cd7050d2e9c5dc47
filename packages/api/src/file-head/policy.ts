import { defaultLimits, isWorkbook } from "@acral/ingest";
import { headBytes } from "../source-file/policy";

/** Gathers as much of a file as detection and preview look at: the first text, or a workbook as a whole. */
export class Head {
  private readonly parts: Uint8Array[] = [];
  private length = 0;
  private wanted = headBytes;

  /** Whether there is enough of it. */
  get isFull(): boolean {
    return this.length >= this.wanted;
  }

  take(chunk: Uint8Array): void {
    if (this.isFull) return;
    this.parts.push(chunk);
    this.length += chunk.length;
    // One byte more than is opened, so that a workbook that is too large is refused as such.
    if (this.isFull && isWorkbook(this.bytes())) this.wanted = defaultLimits.maxWorkbookBytes + 1;
  }

  bytes(): Buffer {
    return Buffer.concat(this.parts);
  }
}
