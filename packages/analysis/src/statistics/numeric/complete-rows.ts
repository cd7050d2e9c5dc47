import { AnalysisError } from "../../analysis-error";

export interface CompleteRows {
  readonly complete: readonly Float64Array[];
  /** Which of the rows given they are. */
  readonly indices: readonly number[];
  /** Rows left out because of NaN. */
  readonly missing: number;
  readonly columns: number;
}

/**
 * The rows without a missing value (NaN).
 * @throws AnalysisError `unequal lengths`, `not finite`, `too few` (rows or columns), `empty`.
 */
export function completeRows(
  rows: readonly ArrayLike<number>[],
  argument: string,
  functionName: string,
  minimumRows: number,
  minimumColumns: number,
): CompleteRows {
  const columns = rows[0]?.length;
  if (columns === undefined)
    throw new AnalysisError("empty", functionName, argument, `at least one row in ${argument}`);
  if (columns < minimumColumns) {
    throw new AnalysisError(
      "too few",
      functionName,
      argument,
      `at least ${minimumColumns} columns, not ${columns}`,
    );
  }
  const complete: Float64Array[] = [];
  const indices: number[] = [];
  rows.forEach((row, i) => {
    if (row.length !== columns) {
      throw new AnalysisError(
        "unequal lengths",
        functionName,
        argument,
        `rows of the same length; row ${i} has ${row.length} entries, not ${columns}`,
      );
    }
    const values = Float64Array.from(row);
    const infinite = values.find((value) => !Number.isFinite(value) && !Number.isNaN(value));
    if (infinite !== undefined) {
      throw new AnalysisError(
        "not finite",
        functionName,
        argument,
        `finite values or NaN; row ${i} holds ${infinite}`,
      );
    }
    if (values.some(Number.isNaN)) return;
    complete.push(values);
    indices.push(i);
  });
  if (complete.length < minimumRows) {
    throw new AnalysisError(
      "too few",
      functionName,
      argument,
      `at least ${minimumRows} rows without a missing value, not ${complete.length}`,
    );
  }
  return { complete, indices, missing: rows.length - complete.length, columns };
}
