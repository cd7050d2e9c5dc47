import type { ColumnMap } from "../column-map";
import type { ReadLimits } from "../limits";
import type { ReadTrace, RowReason } from "../read-result";
import type { RowScanner } from "../scan/row-scanner";
import type { RowBody } from "./data-rows";
import { GrowingTable } from "./growing-table";
import { tooManyValues } from "./too-many-values";
import { ValueCells, type ValueColumn, valueColumn } from "./value-cells";

/** One row per time, one column per trace. */
export class WideRows implements RowBody {
  readonly inTimeOrder = true;
  readonly wanted: ValueColumn[] = [];
  /** Fewest decimals of the last column so far; a final row with fewer may be cut off. */
  fewestDecimals = Number.POSITIVE_INFINITY;
  lastDecimals = Number.POSITIVE_INFINITY;
  private readonly cells: ValueCells;
  /** Index in the file of each wanted column. */
  private readonly indexes: Uint32Array;
  private readonly firstColumn: number;
  private readonly allAsScanned: boolean;
  private readonly maxRows: number;
  /** The times, then the wanted columns in their order. */
  private readonly table: GrowingTable;
  private rows = 0;

  constructor(map: ColumnMap, limits: ReadLimits) {
    for (const { index, name, use, unit } of map.columns) {
      if (use.kind === "region" || use.kind === "channel")
        this.wanted.push(valueColumn(index, name, use, unit));
    }
    this.cells = new ValueCells(map);
    this.indexes = Uint32Array.from(this.wanted, (wanted) => wanted.column);
    this.firstColumn = Math.min(...this.indexes);
    this.allAsScanned = this.wanted.every((wanted) => this.cells.asScanned(wanted));
    this.maxRows = Math.floor(limits.maxValues / (this.wanted.length + 1));
    this.table = new GrowingTable(this.wanted.length + 1, this.maxRows);
  }

  take(row: RowScanner, seconds: number): RowReason | null {
    if (row.cellCount <= this.firstColumn) return "no values";
    if (this.rows >= this.maxRows) throw tooManyValues(row.line, this.maxRows);
    this.rows++;
    const { indexes, table } = this;
    const { staged, stride } = table;
    let place = table.nextRow();
    staged[place] = seconds;
    const { numbers } = row;
    const scanned = this.allAsScanned ? row.cellCount : 0;
    for (let i = 0; i < indexes.length; i++) {
      const index = indexes[i] as number;
      place += stride;
      const value = index < scanned ? (numbers[index] as number) : Number.NaN;
      // Two ways to store, so that the usual one need not make an object of a number that might come from a call.
      if (Number.isNaN(value)) staged[place] = this.cells.read(row, this.wanted[i] as ValueColumn);
      else staged[place] = value;
    }
    this.noteDecimals(row, staged[place] as number);
    return null;
  }

  finish(): { times: Float64Array; traces: ReadTrace[] } {
    const traces = this.wanted.map(({ target, unit, column, name }, i) => ({
      target,
      unit,
      values: this.table.take(i + 1),
      column,
      name,
    }));
    return { times: this.table.take(0), traces };
  }

  private noteDecimals(row: RowScanner, lastValue: number): void {
    if (this.lastDecimals < this.fewestDecimals) this.fewestDecimals = this.lastDecimals;
    const last = this.indexes[this.indexes.length - 1] as number;
    if (Number.isNaN(lastValue)) this.lastDecimals = Number.POSITIVE_INFINITY;
    else if (Number.isNaN(row.numbers[last] as number)) this.lastDecimals = this.cells.lastScale;
    else this.lastDecimals = row.scales[last] as number;
  }
}
