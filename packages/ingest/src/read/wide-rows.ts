import type { ColumnMap } from "../column-map";
import type { ReadLimits } from "../limits";
import type { ReadTrace, RowReason } from "../read-result";
import type { RowScanner } from "../scan/row-scanner";
import type { RowBody } from "./data-rows";
import { GrowingColumn } from "./growing-column";
import { tooManyValues } from "./too-many-values";
import { ValueCells, type ValueColumn, valueColumn } from "./value-cells";

/** One row per time, one column per trace. */
export class WideRows implements RowBody {
  readonly inTimeOrder = true;
  readonly wanted: ValueColumn[] = [];
  /** Fewest decimals of the last column so far; a final row with fewer may be cut off. */
  fewestDecimals = Number.POSITIVE_INFINITY;
  lastDecimals = Number.POSITIVE_INFINITY;
  private readonly times = new GrowingColumn();
  private readonly values: GrowingColumn[];
  private readonly cells: ValueCells;
  private readonly firstColumn: number;
  private readonly maxRows: number;
  private rows = 0;

  constructor(map: ColumnMap, limits: ReadLimits) {
    for (const { index, name, use, unit } of map.columns) {
      if (use.kind === "region" || use.kind === "channel")
        this.wanted.push(valueColumn(index, name, use, unit));
    }
    this.values = this.wanted.map(() => new GrowingColumn());
    this.cells = new ValueCells(map);
    this.firstColumn = Math.min(...this.wanted.map((wanted) => wanted.column));
    this.maxRows = Math.floor(limits.maxValues / (this.wanted.length + 1));
  }

  take(row: RowScanner, seconds: number): RowReason | null {
    if (row.cellCount <= this.firstColumn) return "no values";
    if (this.rows >= this.maxRows) throw tooManyValues(row.line, this.maxRows);
    this.rows++;
    this.times.push(seconds);
    const { wanted, values, cells } = this;
    for (let i = 0; i < wanted.length; i++) {
      (values[i] as GrowingColumn).push(cells.read(row, wanted[i] as ValueColumn));
    }
    if (this.lastDecimals < this.fewestDecimals) this.fewestDecimals = this.lastDecimals;
    this.lastDecimals = cells.lastScale;
    return null;
  }

  finish(): { times: Float64Array; traces: ReadTrace[] } {
    const traces = this.wanted.map(({ target, unit, column, name }, i) => ({
      target,
      unit,
      values: (this.values[i] as GrowingColumn).take(),
      column,
      name,
    }));
    return { times: this.times.take(), traces };
  }
}
