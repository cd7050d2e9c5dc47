import { cellEncoding } from "../decode/text-bytes";
import { seriesKey } from "../read/long-rows";
import { cellShape, isReadable } from "./cell-shape";
import type { Table } from "./find-table";
import type { Source } from "./source";

const maxKeys = 2000;

/**
 * All key texts of a long layout, from the whole file: series may follow each other in blocks, so the sample does not
 * show them all. Rows without a time are no data.
 */
export function collectKeys(
  source: Source,
  table: Table,
  keyColumns: readonly number[],
  timeColumn: number,
): string[][] {
  const firstLine = table.rows[table.firstData]?.line ?? 1;
  const text = cellEncoding(source.encoding);
  const keys = new Map<string, string[]>();
  source.scan(table, {
    row(row) {
      if (row.line < firstLine || row.cellCount < 2 || keys.size >= maxKeys) return;
      const key = keyColumns.map((column) => row.text(column, text));
      const joined = seriesKey(key);
      if (keys.has(joined) || key.every((part) => part === "")) return;
      if (isReadable(cellShape(row.text(timeColumn, text)))) keys.set(joined, key);
    },
  });
  return [...keys.values()];
}
