export interface PlacedLabel<Item> {
  readonly item: Item;
  readonly y: number;
}

/**
 * Moves labels that would overlap apart, as little as needed and within [top, bottom], keeping their order.
 * `at` is where each would stand if it were alone.
 */
export function spreadLabels<Item>(
  items: readonly { readonly item: Item; readonly at: number }[],
  gap: number,
  top: number,
  bottom: number,
): PlacedLabel<Item>[] {
  const sorted = [...items].sort((a, b) => a.at - b.at);
  const places: number[] = [];
  for (const { at } of sorted) {
    const previous = places.at(-1);
    places.push(
      Math.max(Math.max(top, at), previous === undefined ? Number.NEGATIVE_INFINITY : previous + gap),
    );
  }
  // What ran over the bottom is pushed up again, from the last to the first.
  let limit = bottom;
  for (let index = places.length - 1; index >= 0; index -= 1) {
    places[index] = Math.min(places[index] ?? limit, limit);
    limit = (places[index] ?? limit) - gap;
  }
  return sorted.map(({ item }, index) => ({ item, y: places[index] ?? top }));
}

/** About how wide a text of the figures' 13 px type is; figures are drawn before their type can be measured. */
export function textWidth(text: string): number {
  return text.length * 7;
}
