/**
 * Sum with Neumaier's compensation (Neumaier 1974, Z. Angew. Math. Mech. 54:39-51): the error does not grow with the
 * number of values, so that a common offset such as 1e6 costs no digits.
 */
export function sum(values: ArrayLike<number>): number {
  let total = 0;
  let compensation = 0;
  for (let i = 0; i < values.length; i++) {
    const value = values[i] as number;
    const next = total + value;
    compensation += Math.abs(total) >= Math.abs(value) ? total - next + value : value - next + total;
    total = next;
  }
  return total + compensation;
}
