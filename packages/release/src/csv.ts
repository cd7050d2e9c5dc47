import { float64Text } from "./number-text";

export type Cell = string | number | null;

/** Rows end as RFC 4180 says. */
export const rowEnd = "\r\n";

/**
 * Text as it is written: what begins like a spreadsheet formula gets an apostrophe in front, so that a spreadsheet
 * shows it instead of computing it. README.md says so.
 */
function harmlessText(text: string): string {
  return /^[=+\-@\t\r]/.test(text) ? `'${text}` : text;
}

/** One CSV row after RFC 4180. Missing values are empty. */
export function csvRow(cells: readonly Cell[]): string {
  return cells.map(cellText).join(",") + rowEnd;
}

function cellText(cell: Cell): string {
  if (cell === null) return "";
  if (typeof cell === "number") return float64Text(cell);
  const text = harmlessText(cell);
  return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}
