/**
 * Names of the columns from the header rows, top down: the texts of a column joined by a space. An empty cell of an
 * upper row takes the text to its left (a region written once over its statistics) when the row below has a text there.
 */
export function composeNames(rows: readonly (readonly string[])[]): string[] {
  return composeNameParts(rows).map((parts) => parts.join(" "));
}

export function composeNameParts(rows: readonly (readonly string[])[]): string[][] {
  const width = Math.max(0, ...rows.map((row) => row.length));
  const parts: string[][] = [];
  const filled = rows.map((row, index) => fillForward(row, rows.slice(index + 1), width));
  for (let column = 0; column < width; column++) {
    parts.push(filled.map((row) => row[column] ?? "").filter((text) => text !== ""));
  }
  return parts;
}

function fillForward(row: readonly string[], below: readonly (readonly string[])[], width: number): string[] {
  const result: string[] = [];
  for (let column = 0; column < width; column++) {
    const own = (row[column] ?? "").replace(/\s+/g, " ").trim();
    const belowHasText = below.some((lower) => (lower[column] ?? "").trim() !== "");
    result.push(own === "" && belowHasText ? (result[column - 1] ?? "") : own);
  }
  return result;
}
