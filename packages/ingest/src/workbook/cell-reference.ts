/** Rows and columns of a sheet (ECMA-376 as Excel limits it: A1 to XFD1048576). */
export const mostRows = 1_048_576;
export const mostColumns = 16_384;

export interface CellRange {
  firstRow: number;
  lastRow: number;
  /** From 0. */
  firstColumn: number;
  lastColumn: number;
}

/** Index of the column in a reference such as "AB12", from 0; -1 when it names none. */
export function columnOf(reference: string): number {
  let column = 0;
  for (let i = 0; i < reference.length && i < 4; i++) {
    const letter = reference.charCodeAt(i) | 32;
    if (letter < 97 || letter > 122) break;
    column = column * 26 + letter - 96;
  }
  return column > mostColumns ? -1 : column - 1;
}

/** "A1:B2" as numbers; null when it is no range. */
export function rangeOf(reference: string): CellRange | null {
  const match = /^\$?([A-Za-z]{1,3})\$?(\d{1,7}):\$?([A-Za-z]{1,3})\$?(\d{1,7})$/.exec(reference);
  if (match === null) return null;
  const [, fromColumn = "", fromRow = "", toColumn = "", toRow = ""] = match;
  return {
    firstRow: Number(fromRow),
    lastRow: Number(toRow),
    firstColumn: columnOf(fromColumn),
    lastColumn: columnOf(toColumn),
  };
}
