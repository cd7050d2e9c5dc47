import type { DecimalMark, DigitGrouping } from "../column-map";
import { decodeText } from "../decode/decode-text";
import type { CellEncoding } from "../decode/text-bytes";
import { plainUnit } from "../units";
import { powersOfTen } from "./powers-of-ten";

const exactDigits = 15;

/**
 * Reads decimal numbers from text bytes to the nearest double. Up to fifteen digits are gathered as a whole number and
 * divided once by a power of ten, both exact, so that the one rounding is the correct one (Clinger 1990, PLDI); anything
 * longer or rarer goes through `Number`.
 *
 * After a successful `read`, the number is `mantissa` / 10^`scale` exactly if `exact`.
 */
export class DecimalReader {
  mantissa = 0;
  scale = 0;
  exact = false;
  private readonly mark: number;
  private readonly grouped: RegExp | null;
  private readonly plain: RegExp;

  constructor(
    decimalMark: DecimalMark,
    grouping: DigitGrouping | null,
    private readonly encoding: CellEncoding,
  ) {
    this.mark = decimalMark.charCodeAt(0);
    const mark = decimalMark === "." ? "\\." : ",";
    this.plain = new RegExp(`^[+-]?(?:\\d+(?:${mark}\\d*)?|${mark}\\d+)(?:[eE][+-]?\\d+)?$`);
    const group =
      grouping === null
        ? null
        : grouping === " "
          ? "[ \\u00a0\\u2007\\u2009\\u202f]"
          : grouping === "."
            ? "\\."
            : grouping === "'"
              ? "['\\u2019]"
              : ",";
    this.grouped = group === null ? null : new RegExp(`^[+-]?\\d{1,3}(?:${group}\\d{3})+(?:${mark}\\d*)?$`);
  }

  /** The number in bytes[start, end), or NaN if there is none. `unit` may stand behind the number. */
  read(bytes: Uint8Array, start: number, end: number, unit: string | null): number {
    let p = start;
    let byte = bytes[p] as number;
    let negative = false;
    if (byte === 0x2d || byte === 0x2b) {
      negative = byte === 0x2d;
      p++;
    }
    const firstDigit = p;
    let m = 0;
    for (; p < end; p++) {
      byte = (bytes[p] as number) - 48;
      if (byte < 0 || byte > 9) break;
      m = m * 10 + byte;
    }
    let digits = p - firstDigit;
    let scale = 0;
    if (p < end && bytes[p] === this.mark) {
      p++;
      const firstDecimal = p;
      for (; p < end; p++) {
        byte = (bytes[p] as number) - 48;
        if (byte < 0 || byte > 9) break;
        m = m * 10 + byte;
      }
      scale = p - firstDecimal;
      digits += scale;
    }
    if (p !== end || digits === 0 || digits > exactDigits) return this.readSlowly(bytes, start, end, unit);
    if (negative) m = -m;
    this.mantissa = m;
    this.scale = scale;
    this.exact = true;
    return scale === 0 ? m : m / (powersOfTen[scale] as number);
  }

  private readSlowly(bytes: Uint8Array, start: number, end: number, unit: string | null): number {
    let text = decodeText(bytes, start, end, this.encoding).trim();
    if (unit !== null) text = withoutUnit(text, unit);
    text = text.replace(/^[\u2212\u2012\u2013]/, "-");
    if (this.grouped?.test(text) === true) {
      const markText = String.fromCharCode(this.mark);
      const [whole = "", decimals] = text.split(markText);
      text = whole.replace(/[^\d+-]/g, "") + (decimals === undefined ? "" : markText + decimals);
    } else if (!this.plain.test(text)) return Number.NaN;
    if (this.mark === 0x2c) text = text.replace(",", ".");
    const value = Number(text);
    if (!Number.isFinite(value)) return Number.NaN;
    this.setParts(text);
    return value;
  }

  private setParts(text: string): void {
    const [whole = "", decimals = ""] = text.split(".");
    this.exact = !/[eE]/.test(text) && whole.length + decimals.length <= exactDigits;
    this.mantissa = this.exact ? Number(whole + decimals) : Number.NaN;
    this.scale = decimals.length;
  }
}

/** Drops the column's own unit written behind the number ("31.5 °C"); any other text stays, and is no number. */
function withoutUnit(text: string, unit: string): string {
  const match = /^([+\-\u2212]?[\d.,'\u2019\s]*\d[.,]?)\s*([^\d\s].*)$/.exec(text);
  if (match === null) return text;
  const [, number = "", written = ""] = match;
  if (/[.,;]/.test(written)) return text;
  const same = plainUnit(written).replace("°", "") === plainUnit(unit).replace("°", "");
  return same ? number.trim() : text;
}
