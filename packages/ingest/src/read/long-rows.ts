import type { ColumnMap } from "../column-map";
import { type CellEncoding, cellEncoding } from "../decode/text-bytes";
import type { ReadLimits } from "../limits";
import type { ReadTrace, RowReason } from "../read-result";
import type { RowScanner } from "../scan/row-scanner";
import type { RowBody } from "./data-rows";
import { tooManyValues } from "./too-many-values";
import { ValueCells, type ValueColumn, valueColumn } from "./value-cells";

/** Separates key texts in a lookup; no text file that passes the scanner holds it in a cell. */
const keySeparator = "\u0000";

export function seriesKey(texts: readonly string[]): string {
  return texts.join(keySeparator);
}

/** Key columns of a long layout, in column order. */
export function keyColumns(map: Pick<ColumnMap, "columns">): number[] {
  return map.columns.filter((column) => column.use.kind === "key").map((column) => column.index);
}

/** One row per time x series; the key columns say which series. In blocks, the block at hand does. */
export class LongRows implements RowBody {
  readonly inTimeOrder = false;
  readonly wanted: ValueColumn[] = [];
  private readonly encoding: CellEncoding;
  private readonly cells: ValueCells;
  private readonly keys: number[];
  private readonly titled: boolean;
  /** In blocks: the key of each value column in the block at hand. */
  private readonly blockKeys = new Map<number, string>();
  private readonly valueColumns: number[];
  /** Per value column: from key to position in `wanted`; -1 for a series that is left out. */
  private readonly lookup = new Map<number, Map<string, number>>();
  private readonly series: SparseColumn[];
  private readonly timeIndex = new Map<number, number>();
  private readonly maxTimes: number;
  private lastSeconds = Number.NaN;
  private lastIndex = -1;

  constructor(map: ColumnMap, limits: ReadLimits) {
    this.encoding = cellEncoding(map.encoding);
    this.cells = new ValueCells(map);
    this.keys = keyColumns(map);
    this.titled = map.series.some(({ key }) => key[0] !== "");
    this.valueColumns = map.columns.filter(({ use }) => use.kind === "value").map(({ index }) => index);
    for (const column of this.valueColumns) this.lookup.set(column, new Map());
    for (const { key, valueColumn: column, use, unit } of map.series) {
      const byKey = this.lookup.get(column);
      if (byKey === undefined) continue;
      if (use.kind === "ignore") byKey.set(seriesKey(key), -1);
      else {
        byKey.set(seriesKey(key), this.wanted.length);
        this.wanted.push(valueColumn(column, key.join(" ").trim(), use, unit));
      }
    }
    this.series = this.wanted.map(() => new SparseColumn());
    this.maxTimes = Math.floor(limits.maxValues / (this.wanted.length + 1));
  }

  beginBlock(title: string, names: readonly string[]): void {
    if (this.keys.length > 0) return;
    for (const column of this.valueColumns) {
      this.blockKeys.set(column, seriesKey([this.titled ? title : "", names[column] ?? ""]));
    }
  }

  take(row: RowScanner, seconds: number): RowReason | null {
    const rowKey = seriesKey(this.keys.map((column) => row.text(column, this.encoding)));
    let reason: RowReason | null = "series not in the column map";
    for (const column of this.valueColumns) {
      const position = this.lookup.get(column)?.get(this.blockKeys.get(column) ?? rowKey);
      if (position === undefined) continue;
      const series = this.series[position];
      const wanted = this.wanted[position];
      if (series === undefined || wanted === undefined) {
        if (reason !== null) reason = "series left out";
        continue;
      }
      if (column >= row.cellCount) {
        if (reason !== null) reason = "no values";
        continue;
      }
      const index = this.indexOf(seconds, row.line);
      if (series.has(index)) {
        if (reason !== null) reason = "series repeated at the same time";
        continue;
      }
      series.set(index, this.cells.read(row, wanted));
      reason = null;
    }
    return reason;
  }

  finish(): { times: Float64Array; traces: ReadTrace[] } {
    const unsorted = Float64Array.from(this.timeIndex.keys());
    const order = Uint32Array.from(unsorted, (_, index) => index);
    order.sort((a, b) => (unsorted[a] as number) - (unsorted[b] as number));
    const times = Float64Array.from(order, (index) => unsorted[index] as number);
    const traces = this.wanted.map(({ target, unit, column, name }, i) => ({
      target,
      unit,
      values: (this.series[i] as SparseColumn).inOrder(order),
      column,
      name,
    }));
    return { times, traces };
  }

  private indexOf(seconds: number, line: number): number {
    if (seconds === this.lastSeconds) return this.lastIndex;
    let index = this.timeIndex.get(seconds);
    if (index === undefined) {
      index = this.timeIndex.size;
      if (index >= this.maxTimes) throw tooManyValues(line, this.maxTimes);
      this.timeIndex.set(seconds, index);
    }
    this.lastSeconds = seconds;
    this.lastIndex = index;
    return index;
  }
}

/** Values at indexes that come in any order; what was never set is missing. */
class SparseColumn {
  private values = new Float64Array(0);
  private present = new Uint8Array(0);

  has(index: number): boolean {
    return this.present[index] === 1;
  }

  set(index: number, value: number): void {
    if (index >= this.values.length) {
      const size = Math.max(1024, index + 1, this.values.length * 2);
      const values = new Float64Array(size).fill(Number.NaN, this.values.length);
      values.set(this.values);
      const present = new Uint8Array(size);
      present.set(this.present);
      this.values = values;
      this.present = present;
    }
    this.values[index] = value;
    this.present[index] = 1;
  }

  inOrder(order: Uint32Array): Float64Array {
    return Float64Array.from(order, (index) => this.values[index] ?? Number.NaN);
  }
}
