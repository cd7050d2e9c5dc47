import { DecimalReader } from "../parse/decimal";
import { asciiBytes } from "./cell-shape";
import type { ShapedRow } from "./find-table";
import type { NumberFormat } from "./guess-number-format";

/** Numbers of one column of the sampled data, in order; cells that hold none are left out. */
export function columnNumbers(data: readonly ShapedRow[], column: number, format: NumberFormat): number[] {
  const reader = new DecimalReader(format.decimalMark, format.digitGrouping, "windows-1252");
  const numbers: number[] = [];
  for (const row of data) {
    if (row.shapes[column] !== "number") continue;
    const bytes = asciiBytes((row.cells[column] ?? "").replace(/\s*(?:[°º]\s?[CFK]?|[CFK%])$/u, ""));
    const value = reader.read(bytes, 0, bytes.length, null);
    if (!Number.isNaN(value)) numbers.push(value);
  }
  return numbers;
}

export function median(numbers: readonly number[]): number {
  const sorted = [...numbers].sort((a, b) => a - b);
  return sorted[sorted.length >> 1] ?? Number.NaN;
}
