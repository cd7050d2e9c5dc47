import type { ColumnMap } from "../column-map";
import { defaultLimits } from "../limits";
import type { ReadResult } from "../read-result";
import { SourceReader } from "./source-reader";

/** So many rows behind the first one of data show what a column map makes of a sheet. */
const rowsOfSheet = 2000;

/**
 * What the beginning of a source file reads as. `head`: the first whole lines of a text, of which all are read, or all bytes of
 * a workbook, of which only the first rows are unpacked. Throws SourceFileError as reading the whole file does.
 */
export function readFirstRows(head: Uint8Array, columnMap: ColumnMap): ReadResult {
  const reader = new SourceReader(columnMap, defaultLimits, columnMap.firstDataLine + rowsOfSheet);
  reader.push(head);
  return reader.end();
}
