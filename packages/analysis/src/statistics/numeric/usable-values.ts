import { AnalysisError } from "../../analysis-error";

export interface UsableValues {
  readonly values: Float64Array;
  /** How many entries were NaN and left out. */
  readonly missing: number;
}

/**
 * The values without the missing ones (NaN). An infinite entry is refused: it is a fault of the source, not a
 * missing value.
 * @throws AnalysisError `not finite`, or `too few` when fewer than `atLeast` remain (`empty` when none does).
 */
export function usableValues(
  values: ArrayLike<number>,
  argument: string,
  functionName: string,
  atLeast = 0,
): UsableValues {
  const kept = new Float64Array(values.length);
  let n = 0;
  for (let i = 0; i < values.length; i++) {
    const value = values[i] as number;
    if (Number.isNaN(value)) continue;
    requireFinite(value, i, argument, functionName);
    kept[n++] = value;
  }
  requireEnough(n, atLeast, argument, functionName);
  return { values: kept.slice(0, n), missing: values.length - n };
}

export interface UsablePairs {
  readonly x: Float64Array;
  readonly y: Float64Array;
  /** How many pairs had NaN on either side and were left out. */
  readonly missing: number;
}

/** The pairs in which neither side is missing (NaN), with the same refusals as `usableValues`. */
export function usablePairs(
  x: ArrayLike<number>,
  y: ArrayLike<number>,
  argumentX: string,
  argumentY: string,
  functionName: string,
  atLeast = 0,
): UsablePairs {
  if (x.length !== y.length) {
    throw new AnalysisError(
      "unequal lengths",
      functionName,
      argumentY,
      `${argumentX} and ${argumentY} of the same length, not ${x.length} and ${y.length}`,
    );
  }
  const keptX = new Float64Array(x.length);
  const keptY = new Float64Array(x.length);
  let n = 0;
  for (let i = 0; i < x.length; i++) {
    const a = x[i] as number;
    const b = y[i] as number;
    if (!Number.isNaN(a)) requireFinite(a, i, argumentX, functionName);
    if (!Number.isNaN(b)) requireFinite(b, i, argumentY, functionName);
    if (Number.isNaN(a) || Number.isNaN(b)) continue;
    keptX[n] = a;
    keptY[n] = b;
    n++;
  }
  requireEnough(n, atLeast, argumentX, functionName);
  return { x: keptX.slice(0, n), y: keptY.slice(0, n), missing: x.length - n };
}

function requireFinite(value: number, index: number, argument: string, functionName: string): void {
  if (Number.isFinite(value)) return;
  throw new AnalysisError(
    "not finite",
    functionName,
    argument,
    `finite numbers (or NaN for missing) in ${argument}; entry ${index} is ${value}`,
  );
}

export function requireEnough(n: number, atLeast: number, argument: string, functionName: string): void {
  if (n >= atLeast) return;
  throw new AnalysisError(
    n === 0 ? "empty" : "too few",
    functionName,
    argument,
    `at least ${atLeast} usable value${atLeast === 1 ? "" : "s"} in ${argument}, not ${n}`,
  );
}
