const LN2_HIGH = 0.6931471803691238;
const LN2_LOW = 1.9082149292705877e-10;

/**
 * e^x from additions, multiplications and divisions only, which IEEE 754 rounds the same way everywhere.
 * `Math.exp` may differ in the last digit between machines, and the simulator promises the same bytes.
 * Relative error below 1e-15 for |x| < 700; the argument is split as k·ln 2 + r (ln 2 in two parts, the values
 * are those of FDLIBM) and e^r is its Taylor series.
 */
export function portableExp(x: number): number {
  if (!(x > -700 && x < 700)) throw new RangeError(`portableExp: x must lie within ±700, got ${x}`);
  const k = Math.round(x / (LN2_HIGH + LN2_LOW));
  const r = x - k * LN2_HIGH - k * LN2_LOW;
  let sum = 1;
  for (let n = 14; n >= 1; n -= 1) sum = 1 + (r * sum) / n;
  return sum * powerOfTwo(k);
}

/** Exact: only multiplications by two or by one half. */
function powerOfTwo(k: number): number {
  let result = 1;
  for (let i = 0; i < Math.abs(k); i += 1) result *= k > 0 ? 2 : 0.5;
  return result;
}
