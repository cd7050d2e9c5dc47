import type { ColumnMap } from "../column-map";
import type { ReadLimits } from "../limits";
import type { ReadResult } from "../read-result";
import { SourceReader } from "./source-reader";

/** A step unpacks 4 KiB of a workbook. */
const stepsAtOnce = 64;

/** Reads a source file as it arrives. Rejects with SourceFileError when it cannot be read by this column map. */
export async function readSourceStream(
  chunks: AsyncIterable<Uint8Array>,
  columnMap: ColumnMap,
  limits?: ReadLimits,
): Promise<ReadResult> {
  const reader = new SourceReader(columnMap, limits);
  for await (const chunk of chunks) reader.push(chunk);
  const ending = reader.ending();
  for (let steps = 1; ; steps++) {
    const step = ending.next();
    if (step.done) return step.value;
    // A large workbook takes seconds: others are let in between.
    if (steps % stepsAtOnce === 0) await new Promise((resolve) => setTimeout(resolve));
  }
}
