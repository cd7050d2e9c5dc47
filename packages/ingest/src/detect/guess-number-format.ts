import type { DecimalMark, DigitGrouping } from "../column-map";
import type { Doubt } from "../detection";
import type { ShapedRow } from "./find-table";

export interface NumberFormat {
  decimalMark: DecimalMark;
  digitGrouping: DigitGrouping | null;
  doubts: Doubt[];
}

interface Evidence {
  /** The mark cannot group digits here: "0,5", "31,45", "1234,567". */
  decimal: number;
  /** The mark can only group digits: "1,234,567", or it stands before the other one. */
  grouping: number;
  /** Either: "31,234". */
  either: { line: number; column: number; text: string }[];
}

/** Decides decimal mark and digit grouping from the cells of the data. */
export function guessNumberFormat(data: readonly ShapedRow[]): NumberFormat {
  const comma: Evidence = { decimal: 0, grouping: 0, either: [] };
  const dot: Evidence = { decimal: 0, grouping: 0, either: [] };
  let spaces = 0;
  let apostrophes = 0;
  for (const row of data) {
    for (const [column, shape] of row.shapes.entries()) {
      // A number that a workbook stores has no mark of its own.
      if (shape !== "number" || row.stored?.[column] === true) continue;
      const cell = row.cells[column] ?? "";
      // Most cells are plain: digits, one mark, digits.
      const number = plainNumber.test(cell) ? cell : bareNumber(cell);
      if (separators.test(number)) {
        if (/^\d{1,3}(?:\s\d{3})+(?:[.,]\d*)?$/u.test(number)) spaces++;
        if (/^\d{1,3}(?:['\u2019]\d{3})+(?:[.,]\d*)?$/u.test(number)) apostrophes++;
      }
      weigh(number, row.line, column, comma, dot);
    }
  }
  const separate = spaces > 0 ? " " : apostrophes > 0 ? "'" : null;
  return decide(comma, dot, separate);
}

const plainNumber = /^\d+(?:[.,]\d+)?$/;
const separators = /['\u2019\s]/u;

/** A number without sign, exponent and unit. */
function bareNumber(cell: string): string {
  return cell
    .replace(/^[+\-\u2212]/, "")
    .replace(/[eE°ºCFK%].*$/u, "")
    .trim();
}

function weigh(grouped: string, line: number, column: number, comma: Evidence, dot: Evidence): void {
  const number = plainNumber.test(grouped) ? grouped : grouped.replace(/['\u2019\s]/gu, "");
  const firstComma = number.indexOf(",");
  const firstDot = number.indexOf(".");
  if (firstComma >= 0 && firstDot >= 0) {
    const last = number.lastIndexOf(",") > number.lastIndexOf(".") ? comma : dot;
    last.decimal++;
    (last === comma ? dot : comma).grouping++;
    return;
  }
  const first = Math.max(firstComma, firstDot);
  if (first < 0) return;
  const evidence = firstComma >= 0 ? comma : dot;
  const mark = firstComma >= 0 ? "," : ".";
  if (number.indexOf(mark, first + 1) >= 0) {
    const [whole = "", ...groups] = number.split(mark);
    if (whole.length >= 1 && whole.length <= 3 && groups.every((group) => group.length === 3))
      evidence.grouping++;
    return;
  }
  const canGroup = number.length - first === 4 && first >= 1 && first <= 3 && !number.startsWith("0");
  if (canGroup) evidence.either.push({ line, column, text: number });
  else evidence.decimal++;
}

function decide(comma: Evidence, dot: Evidence, separate: " " | "'" | null): NumberFormat {
  if (comma.decimal > 0 && dot.decimal > 0) {
    const decimalMark = comma.decimal > dot.decimal ? "," : ".";
    return {
      decimalMark,
      digitGrouping: separate,
      doubts: [
        doubt(decimalMark, null, null, "Some numbers have a decimal comma and others a decimal point."),
      ],
    };
  }
  if (comma.decimal > 0) {
    return {
      decimalMark: ",",
      digitGrouping: separate ?? (dot.grouping + dot.either.length > 0 ? "." : null),
      doubts: [],
    };
  }
  if (dot.decimal > 0) {
    return {
      decimalMark: ".",
      digitGrouping: separate ?? (comma.grouping + comma.either.length > 0 ? "," : null),
      doubts: [],
    };
  }
  if (comma.grouping > 0) return { decimalMark: ".", digitGrouping: ",", doubts: [] };
  if (dot.grouping > 0) return { decimalMark: ",", digitGrouping: ".", doubts: [] };
  if (comma.either.length > 0) return eitherWay(comma, ",", ".", separate);
  if (dot.either.length > 0) return eitherWay(dot, ".", ",", separate);
  return { decimalMark: ".", digitGrouping: separate, doubts: [] };
}

/**
 * Every number with a mark has exactly three digits behind it. As decimals the numbers of a thermoregulation file are
 * mostly skin temperatures; if nine in ten are such in °C, °F or K, as thousands they would be nothing.
 */
function eitherWay(
  evidence: Evidence,
  mark: "," | ".",
  other: DecimalMark,
  separate: " " | "'" | null,
): NumberFormat {
  const plausible = evidence.either.filter(({ text }) => {
    const value = Number(text.replace(",", "."));
    return (value >= 15 && value <= 48) || (value >= 50 && value <= 118) || (value >= 278 && value <= 321);
  });
  const [first] = evidence.either;
  const decimal: NumberFormat = { decimalMark: mark, digitGrouping: separate, doubts: [] };
  if (plausible.length >= 0.9 * evidence.either.length || first === undefined) return decimal;
  return {
    ...decimal,
    doubts: [
      doubt(
        mark,
        first.line,
        first.column,
        `"${first.text}" can be read with "${mark}" as decimal mark or as digit grouping (decimal mark "${other}"), and no number in the file decides it.`,
      ),
    ],
  };
}

function doubt(guessed: DecimalMark, line: number | null, column: number | null, reason: string): Doubt {
  return {
    kind: "decimal mark",
    field: "decimalMark",
    line,
    column,
    guessed,
    alternatives: [guessed === "," ? "." : ","],
    reason,
  };
}
