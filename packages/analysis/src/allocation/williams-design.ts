import { AnalysisError } from "../analysis-error";

/**
 * Orders of the numbers 0 to size - 1, balanced for carry-over: every number stands equally often in each position and
 * follows every other equally often (Williams 1949, Australian Journal of Scientific Research A 2:149-168). One order per
 * number when their count is even, two when it is odd.
 * @throws AnalysisError `out of range` for a size below 2.
 */
export function williamsDesign(size: number): number[][] {
  if (!Number.isInteger(size) || size < 2) {
    throw new AnalysisError(
      "out of range",
      "williamsDesign",
      "size",
      `a whole size of at least 2, not ${size}`,
    );
  }
  // 0, 1, n - 1, 2, n - 2, ...: the steps between neighbours are all different.
  const first = Array.from({ length: size }, (_, i) => (i % 2 === 1 ? (i + 1) / 2 : (size - i / 2) % size));
  const square = Array.from({ length: size }, (_, shift) => first.map((number) => (number + shift) % size));
  return size % 2 === 0 ? square : [...square, ...square.map((order) => [...order].reverse())];
}
