import { createHash } from "node:crypto";
import { mkdtempSync, readdirSync } from "node:fs";
import { utimes } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { beforeEach, describe, expect, it } from "vitest";
import { BlobTooLargeError, clearIncoming, folderBlobStore } from "../src/blob-store";

async function* chunks(...parts: string[]) {
  for (const part of parts) yield Buffer.from(part);
}

describe("the folder of blobs", () => {
  let folder: string;
  beforeEach(() => {
    folder = mkdtempSync(join(tmpdir(), "acral-blobs-"));
  });

  it("names a blob by the SHA-256 of its bytes and gives them back", async () => {
    const store = folderBlobStore(folder);
    const stored = await store.put(chunks("time,", "hand\n"));
    expect(stored).toEqual({
      sha256: createHash("sha256").update("time,hand\n").digest("hex"),
      sizeBytes: 10,
    });
    const parts: Uint8Array[] = [];
    for await (const part of store.read(stored.sha256)) parts.push(part);
    expect(Buffer.concat(parts).toString()).toBe("time,hand\n");
    expect(await store.has(stored.sha256)).toBe(true);
  });

  it("keeps nothing of an upload that breaks off or is too large", async () => {
    const store = folderBlobStore(folder);
    async function* broken() {
      yield Buffer.from("half");
      throw new Error("connection lost");
    }
    await expect(store.put(broken())).rejects.toThrow("connection lost");
    await expect(store.put(chunks("123456"), 5)).rejects.toThrow(BlobTooLargeError);
    expect(readdirSync(join(folder, "incoming"))).toEqual([]);
    const left = [];
    for await (const blob of store.list()) left.push(blob);
    expect(left).toEqual([]);
  });

  it("clears what a killed server left half received", async () => {
    const store = folderBlobStore(folder);
    const kept = await store.put(chunks("whole"));
    const iterator = (async function* () {
      yield Buffer.from("half");
      await new Promise(() => undefined);
    })();
    void store.put(iterator);
    await expect.poll(() => readdirSync(join(folder, "incoming")).length).toBe(1);
    expect(await clearIncoming(folder)).toBe(1);
    expect(await store.has(kept.sha256)).toBe(true);
  });

  it("takes away what is older than a moment, and leaves what was stored again meanwhile", async () => {
    const store = folderBlobStore(folder);
    const { sha256 } = await store.put(chunks("sent twice"));
    const anHourAgo = new Date(Date.now() - 3_600_000);
    const path = join(folder, sha256.slice(0, 2), sha256);
    await utimes(path, new Date(0), new Date(0));
    await store.put(chunks("sent twice"));
    expect(await store.removeStoredBefore(sha256, anHourAgo)).toBe(false);
    expect(await store.has(sha256)).toBe(true);
    await utimes(path, new Date(0), new Date(0));
    expect(await store.removeStoredBefore(sha256, anHourAgo)).toBe(true);
    expect(await store.has(sha256)).toBe(false);
    expect(await store.removeStoredBefore(sha256, anHourAgo)).toBe(false);
    expect(readdirSync(join(folder, "incoming"))).toEqual([]);
  });

  it("refuses a name that is no hash, so that no path can be smuggled in", async () => {
    await expect(folderBlobStore(folder).has("../../etc/passwd")).rejects.toThrow(RangeError);
  });
});
