import type { Encoding } from "../column-map";
import { cellEncoding } from "../decode/text-bytes";
import { TextPipeline } from "../decode/text-pipeline";
import type { ReadLimits } from "../limits";
import { seriesKey } from "../read/long-rows";
import { cellShape, isReadable } from "./cell-shape";
import type { Table } from "./find-table";

const maxKeys = 2000;

/**
 * All key texts of a long layout, from the whole file: series may follow each other in blocks, so the sample does not
 * show them all. Rows without a time are no data.
 */
export function collectKeys(
  bytes: Uint8Array,
  encoding: Encoding,
  table: Table,
  keyColumns: readonly number[],
  timeColumn: number,
  limits: ReadLimits,
): string[][] {
  const firstLine = table.rows[table.firstData]?.line ?? 1;
  const text = cellEncoding(encoding);
  const keys = new Map<string, string[]>();
  const pipeline = new TextPipeline(
    encoding,
    { delimiter: table.delimiter, quote: table.quote, limits },
    {
      row(row) {
        if (row.line < firstLine || row.cellCount < 2 || keys.size >= maxKeys) return;
        const key = keyColumns.map((column) => row.text(column, text));
        const joined = seriesKey(key);
        if (keys.has(joined) || key.every((part) => part === "")) return;
        if (isReadable(cellShape(row.text(timeColumn, text)))) keys.set(joined, key);
      },
    },
  );
  pipeline.push(bytes);
  pipeline.end();
  return [...keys.values()];
}
