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
      if (shape !== "number") continue;
      const text = (row.cells[column] ?? "")
        .replace(/[^\d.,'\u2019\s].*$/u, "")
        .replace(/^[+\-\u2212]/, "")
        .trim();
      const bare = (row.cells[column] ?? "")
        .replace(/^[+\-\u2212]/, "")
        .replace(/[eE°ºCFK%].*$/u, "")
        .trim();
      const number = text === "" ? bare : text;
      if (/^\d{1,3}(?:\s\d{3})+(?:[.,]\d*)?$/u.test(number)) spaces++;
      if (/^\d{1,3}(?:['\u2019]\d{3})+(?:[.,]\d*)?$/u.test(number)) apostrophes++;
      weigh(number.replace(/['\u2019\s]/gu, ""), { line: row.line, column }, comma, dot);
    }
  }
  const separate = spaces > 0 ? " " : apostrophes > 0 ? "'" : null;
  return decide(comma, dot, separate);
}

function weigh(
  number: string,
  where: { line: number; column: number },
  comma: Evidence,
  dot: Evidence,
): void {
  const commas = number.split(",").length - 1;
  const dots = number.split(".").length - 1;
  if (commas > 0 && dots > 0) {
    const last = number.lastIndexOf(",") > number.lastIndexOf(".") ? comma : dot;
    last.decimal++;
    (last === comma ? dot : comma).grouping++;
    return;
  }
  const [evidence, count, mark] = commas > 0 ? [comma, commas, ","] : [dot, dots, "."];
  if (count === 0) return;
  const [whole = "", ...rest] = number.split(mark);
  if (count > 1) {
    if (whole.length >= 1 && whole.length <= 3 && rest.every((group) => group.length === 3))
      evidence.grouping++;
    return;
  }
  const decimals = rest[0] ?? "";
  if (decimals.length !== 3 || whole.length === 0 || whole.length > 3 || whole.startsWith("0"))
    evidence.decimal++;
  else evidence.either.push({ ...where, text: number });
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
 * mostly skin temperatures; if nine in ten lie between 15 and 45, as thousands they would be nothing.
 */
function eitherWay(
  evidence: Evidence,
  mark: "," | ".",
  other: DecimalMark,
  separate: " " | "'" | null,
): NumberFormat {
  const plausible = evidence.either.filter(({ text }) => {
    const value = Number(text.replace(",", "."));
    return value >= 15 && value <= 45;
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
