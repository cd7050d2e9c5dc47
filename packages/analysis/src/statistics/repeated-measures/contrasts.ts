import type { WithinFactor } from "./repeated-measures-analysis";

/** Orthonormal contrasts of one effect over the cells; for the mean over all cells a single constant one. */
export interface EffectContrasts {
  readonly factors: readonly string[];
  readonly columns: readonly Float64Array[];
}

/** The contrasts of every main effect and interaction of the within factors, the last factor varying fastest. */
export function effectContrasts(within: readonly WithinFactor[]): EffectContrasts[] {
  const effects: EffectContrasts[] = [];
  for (let set = 1; set < 1 << within.length; set++) {
    let columns: Float64Array[] = [Float64Array.of(1)];
    within.forEach((factor, i) => {
      const own = set & (1 << i) ? helmert(factor.levels) : [constant(factor.levels)];
      columns = columns.flatMap((left) => own.map((right) => kronecker(left, right)));
    });
    effects.push({ factors: within.filter((_, i) => set & (1 << i)).map(({ name }) => name), columns });
  }
  return effects.sort((a, b) => a.factors.length - b.factors.length);
}

export function constant(levels: number): Float64Array {
  return new Float64Array(levels).fill(1 / Math.sqrt(levels));
}

/** Each level against the mean of those before it, scaled to length one. */
function helmert(levels: number): Float64Array[] {
  return Array.from({ length: levels - 1 }, (_, j) => {
    const scale = 1 / Math.sqrt((j + 1) * (j + 2));
    return Float64Array.from({ length: levels }, (_, i) =>
      i <= j ? -scale : i === j + 1 ? (j + 1) * scale : 0,
    );
  });
}

function kronecker(left: Float64Array, right: Float64Array): Float64Array {
  const product = new Float64Array(left.length * right.length);
  left.forEach((a, i) => {
    right.forEach((b, j) => {
      product[i * right.length + j] = a * b;
    });
  });
  return product;
}
