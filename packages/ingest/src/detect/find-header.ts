import type { Doubt } from "../detection";
import { aspectMeanings } from "../match/feature-words";
import { matchColumn } from "../match/match-column";
import { readRegionWords } from "../match/match-region";
import { wordsOf } from "../match/normalise-name";
import { splitUnit } from "../match/split-unit";
import { composeNameParts } from "../read/compose-names";
import { isReadable } from "./cell-shape";
import type { ShapedRow, Table } from "./find-table";
import type { Place } from "./source";

export interface Header {
  rows: ShapedRow[];
  /** Header texts per column, top down. */
  parts: string[][];
  /** How many columns the header itself names; what comes after is named by a header half-way, if at all. */
  named: number;
  doubts: Doubt[];
}

/**
 * The header is the text row right above the data, with the rows above it as long as the lower ones name no region
 * (units under names, statistics under regions) or the upper ones only add statistics.
 */
export function findHeader(table: Table, place: Place = "line"): Header {
  const above = table.rows.slice(0, table.firstData);
  let first = above.length;
  const nearest = above[first - 1];
  if (nearest !== undefined && couldBeHeader(nearest, table)) {
    first--;
    while (above.length - first < 4) {
      const upper = above[first - 1];
      if (upper === undefined || !couldBeHeader(upper, table) || !belongs(upper, above.slice(first), table))
        break;
      first--;
    }
  }
  const rows = above.slice(first);
  const parts = composeNameParts(rows.map((row) => row.cells));
  const named = parts.length;
  const later = rows.length === 1 ? laterHeader(table, rows[0]) : null;
  while (parts.length < table.columnCount) {
    const name = later?.cells[parts.length] ?? "";
    parts.push(name === "" ? [] : [name]);
  }
  const preamble = above.slice(0, first);
  return {
    rows,
    parts,
    named,
    doubts: [
      ...headerDoubts(rows, table, later, place),
      ...numberInNamesDoubts(rows, place),
      ...rowsAboveDoubts(preamble, place),
    ],
  };
}

function couldBeHeader(row: ShapedRow, table: Table): boolean {
  const filled = row.shapes.filter((shape) => shape !== "empty");
  const texts = filled.filter((shape) => shape === "text" || shape === "missing").length;
  if (texts === 0 || texts < 0.5 * filled.length) return false;
  if (row.shapes.filter(isReadable).length > 0.5 * filled.length) return false;
  if (row.cells.length < 2) return false;
  // "key: value" in two cells over a table of more columns.
  if (row.cells.length === 2 && table.columnCount > 4) return false;
  return row.cells.length >= 0.5 * table.columnCount && row.cells.length <= table.columnCount + 1;
}

/** Share of the named cells that name a region or a channel. */
function regionShare(row: ShapedRow): number {
  const named = row.cells.filter((cell) => cell !== "");
  const matched = named.filter((cell) => {
    const match = matchColumn([cell], { defaultStatistic: "mean" });
    return match.use.kind !== "ignore" || readRegionWords(cell).site !== null;
  });
  return named.length === 0 ? 0 : matched.length / named.length;
}

/** Whether a row holds nothing but units, statistics, sides and aspects. */
function isDetailRow(row: ShapedRow): boolean {
  const named = row.cells.filter((cell) => cell !== "");
  const details = named.filter((cell) => {
    const { name, known } = splitUnit(cell);
    if (known && name === "") return true;
    // "vorn", "hinten" in a row of their own.
    if (wordsOf(cell).every((word) => aspectMeanings.has(word))) return true;
    const reading = readRegionWords(cell);
    return (
      reading.site === null && reading.unknown.length === 0 && (reading.statistic ?? reading.side) !== null
    );
  });
  return named.length > 0 && details.length >= 0.6 * named.length;
}

function belongs(upper: ShapedRow, below: readonly ShapedRow[], table: Table): boolean {
  const lower = below[0];
  if (lower === undefined || upper.cells.length < table.columnCount - 1) return false;
  // A blank line between, or a number, and it is a note above the table.
  const breaks = upper.cells.join("").split(/\r\n|\r|\n/).length;
  if (lower.line - upper.line > breaks || upper.shapes.some(isReadable)) return false;
  if (below.every(isDetailRow)) return true;
  if (isDetailRow(upper)) return true;
  return below.every((row) => regionShare(row) < 0.2) && regionShare(upper) >= 0.3;
}

/** The header once more, further down and with columns that the first one does not have. */
function laterHeader(table: Table, header: ShapedRow | undefined): ShapedRow | null {
  if (header === undefined || header.cells.length >= table.columnCount) return null;
  const later = table.rows
    .slice(table.firstData)
    .find(
      (row) =>
        row.cells.length > header.cells.length && header.cells.every((cell, i) => row.cells[i] === cell),
    );
  return later ?? null;
}

/** A lower row of names with a number in it may be a first row of data that is damaged. */
function numberInNamesDoubts(rows: readonly ShapedRow[], place: Place): Doubt[] {
  return rows.slice(1).flatMap((row): Doubt[] => {
    const column = row.shapes.findIndex(isReadable);
    if (column < 0) return [];
    return [
      {
        kind: "header",
        field: "headerLines",
        line: row.line,
        column,
        guessed: "names",
        alternatives: ["a row of data"],
        reason: `The row on ${place} ${row.line} was taken for names although it holds a number ("${(row.cells[column] ?? "").slice(0, 60)}"): if it is a row of data, let the header end above it.`,
      },
    ];
  });
}

/** Rows of nothing but numbers above the header belong to another table, or the header was not found. */
function rowsAboveDoubts(preamble: readonly ShapedRow[], place: Place): Doubt[] {
  const numbers = preamble.filter(
    ({ shapes }) => shapes.length > 1 && shapes.every((shape) => isReadable(shape)),
  );
  const [first] = numbers;
  if (first === undefined) return [];
  return [
    {
      kind: "rows above",
      field: "firstDataLine",
      line: first.line,
      column: null,
      guessed: "not read",
      alternatives: [],
      reason: `${numbers.length === 1 ? "A row" : `${numbers.length} rows`} of numbers above the header, first on ${place} ${first.line}, ${numbers.length === 1 ? "is" : "are"} not read: there may be another table.`,
    },
  ];
}

function headerDoubts(
  rows: readonly ShapedRow[],
  table: Table,
  later: ShapedRow | null,
  place: Place,
): Doubt[] {
  const nearest = rows[rows.length - 1];
  if (nearest === undefined) {
    return [
      {
        kind: "header",
        field: "headerLines",
        line: table.rows[table.firstData]?.line ?? null,
        column: null,
        guessed: "no header",
        alternatives: [],
        reason: "No header was found, so what the columns hold has to be said by hand.",
      },
    ];
  }
  if (later !== null) {
    return [
      {
        kind: "header",
        field: "headerLines",
        line: later.line,
        column: nearest.cells.length,
        guessed: "columns that appear half-way",
        alternatives: [],
        reason: `From ${place} ${later.line} on the header names more columns (${later.cells
          .slice(nearest.cells.length)
          .map((name) => `"${name.slice(0, 60)}"`)
          .join(", ")}); above it they hold nothing.`,
      },
    ];
  }
  const named = nearest.cells.length;
  if (named !== table.columnCount) {
    return [
      {
        kind: "delimiter",
        field: "delimiter",
        line: nearest.line,
        column: null,
        guessed: table.delimiter,
        alternatives: [],
        reason: `The header has ${named} names, but the rows of data have ${table.columnCount} cells: names or numbers may have been split in the wrong places.`,
      },
    ];
  }
  return [];
}
