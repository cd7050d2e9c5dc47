import type { ColumnMap } from "../column-map";
import type { ReadLimits } from "../limits";
import type { ReadResult } from "../read-result";
import { SourceReader } from "./source-reader";

/** Reads a source file that is in memory. Throws SourceFileError when it cannot be read by this column map. */
export function readSourceFile(bytes: Uint8Array, columnMap: ColumnMap, limits?: ReadLimits): ReadResult {
  const reader = new SourceReader(columnMap, limits);
  reader.push(bytes);
  return reader.end();
}
