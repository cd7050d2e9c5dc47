import type { FuzzInput } from "./fuzz-input";

/** The smallest input that still does the same, found by leaving out ever smaller pieces, within a bound on trials. */
export async function minimise(
  input: FuzzInput,
  stillFails: (input: FuzzInput) => Promise<boolean>,
  mostTrials = 3000,
): Promise<FuzzInput> {
  let best = input;
  let trials = 0;
  const attempt = async (candidate: FuzzInput): Promise<boolean> => {
    if (trials++ >= mostTrials || !(await stillFails(candidate))) return false;
    best = candidate;
    return true;
  };
  for (let i = 0; i < best.changes.length; ) {
    const changes = best.changes.filter((_, index) => index !== i);
    if (!(await attempt({ ...best, changes }))) i++;
  }
  for (let size = best.bytes.length >> 1; size >= 1 && trials < mostTrials; size >>= 1) {
    for (let at = 0; at < best.bytes.length && trials < mostTrials; ) {
      if (!(await attempt({ ...best, bytes: without(best.bytes, at, size) }))) at += size;
    }
  }
  return best;
}

function without(bytes: Uint8Array, at: number, size: number): Uint8Array {
  const rest = bytes.subarray(at + size);
  const result = new Uint8Array(at + rest.length);
  result.set(bytes.subarray(0, at));
  result.set(rest, at);
  return result;
}
