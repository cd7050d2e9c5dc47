/** Which files stood in whose place before. Nothing here reads or writes. */

interface Replaceable {
  readonly id: string;
  readonly successorId: string | null;
  readonly replacedAt: Date | null;
}

/** The files whose place one file has taken, directly or through others, the last one first. */
export function predecessorsOf<File extends Replaceable>(files: readonly File[], id: string): File[] {
  const found: File[] = [];
  const seen = new Set([id]);
  for (let at = 0, open = [id]; at < open.length; at++) {
    for (const file of files) {
      if (file.successorId !== open[at] || seen.has(file.id)) continue;
      seen.add(file.id);
      found.push(file);
      open.push(file.id);
    }
  }
  return found.sort((a, b) => (b.replacedAt?.getTime() ?? 0) - (a.replacedAt?.getTime() ?? 0));
}

/** The file that now stands where a replaced one stood. */
export function successorOf<File extends Replaceable>(files: readonly File[], id: string): File | null {
  const byId = new Map(files.map((file) => [file.id, file]));
  let at = byId.get(id);
  // There are no rings: a file that is put back has no successor any more.
  for (let step = 0; step < files.length && at?.successorId != null; step++) at = byId.get(at.successorId);
  return at === undefined || at.id === id ? null : at;
}
