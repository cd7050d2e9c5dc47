import type { Delimiter } from "../column-map";
import { plainText } from "../match/normalise-name";

/**
 * Identifies a layout: delimiter (in a workbook the name of the sheet, without the numbers and dates that differ from day to
 * day), number of columns and the header without case, accents and spaces. FNV-1a (32 bit,
 * twice with different starts), which is stable on every machine; it tells layouts apart, it protects nothing.
 */
export function layoutFingerprint(
  delimiter: Delimiter | { sheet: string },
  columnCount: number,
  names: readonly string[],
): string {
  const normal = names.map((name) => plainText(name).replace(/[^a-z0-9%°]+/g, "")).join("\u0001");
  const kind = typeof delimiter === "string" ? delimiter : `sheet ${sheetKind(delimiter.sheet)}`;
  const text = `${kind}\u0002${columnCount}\u0002${normal}`;
  return `layout-${columnCount}-${fnv1a(text, 0x811c9dc5)}${fnv1a(text, 0x9747b28c)}`;
}

/** The name of a sheet without what differs from day to day: case, numbers and dates. */
export function sheetKind(name: string): string {
  return plainText(name).replace(/[^a-z]+/g, "");
}

function fnv1a(text: string, start: number): string {
  let hash = start;
  for (let i = 0; i < text.length; i++) {
    hash ^= text.charCodeAt(i);
    hash = Math.imul(hash, 0x01000193);
  }
  return (hash >>> 0).toString(16).padStart(8, "0");
}
