export interface OrderBalance {
  /** counts[condition][position]: how often a condition stands in a position. */
  readonly positions: readonly (readonly number[])[];
  /** counts[before][after]: how often a condition follows another directly. */
  readonly carryOver: readonly (readonly number[])[];
  readonly positionsBalanced: boolean;
  readonly carryOverBalanced: boolean;
}

/** How evenly orders spread their conditions over positions and successions. */
export function orderBalance(
  orders: readonly (readonly string[])[],
  conditions: readonly string[],
): OrderBalance {
  const k = conditions.length;
  const index = new Map(conditions.map((condition, i) => [condition, i]));
  const table = () => Array.from({ length: k }, () => new Array<number>(k).fill(0));
  const positions = table();
  const carryOver = table();
  const count = (counts: number[][], a: number | undefined, b: number | undefined) => {
    const row = a === undefined ? undefined : counts[a];
    if (row && b !== undefined) row[b] = (row[b] ?? 0) + 1;
  };
  for (const order of orders) {
    order.forEach((condition, position) => {
      count(positions, index.get(condition), position);
      if (position > 0) count(carryOver, index.get(order[position - 1] as string), index.get(condition));
    });
  }
  return {
    positions,
    carryOver,
    positionsBalanced: allEqual(positions.flat()),
    carryOverBalanced: allEqual(carryOver.flatMap((row, a) => row.filter((_, b) => a !== b))),
  };
}

function allEqual(counts: readonly number[]): boolean {
  return counts.every((count) => count === counts[0]);
}
