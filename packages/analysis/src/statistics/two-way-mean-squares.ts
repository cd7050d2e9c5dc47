import { square } from "../elementary";
import { meanOf } from "./numeric/moments";

export interface TwoWayMeanSquares {
  /** Between volunteers. */
  readonly between: number;
  /** Within volunteers, occasions and error together. */
  readonly within: number;
  readonly occasions: number;
  readonly error: number;
}

/** Mean squares of a complete table of volunteers by occasions, from deviations, so that an offset costs no digits. */
export function twoWayMeanSquares(rows: readonly Float64Array[]): TwoWayMeanSquares {
  const n = rows.length;
  const k = rows[0]?.length ?? 0;
  const rowMeans = rows.map((row) => meanOf(row));
  const grand = meanOf(rowMeans);
  const columnMeans = Array.from({ length: k }, (_, j) => meanOf(rows.map((row) => row[j] as number)));
  let error = 0;
  let within = 0;
  rows.forEach((row, i) => {
    const rowMean = rowMeans[i] as number;
    row.forEach((value, j) => {
      error += square(value - rowMean - ((columnMeans[j] as number) - grand));
      within += square(value - rowMean);
    });
  });
  const between = rowMeans.reduce((total, mean) => total + square(mean - grand), 0) * k;
  const occasions = columnMeans.reduce((total, mean) => total + square(mean - grand), 0) * n;
  return {
    between: between / (n - 1),
    within: within / (n * (k - 1)),
    occasions: occasions / (k - 1),
    error: error / ((n - 1) * (k - 1)),
  };
}
