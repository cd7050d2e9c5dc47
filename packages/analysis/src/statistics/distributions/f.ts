import { betaLowerTail } from "./beta";
import { chiSquaredLowerTail, chiSquaredUpperTail } from "./chi-squared";
import { positiveQuantile } from "./positive-quantile";

/** P(F > f) for the F distribution; `df2` may be infinite. */
export function fUpperTail(f: number, df1: number, df2: number): number {
  if (Number.isNaN(f) || !(df1 > 0) || !(df2 > 0)) return Number.NaN;
  if (f <= 0) return 1;
  if (df2 === Number.POSITIVE_INFINITY) return chiSquaredUpperTail(f * df1, df1);
  const ratio = (df1 / df2) * f;
  if (ratio === Number.POSITIVE_INFINITY) return 0;
  return betaLowerTail(1 / (1 + ratio), ratio / (1 + ratio), df2 / 2, df1 / 2);
}

/** P(F < f) for the F distribution. */
export function fLowerTail(f: number, df1: number, df2: number): number {
  if (Number.isNaN(f) || !(df1 > 0) || !(df2 > 0)) return Number.NaN;
  if (f <= 0) return 0;
  if (df2 === Number.POSITIVE_INFINITY) return chiSquaredLowerTail(f * df1, df1);
  const ratio = (df1 / df2) * f;
  if (ratio === Number.POSITIVE_INFINITY) return 1;
  return betaLowerTail(ratio / (1 + ratio), 1 / (1 + ratio), df1 / 2, df2 / 2);
}

/** Value below which (above which, when `upper`) `probability` of the F distribution lies. */
export function fQuantile(probability: number, df1: number, df2: number, upper = false): number {
  return positiveQuantile(
    (f) => fLowerTail(f, df1, df2),
    (f) => fUpperTail(f, df1, df2),
    probability,
    upper,
  );
}
