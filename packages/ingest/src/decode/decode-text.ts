import type { CellEncoding } from "./text-bytes";

/** Windows-1252 from 0x80 to 0x9F (WHATWG Encoding Standard, index windows-1252). */
const windows1252 =
  "\u20ac\u0081\u201a\u0192\u201e\u2026\u2020\u2021\u02c6\u2030\u0160\u2039\u0152\u008d\u017d\u008f" +
  "\u0090\u2018\u2019\u201c\u201d\u2022\u2013\u2014\u02dc\u2122\u0161\u203a\u0153\u009d\u017e\u0178";

const utf8 = new TextDecoder("utf-8");

/** Text of a range of bytes; most cells are short ASCII, for which building the string here is the quickest. */
export function decodeText(bytes: Uint8Array, start: number, end: number, encoding: CellEncoding): string {
  let text = "";
  for (let i = start; i < end; i++) {
    const byte = bytes[i] as number;
    if (byte < 0x80) text += String.fromCharCode(byte);
    else if (encoding === "utf-8") return utf8.decode(bytes.subarray(start, end));
    else if (encoding === "windows-1252" && byte < 0xa0) text += windows1252.charAt(byte - 0x80);
    else text += String.fromCharCode(byte);
  }
  return text;
}
