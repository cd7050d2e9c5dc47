import { GrowingColumn } from "./growing-column";

const stagedRows = 256;
/** Eight more than the rows, so that one row's places do not all fall on the same lines of the processor's cache. */
const stride = stagedRows + 8;

/**
 * Columns of Float64 that grow by one row at a time. The last rows are staged in one small array, which stays in the
 * processor's cache, and move to their columns together: writing to sixty arrays in turn takes twice as long.
 */
export class GrowingTable {
  readonly stride = stride;
  /** The caller writes column i of a row at the row's place + i x `stride`. */
  readonly staged: Float64Array;
  private readonly columns: GrowingColumn[];
  private rows = 0;

  constructor(columnCount: number, maxRows: number) {
    this.staged = new Float64Array(columnCount * stride);
    this.columns = Array.from({ length: columnCount }, () => new GrowingColumn(maxRows));
  }

  /** Place of the next row in `staged`. */
  nextRow(): number {
    if (this.rows === stagedRows) this.store();
    return this.rows++;
  }

  /** All values of a column in one array; take each column once, after the last row. */
  take(column: number): Float64Array {
    if (this.rows > 0) this.store();
    const grown = this.columns[column];
    if (grown === undefined) throw new RangeError(`There is no column ${column}.`);
    return grown.take();
  }

  private store(): void {
    for (const [i, column] of this.columns.entries()) {
      column.append(this.staged.subarray(i * stride, i * stride + this.rows));
    }
    this.rows = 0;
  }
}
