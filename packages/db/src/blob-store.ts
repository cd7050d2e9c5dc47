import { createHash, randomBytes } from "node:crypto";
import { createReadStream } from "node:fs";
import { mkdir, open, readdir, rename, stat, unlink } from "node:fs/promises";
import { join } from "node:path";

/**
 * Source files and releases are blobs, named by the SHA-256 of their content. A blob is complete before the row that
 * names it is committed; a sweep removes blobs that no row names.
 */
export interface StoredBlob {
  readonly sha256: string;
  readonly sizeBytes: number;
}

export interface BlobStore {
  /** Stores the bytes, or throws having kept nothing. Stops with `BlobTooLargeError` past `limitBytes`. */
  put(bytes: AsyncIterable<Uint8Array>, limitBytes?: number): Promise<StoredBlob>;
  read(sha256: string): AsyncIterable<Uint8Array>;
  has(sha256: string): Promise<boolean>;
  remove(sha256: string): Promise<void>;
  /**
   * Removes the blob unless it was stored at `moment` or later, and says whether it did. The age is looked at when nobody
   * can store the same bytes any more: a blob that was stored again meanwhile stays.
   */
  removeStoredBefore(sha256: string, moment: Date): Promise<boolean>;
  /** Names and ages of all complete blobs. */
  list(): AsyncIterable<{ sha256: string; storedAt: Date }>;
}

export class BlobTooLargeError extends Error {
  override readonly name = "BlobTooLargeError";
  constructor(readonly limitBytes: number) {
    super(`The file is larger than ${limitBytes} bytes.`);
  }
}

const blobName = /^[0-9a-f]{64}$/;

function isMissing(error: unknown): boolean {
  return error instanceof Error && "code" in error && error.code === "ENOENT";
}

/** A folder of blobs: `ab/abcdef…`. What is under way has a temporary name in `incoming/`. */
export function folderBlobStore(folder: string): BlobStore {
  const incoming = join(folder, "incoming");
  const pathOf = (sha256: string) => {
    if (!blobName.test(sha256)) throw new RangeError("a blob is named by 64 lower-case hexadecimal digits");
    return join(folder, sha256.slice(0, 2), sha256);
  };

  return {
    async put(bytes, limitBytes = Number.POSITIVE_INFINITY) {
      await mkdir(incoming, { recursive: true });
      const draft = join(incoming, `${Date.now()}-${randomBytes(9).toString("hex")}`);
      const hash = createHash("sha256");
      let sizeBytes = 0;
      const file = await open(draft, "wx", 0o600);
      try {
        try {
          for await (const chunk of bytes) {
            sizeBytes += chunk.length;
            if (sizeBytes > limitBytes) throw new BlobTooLargeError(limitBytes);
            hash.update(chunk);
            await file.writeFile(chunk);
          }
          await file.sync();
        } finally {
          await file.close();
        }
        const sha256 = hash.digest("hex");
        const target = pathOf(sha256);
        await mkdir(join(folder, sha256.slice(0, 2)), { recursive: true });
        await rename(draft, target);
        const directory = await open(join(folder, sha256.slice(0, 2)), "r");
        try {
          await directory.sync();
        } finally {
          await directory.close();
        }
        return { sha256, sizeBytes };
      } catch (error) {
        await unlink(draft).catch((cause: unknown) => {
          if (!isMissing(cause)) throw cause;
        });
        throw error;
      }
    },

    read: (sha256) => createReadStream(pathOf(sha256)),

    async has(sha256) {
      try {
        return (await stat(pathOf(sha256))).isFile();
      } catch (error) {
        if (isMissing(error)) return false;
        throw error;
      }
    },

    async remove(sha256) {
      try {
        await unlink(pathOf(sha256));
      } catch (error) {
        if (!isMissing(error)) throw error;
      }
    },

    async removeStoredBefore(sha256, moment) {
      await mkdir(incoming, { recursive: true });
      const apart = join(incoming, `${Date.now()}-${randomBytes(9).toString("hex")}-apart`);
      try {
        if ((await stat(pathOf(sha256))).mtime >= moment) return false;
        // Under another name first, then looked at again: bytes that are stored from here on get a file of their own, which is not touched.
        await rename(pathOf(sha256), apart);
      } catch (error) {
        if (isMissing(error)) return false;
        throw error;
      }
      if ((await stat(apart)).mtime < moment) {
        await unlink(apart);
        return true;
      }
      // The same bytes stand there again at most: nothing is lost by putting these in their place.
      await rename(apart, pathOf(sha256));
      return false;
    },

    async *list() {
      const shelves = await readdir(folder).catch((error: unknown) => {
        if (isMissing(error)) return [];
        throw error;
      });
      for (const shelf of shelves.filter((name) => /^[0-9a-f]{2}$/.test(name))) {
        for (const sha256 of (await readdir(join(folder, shelf))).filter((name) => blobName.test(name))) {
          yield { sha256, storedAt: (await stat(join(folder, shelf, sha256))).mtime };
        }
      }
    },
  };
}

/** Removes what interrupted uploads left behind. Call at start, before anything is being received. */
export async function clearIncoming(folder: string): Promise<number> {
  const incoming = join(folder, "incoming");
  const left = await readdir(incoming).catch((error: unknown) => {
    if (isMissing(error)) return [];
    throw error;
  });
  for (const name of left) await unlink(join(incoming, name));
  return left.length;
}
