import { DecimalReader } from "../parse/decimal";
import { asciiBytes } from "./cell-shape";
import type { ShapedRow } from "./find-table";
import type { NumberFormat } from "./guess-number-format";

/** Numbers of each column of the sampled data, in order; cells that hold none are left out. */
export function numbersByColumn(
  data: readonly ShapedRow[],
  columnCount: number,
  format: NumberFormat,
): readonly (readonly number[])[] {
  const read = numberReader(format);
  return Array.from({ length: columnCount }, (_, column) => numbersOfRows(data, column, read));
}

export function numbersOfRows(
  data: readonly ShapedRow[],
  column: number,
  read: (text: string) => number,
): readonly number[] {
  const numbers: number[] = [];
  for (const row of data) {
    if (row.shapes[column] !== "number") continue;
    const value = read(row.cells[column] ?? "");
    if (!Number.isNaN(value)) numbers.push(value);
  }
  return numbers;
}

export function numberReader(format: NumberFormat): (text: string) => number {
  const reader = new DecimalReader(format.decimalMark, format.digitGrouping, "windows-1252");
  return (text) => {
    const bytes = asciiBytes(/\d$/.test(text) ? text : text.replace(/\s*(?:[°º]\s?[CFK]?|[CFK%])$/u, ""));
    return reader.read(bytes, 0, bytes.length, null);
  };
}

export function median(numbers: readonly number[]): number {
  const sorted = Float64Array.from(numbers).sort();
  return sorted[sorted.length >> 1] ?? Number.NaN;
}
