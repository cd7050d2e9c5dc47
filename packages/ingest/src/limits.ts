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
  /** Bytes of a workbook as packed; it is held in memory as a whole. */
  maxWorkbookBytes: number;
  /** Parts that a workbook may be packed from. */
  maxZipEntries: number;
  /** Bytes of one unpacked part of a workbook. */
  maxSheetBytes: number;
  /** Characters of the texts that the cells of a workbook share. */
  maxSharedCharacters: number;
}

export const defaultLimits: ReadLimits = {
  maxTextBytes: 4 * 2 ** 30,
  maxCompressionRatio: 300,
  maxColumns: 4096,
  maxRowBytes: 4 * 2 ** 20,
  maxValues: 200_000_000,
  maxWorkbookBytes: 64 * 2 ** 20,
  maxZipEntries: 10_000,
  maxSheetBytes: 2 * 2 ** 30,
  maxSharedCharacters: 32 * 2 ** 20,
  maxListedLines: 100,
};
