import { createHmac } from "node:crypto";
import { ReleaseInputError } from "./errors";

/** A source of unpredictable bytes. */
export interface RandomSource {
  /** The next `count` bytes. */
  bytes(count: number): Uint8Array;
}

/**
 * HMAC-SHA-256 of a counter under the seed: as unpredictable as the seed is secret, and the same for the same seed.
 * Draw the seed with a cryptographic generator, one per release, and keep it as secret as identities: who has it can
 * tell which pseudonym is whose.
 */
export function seededRandom(seed: Uint8Array): RandomSource {
  if (seed.length < 16) throw new ReleaseInputError("seed", "needs at least 16 bytes");
  const key = Uint8Array.from(seed);
  let counter = 0n;
  let block = new Uint8Array(0);
  let used = 0;
  return {
    bytes(count) {
      const out = new Uint8Array(count);
      for (let i = 0; i < count; i++) {
        if (used === block.length) {
          const message = new Uint8Array(8);
          new DataView(message.buffer).setBigUint64(0, counter++);
          block = new Uint8Array(createHmac("sha256", key).update(message).digest());
          used = 0;
        }
        out[i] = block[used++] ?? 0;
      }
      return out;
    },
  };
}

/** A whole number from 0 to below `bound` (at most 256), every one equally likely: bytes that would favour some are drawn again. */
export function drawBelow(random: RandomSource, bound: number): number {
  if (!Number.isInteger(bound) || bound < 1 || bound > 256) {
    throw new ReleaseInputError("bound", "must be a whole number from 1 to 256");
  }
  const fair = 256 - (256 % bound);
  for (;;) {
    const byte = random.bytes(1)[0];
    if (byte === undefined) throw new ReleaseInputError("random", "returned no byte when asked for one");
    if (byte < fair) return byte % bound;
  }
}
