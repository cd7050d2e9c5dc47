import type { CrossProducts } from "./criterion";

/**
 * Cross products of orthonormal fixed effects, of the outcome less its least-squares fit, and of the random effects of
 * each volunteer. The detour through residuals and orthonormal columns keeps digits when values lie far from zero.
 */
export function crossProductsOf(
  columns: readonly Float64Array[],
  y: Float64Array,
  volunteerOf: Int32Array,
  volunteers: number,
  slope: Float64Array | null,
): CrossProducts {
  const p = columns.length;
  const q = slope ? 2 : 1;
  const zz = new Float64Array(volunteers * q * q);
  const zx = new Float64Array(volunteers * q * p);
  const zy = new Float64Array(volunteers * q);
  for (let i = 0; i < y.length; i++) {
    const g = volunteerOf[i] as number;
    for (let a = 0; a < q; a++) {
      const za = a === 0 ? 1 : ((slope as Float64Array)[i] as number);
      zy[g * q + a] = (zy[g * q + a] as number) + za * (y[i] as number);
      for (let b = 0; b < q; b++) {
        const zb = b === 0 ? 1 : ((slope as Float64Array)[i] as number);
        zz[(g * q + a) * q + b] = (zz[(g * q + a) * q + b] as number) + za * zb;
      }
      const row = (g * q + a) * p;
      for (let j = 0; j < p; j++) {
        zx[row + j] = (zx[row + j] as number) + za * ((columns[j] as Float64Array)[i] as number);
      }
    }
  }
  const xx = new Float64Array(p * p);
  const xy = new Float64Array(p);
  for (let j = 0; j < p; j++) {
    const left = columns[j] as Float64Array;
    xy[j] = product(left, y);
    for (let k = 0; k <= j; k++) {
      xx[j * p + k] = product(left, columns[k] as Float64Array);
      xx[k * p + j] = xx[j * p + k] as number;
    }
  }
  return { q, p, volunteers, rows: y.length, zz, zx, zy, xx, xy, yy: product(y, y) };
}

function product(a: Float64Array, b: Float64Array): number {
  let total = 0;
  for (let i = 0; i < a.length; i++) total += (a[i] as number) * (b[i] as number);
  return total;
}
