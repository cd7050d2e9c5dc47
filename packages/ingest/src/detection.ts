import type { ColumnMap, ColumnUse } from "./column-map";

export type DoubtKind =
  | "encoding"
  | "delimiter"
  | "decimal mark"
  | "header"
  | "layout"
  | "time column"
  | "time unit"
  | "date order"
  | "frame rate"
  | "unit"
  | "region"
  | "side"
  | "aspect"
  | "statistic"
  | "same target twice"
  | "column not recognised"
  | "sentinel"
  | "unknown word"
  | "sheet"
  | "first day"
  | "start"
  | "rows above"
  | "blocks";

/** Something that detection had to guess and a person should look at. */
export interface Doubt {
  kind: DoubtKind;
  /** Which part of the column map, such as "time.dateOrder" or "columns.3.unit". */
  field: string;
  line: number | null;
  /** Index of the column, from 0. */
  column: number | null;
  guessed: string;
  alternatives: string[];
  /** One sentence: why it is doubtful. */
  reason: string;
}

/** How sure the matcher is of one column (or, in a long layout, one series). */
export interface ColumnGuess {
  column: number;
  /** Long layout: the key texts; null in a wide one. */
  key: string[] | null;
  use: ColumnUse;
  /** 0: a shot in the dark; 1: the file says so. */
  confidence: number;
  reason: string;
}

export interface PreviewRow {
  line: number;
  cells: string[];
}

export interface Preview {
  columnCount: number;
  /** Lines before the header, as text. */
  preamble: { line: number; text: string }[];
  header: PreviewRow[];
  /** The first rows of data. */
  rows: PreviewRow[];
}

export interface SheetChoice {
  name: string;
  /** Whether the workbook hides it. */
  hidden: boolean;
}

export interface Detection {
  columnMap: ColumnMap;
  guesses: ColumnGuess[];
  doubts: Doubt[];
  /** Same for files of the same layout: delimiter or sheet, column count and normalised header. */
  fingerprint: string;
  preview: Preview;
  /** The sheets of a workbook, in their order; empty for a text. */
  sheets: SheetChoice[];
}
