import type { SourceFileErrorCode } from "@acral/ingest";

/** How many bytes of text detection and preview look at. */
export const headBytes = 1024 * 1024;

/** Sizes are held as 32-bit integers. */
export const largestFileBytes = 2 ** 31 - 1;

/** A file in which nothing can ever be read is refused before it is kept; every other one is kept, with its problem. */
export function isHopeless(code: SourceFileErrorCode): boolean {
  switch (code) {
    case "empty-file":
    case "binary-file":
    case "not-text":
    case "unsupported-container":
    case "damaged-gzip":
    case "too-large":
      return true;
    case "not-a-table":
    case "too-many-columns":
    case "line-too-long":
    case "unclosed-quote":
    case "encoding-differs":
    case "header-differs":
    case "no-time-column":
    case "frame-rate-missing":
    case "unknown-unit":
    case "unknown-region":
    case "nothing-to-read":
    case "no-data-rows":
    case "bad-number":
    case "bad-column-map":
      return false;
  }
}

/** The first bytes of a text up to its last whole line, so that a cut does not look like a damaged file. */
export function wholeLines(bytes: Uint8Array): Uint8Array {
  const lineFeed = bytes.lastIndexOf(0x0a);
  if (lineFeed < 0) return bytes;
  const littleEndian = bytes[0] === 0xff && bytes[1] === 0xfe;
  return bytes.subarray(0, lineFeed + (littleEndian ? 2 : 1));
}
