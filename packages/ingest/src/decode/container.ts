import { SourceFileError } from "../source-file-error";

interface Signature {
  bytes: readonly number[];
  offset?: number;
  what: string;
}

function ascii(text: string): number[] {
  return [...text].map((c) => c.charCodeAt(0));
}

/** First bytes that give a file away, whatever its name says. Sources: the formats' public specifications. */
const signatures: readonly Signature[] = [
  { bytes: ascii("%PDF-"), what: "a PDF document" },
  { bytes: [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a], what: "a PNG image" },
  { bytes: [0xff, 0xd8, 0xff], what: "a JPEG image" },
  { bytes: ascii("GIF8"), what: "a GIF image" },
  { bytes: [0x49, 0x49, 0x2a, 0x00], what: "a TIFF image" },
  { bytes: [0x4d, 0x4d, 0x00, 0x2a], what: "a TIFF image" },
  { bytes: ascii("RIFF"), what: "a sound or video recording" },
  { bytes: ascii("ftyp"), offset: 4, what: "a video recording" },
  { bytes: [0x1a, 0x45, 0xdf, 0xa3], what: "a video recording" },
  { bytes: [0x89, 0x48, 0x44, 0x46], what: "an HDF5 file" },
  { bytes: ascii("PAR1"), what: "a Parquet file" },
  { bytes: ascii("SQLite format 3"), what: "a database file" },
  { bytes: [0x7f, 0x45, 0x4c, 0x46], what: "a program" },
  { bytes: [0x4d, 0x5a, 0x90, 0x00], what: "a program" },
  { bytes: [0x37, 0x7a, 0xbc, 0xaf, 0x27, 0x1c], what: "a 7z archive" },
  { bytes: ascii("Rar!"), what: "a RAR archive" },
  { bytes: [0xfd, 0x37, 0x7a, 0x58, 0x5a], what: "an XZ archive" },
  { bytes: ascii("BZh"), what: "a bzip2 archive" },
  { bytes: [0x28, 0xb5, 0x2f, 0xfd], what: "a Zstandard archive" },
  { bytes: ascii("ustar"), offset: 257, what: "a TAR archive" },
];

/** How many first bytes `refuseContainer` wants to see. */
export const sniffBytes = 1024;

function startsWith(bytes: Uint8Array, signature: readonly number[], offset = 0): boolean {
  if (bytes.length < offset + signature.length) return false;
  return signature.every((byte, i) => bytes[offset + i] === byte);
}

export function isGzip(bytes: Uint8Array): boolean {
  return startsWith(bytes, [0x1f, 0x8b]);
}

export function isZip(bytes: Uint8Array): boolean {
  return startsWith(bytes, [0x50, 0x4b, 0x03, 0x04]) || startsWith(bytes, [0x50, 0x4b, 0x05, 0x06]);
}

/** Whether the first bytes of a file are those of an XLSX workbook, which can only be opened as a whole. */
export function isWorkbook(head: Uint8Array): boolean {
  return isZip(head) && workbookPart.test(firstEntry(head));
}

/** Parts with which workbooks (and other documents of that family) begin, in whatever order they were packed. */
const workbookPart =
  /^[/\\]?(?:\[Content_Types\]\.xml|_rels[/\\]|docProps[/\\]|customXml[/\\]|xl[/\\]|word[/\\]|ppt[/\\])/i;

/** The name of the first file in a ZIP archive (PKWARE APPNOTE 6.3.10, 4.3.7). */
function firstEntry(head: Uint8Array): string {
  const length = (head[26] ?? 0) | ((head[27] ?? 0) << 8);
  return new TextDecoder().decode(head.subarray(30, 30 + Math.min(length, 256)));
}

/** Throws for every ZIP archive that is no XLSX workbook. */
export function refuseArchive(head: Uint8Array): void {
  if (isWorkbook(head)) return;
  const text = String.fromCharCode(...head.subarray(30, 256));
  if (/^mimetypeapplication\/vnd\.oasis\.opendocument/.test(text)) {
    throw new SourceFileError(
      "unsupported-container",
      "This is an OpenDocument file (such as ODS), which is not read. Open it in your spreadsheet program, save the sheet with the recording as an XLSX workbook or as CSV, and upload that file.",
    );
  }
  throw new SourceFileError(
    "unsupported-container",
    "This is a ZIP archive. Unpack it and upload the text file or workbook inside it (a single text file packed with gzip is read as it is).",
  );
}

/** Throws when the first bytes of a file (or of what a gzip file holds) show that it is no delimited text. */
export function refuseContainer(head: Uint8Array): void {
  if (isZip(head)) {
    refuseArchive(head);
    throw new SourceFileError(
      "bad-column-map",
      "This is an XLSX workbook, but the column map is for text and names no sheet. Detect the columns of this file anew.",
    );
  }
  if (startsWith(head, [0xd0, 0xcf, 0x11, 0xe0, 0xa1, 0xb1, 0x1a, 0xe1])) {
    throw new SourceFileError(
      "unsupported-container",
      "This is an old binary spreadsheet (XLS), a workbook that is protected by a password, or another document of that kind, whatever its name says. Open it in your spreadsheet program, save the sheet with the recording as an XLSX workbook without a password or as CSV, and upload that file.",
    );
  }
  for (const { bytes, offset, what } of signatures) {
    if (startsWith(head, bytes, offset)) {
      throw new SourceFileError(
        "binary-file",
        `This is ${what}, not a table of numbers, whatever its name says. Export the series as CSV or tab-separated text and upload that file.`,
      );
    }
  }
  refuseMarkup(head);
}

function refuseMarkup(head: Uint8Array): void {
  const start = new TextDecoder()
    .decode(head.subarray(0, 256))
    .replace(/^\uFEFF/, "")
    .trimStart();
  if (/^<(\?xml|!doctype|html|[a-z][\w:-]*[\s>])/i.test(start)) {
    throw new SourceFileError(
      "not-a-table",
      "This is an XML or HTML page, not a table. Export the series as CSV or tab-separated text and upload that file.",
      { line: 1 },
    );
  }
  if (/^[{[]\s*["{[]/.test(start)) {
    throw new SourceFileError(
      "not-a-table",
      "This is a JSON file, not a table. Export the series as CSV or tab-separated text and upload that file.",
      { line: 1 },
    );
  }
  if (/^\{\\rtf/.test(start)) {
    throw new SourceFileError(
      "not-a-table",
      "This is a formatted document (RTF), not a table. Save it as plain text and upload that file.",
      { line: 1 },
    );
  }
}
