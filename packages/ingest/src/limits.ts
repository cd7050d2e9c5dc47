/** What a source file may not exceed; a file that does is refused by name, before memory or time run out. */
export interface ReadLimits {
  /** Bytes of text, after decompression. */
  maxTextBytes: number;
  /** A gzip file of more than 16 MiB of text may not shrink by more than this. */
  maxCompressionRatio: number;
  maxColumns: number;
  /** Bytes of one row, quoted line breaks included. */
  maxRowBytes: number;
  /** Rows x used columns. */
  maxValues: number;
  /** Line numbers that a report lists of one reason or warning; beyond it only counts. */
  maxListedLines: number;
}

export const defaultLimits: ReadLimits = {
  maxTextBytes: 4 * 2 ** 30,
  maxCompressionRatio: 300,
  maxColumns: 4096,
  maxRowBytes: 4 * 2 ** 20,
  maxValues: 200_000_000,
  maxListedLines: 100,
};
