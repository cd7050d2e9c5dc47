/** Whether two stored series are the same bytes; a series that is not there equals only another that is not. */
export function sameBytes(a: Uint8Array | null, b: Uint8Array | null): boolean {
  if (a === null || b === null) return a === b;
  return a.length === b.length && a.every((byte, i) => byte === b[i]);
}

/** Line numbers, ascending, as stretches from … to. */
export function stretchesOf(lines: readonly number[]): [number, number][] {
  const stretches: [number, number][] = [];
  for (const line of lines) {
    const last = stretches.at(-1);
    if (last !== undefined && line === last[1] + 1) last[1] = line;
    else stretches.push([line, line]);
  }
  return stretches;
}
