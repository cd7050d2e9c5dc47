import type { SourceFileErrorCode } from "@acral/ingest";
import type { StoredReport } from "./schema";

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
    case "damaged-workbook":
    case "too-large":
      return true;
    case "not-a-table":
    case "too-many-columns":
    case "line-too-long":
    case "unclosed-quote":
    case "encoding-differs":
    case "header-differs":
    case "blocks-differ":
    case "no-such-sheet":
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

/** Warnings that repeat what the rows that were not used, and the cells, say already. */
const saidOfRowsAndCells = ["text in a number column", "header repeated"];

/** What every file has and nobody needs to look at. */
const ordinary = ["before the data", "header", "block title", "blank", "series left out"];

const placesOf = (place: "line" | "row", lines: readonly number[], count: number) =>
  `${place} ${lines.slice(0, 8).join(", ")}${count > Math.min(8, lines.length) ? " and more" : ""}`;

/** How many rows were read and used, and how many were not for a reason that somebody should look at. */
export function rowsOf({ rowsRead, rowsUsed, rowsNotUsed }: StoredReport) {
  const notUsed = rowsNotUsed.reduce(
    (sum, { reason, count }) => (ordinary.includes(reason) ? sum : sum + count),
    0,
  );
  return { read: rowsRead, used: rowsUsed, notUsed };
}

/** What a person should know of a file that was read: rows and cells that were not used, and where they stand. */
export function readingLosses(report: StoredReport): string[] {
  const linesOf = (lines: readonly number[], count: number) => placesOf(report.places, lines, count);
  const rows = report.rowsNotUsed
    .filter(({ reason }) => !ordinary.includes(reason))
    .map(({ reason, count, lines }) =>
      reason === "cut off"
        ? `The file breaks off in the middle of its last row (${linesOf(lines, count)}), which was not used. If the recording went on, export it again.`
        : `${count} ${count === 1 ? "row was" : "rows were"} not used, ${reason}: ${linesOf(lines, count)}.`,
    );
  const cells = report.missingValues
    .filter(({ unreadable }) => unreadable > 0)
    .map(
      ({ name, unreadable, unreadableCells }) =>
        `${name}: ${unreadable} ${unreadable === 1 ? "cell holds no number and counts" : "cells hold no number and count"} as missing (${linesOf(
          unreadableCells.map(({ line }) => line),
          unreadable,
        )}).`,
    );
  const others = report.warnings.filter(({ kind }) => !saidOfRowsAndCells.includes(kind));
  const warnings = others.map(({ message, count, lines }) =>
    lines.length === 0 ? message : `${message} (${linesOf(lines, count)})`,
  );
  return [...rows, ...cells, ...warnings];
}
