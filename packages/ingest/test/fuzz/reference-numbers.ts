import { gunzipSync } from "node:zlib";
import { strFromU8, unzipSync } from "fflate";
import type { ColumnMap } from "../../src/index";

/**
 * A second, slow and simple way to the numbers of a file, for comparison: every stretch of text between two boundaries of
 * cells that `Number` takes for a decimal. It knows nothing of rows, columns and chunks.
 */
export function numbersIn(bytes: Uint8Array, map: ColumnMap): number[] {
  const numbers = new Set<number>();
  // A workbook stores its numbers with a point, whatever mark its texts have.
  const stored: ColumnMap = { ...map, decimalMark: ".", digitGrouping: null };
  for (const piece of piecesOf(bytes, map)) {
    for (const text of [piece, piece.replace(/\s*[^\d.,'’\s+-][\s\S]*$/u, "")]) {
      for (const spelling of map.sheet === null ? [map] : [map, stored]) {
        const number = numberOf(text, spelling);
        if (number !== null) numbers.add(number);
      }
    }
  }
  return [...numbers];
}

function piecesOf(bytes: Uint8Array, map: ColumnMap): string[] {
  if (bytes[0] === 0x50 && bytes[1] === 0x4b) return workbookPieces(bytes);
  const text = textOf(bytes, map.encoding);
  const between = map.quote === null ? [text] : text.split(map.quote);
  return [...between, ...between.flatMap((part) => part.split(boundary(map.delimiter)))];
}

function workbookPieces(bytes: Uint8Array): string[] {
  return Object.values(unzipSync(bytes)).flatMap((part) =>
    strFromU8(part)
      .split(/<[^>]*>/)
      .map((text) => text.replace(/&#(\d+);/g, (_, code: string) => String.fromCodePoint(Number(code)))),
  );
}

function boundary(delimiter: ColumnMap["delimiter"]): RegExp {
  switch (delimiter) {
    case "spaces":
      return /[ \t\r\n]/;
    case "wide spaces":
      return / {2,}| ?\t| ?[\r\n]/;
    case "|":
      return /[|\r\n]/;
    default:
      return new RegExp(`[${delimiter}\\r\\n]`);
  }
}

/** The text of a file in a stated encoding, unpacked if need be. */
export function textOf(bytes: Uint8Array, encoding: ColumnMap["encoding"]): string {
  const plain = bytes[0] === 0x1f && bytes[1] === 0x8b ? new Uint8Array(gunzipSync(bytes)) : bytes;
  switch (encoding) {
    case "iso-8859-1":
      return strFromU8(plain, true);
    case "utf-16be": {
      const swapped = plain.slice();
      for (let i = 0; i + 1 < swapped.length; i += 2) swapped.subarray(i, i + 2).reverse();
      return new TextDecoder("utf-16le").decode(swapped);
    }
    default:
      return new TextDecoder(encoding).decode(plain);
  }
}

const groupings = { ",": ",", ".": "\\.", "'": "['\u2019]", " ": "[ \u00a0\u2007\u2009\u202f]" } as const;

function numberOf(piece: string, { decimalMark, digitGrouping }: ColumnMap): number | null {
  let text = piece.trim().replace(/^[\u2212\u2012\u2013]/, "-");
  if (digitGrouping !== null) {
    const group = groupings[digitGrouping];
    const mark = decimalMark === "." ? "\\." : ",";
    if (new RegExp(`^[+-]?\\d{1,3}(${group}\\d{3})+(${mark}\\d*)?$`).test(text))
      text = text.replace(new RegExp(group, "g"), "");
  }
  if (decimalMark === ",") {
    if (text.includes(".")) return null;
    text = text.replace(",", ".");
  }
  if (!/^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?$/.test(text)) return null;
  const number = Number(text);
  return Number.isFinite(number) ? number : null;
}
