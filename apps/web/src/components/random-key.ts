/** A key for something new in a list: never used before, because it is drawn at random. */
export function randomKey(prefix: string): string {
  const digits = crypto.getRandomValues(new Uint8Array(8));
  return `${prefix}-${[...digits].map((digit) => (digit % 36).toString(36)).join("")}`;
}
