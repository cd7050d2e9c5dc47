export type ScanType = "application/pdf" | "image/png" | "image/jpeg";

/** A scan is a few pages at most. */
export const scanLimitBytes = 15_000_000;

const beginsWith = (bytes: Uint8Array, head: readonly number[]) =>
  head.every((value, index) => bytes[index] === value);

/**
 * What a scan is by its content, whatever its name says; null for anything else. First bytes as in ISO 32000-2 7.5.2,
 * W3C PNG (third edition) 5.2, ITU-T T.81 B.1.1.3 (SOI and the first marker after it).
 */
export function scanType(bytes: Uint8Array): ScanType | null {
  if (beginsWith(bytes, [0x25, 0x50, 0x44, 0x46, 0x2d])) return "application/pdf";
  if (beginsWith(bytes, [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a])) return "image/png";
  if (beginsWith(bytes, [0xff, 0xd8, 0xff])) return "image/jpeg";
  return null;
}

const endings: Readonly<Record<string, string>> = {
  "application/pdf": "pdf",
  "image/png": "png",
  "image/jpeg": "jpg",
};

/** What a file is saved as: the code and no name. */
export function paperFileName(code: string, kind: string, mediaType: string): string {
  return `consent-${code}-${kind}.${endings[mediaType] ?? "bin"}`;
}
