import { AnalysisError } from "../analysis-error";
import { seededGenerator } from "../statistics";

/**
 * A Latin square of the numbers 0 to size - 1: every number once in each row and each column. Drawn from the cyclic square by
 * shuffling rows, columns and numbers (Fisher & Yates 1938, Statistical Tables, introduction to table XV).
 * @throws AnalysisError `out of range` for a size below 1, and as `seededGenerator`.
 */
export function latinSquare(size: number, seed: number): number[][] {
  if (!Number.isInteger(size) || size < 1) {
    throw new AnalysisError("out of range", "latinSquare", "size", `a whole size of at least 1, not ${size}`);
  }
  const generator = seededGenerator(seed);
  const numbers = Array.from({ length: size }, (_, i) => i);
  const rows = generator.shuffle([...numbers]);
  const columns = generator.shuffle([...numbers]);
  const symbols = generator.shuffle([...numbers]);
  return rows.map((row) => columns.map((column) => symbols[(row + column) % size] as number));
}
