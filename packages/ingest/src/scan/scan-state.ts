export const LF = 10;
export const CR = 13;
export const SPACE = 32;
export const TAB = 9;

/** Where a scanner stands between two bytes; kept between pushes, so that chunks may end anywhere. */
export const ROW_START = 0;
export const CELL_START = 1;
export const IN_CELL = 2;
export const IN_QUOTE = 3;
export const QUOTE_SEEN = 4;
export const AFTER_QUOTE = 5;
export const SPACE_SEEN = 6;

export type ScanState =
  | typeof ROW_START
  | typeof CELL_START
  | typeof IN_CELL
  | typeof IN_QUOTE
  | typeof QUOTE_SEEN
  | typeof AFTER_QUOTE
  | typeof SPACE_SEEN;
