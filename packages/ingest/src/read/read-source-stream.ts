import type { ColumnMap } from "../column-map";
import type { ReadLimits } from "../limits";
import type { ReadResult } from "../read-result";
import { SourceReader } from "./source-reader";

/** Reads a source file as it arrives. Rejects with SourceFileError when it cannot be read by this column map. */
export async function readSourceStream(
  chunks: AsyncIterable<Uint8Array>,
  columnMap: ColumnMap,
  limits?: ReadLimits,
): Promise<ReadResult> {
  const reader = new SourceReader(columnMap, limits);
  for await (const chunk of chunks) reader.push(chunk);
  return reader.end();
}
