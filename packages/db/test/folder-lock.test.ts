import { spawn, spawnSync } from "node:child_process";
import { existsSync, mkdtempSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { BlobFolderOwnerError, claimBlobFolder } from "../src/blob-folder-owner";
import { FolderInUseError, lockFolder, lockFolderWhenFree } from "../src/folder-lock";
import { openDatabase } from "../src/open-database";
import { testDatabaseKinds } from "../src/testing";

const newFolder = () => mkdtempSync(join(tmpdir(), "acral-lock-"));

describe("the lock of an embedded database", () => {
  it("refuses a second owner, and is given back", () => {
    const file = join(newFolder(), "lock");
    const unlock = lockFolder(file, "here");
    expect(() => lockFolder(file, "here")).toThrow(FolderInUseError);
    expect(() => lockFolder(file, "here")).toThrow(/ACRAL_DATA_DIR/);
    unlock();
    expect(existsSync(file)).toBe(false);
    lockFolder(file, "here")();
  });

  it("is taken over from a process that is gone, and from one whose number is used again", () => {
    const file = join(newFolder(), "lock");
    const { pid } = spawnSync(process.execPath, ["-e", ""]);
    writeFileSync(file, `${pid} 1`);
    lockFolder(file, "here")();
    writeFileSync(file, `${process.pid} 1`);
    lockFolder(file, "here")();
    writeFileSync(file, "not a number");
    lockFolder(file, "here")();
  });

  it("is waited for while its process is ending, as after a kill and a start at once", async () => {
    const file = join(newFolder(), "lock");
    const ending = spawn(process.execPath, ["-e", "setTimeout(() => {}, 500)"]);
    writeFileSync(file, `${ending.pid} `);
    expect(() => lockFolder(file, "here")).toThrow(FolderInUseError);
    (await lockFolderWhenFree(file, "here"))();
  });

  it("keeps two openings of one folder apart", async () => {
    const dataDir = newFolder();
    const database = await openDatabase({ dataDir });
    await expect(openDatabase({ dataDir })).rejects.toThrow(FolderInUseError);
    await database.close();
    await (await openDatabase({ dataDir })).close();
  });
});

describe.each(testDatabaseKinds())("a folder of blobs, on $name", (kind) => {
  it("belongs to the database that used it first", async () => {
    const folder = newFolder();
    const database = await kind.open();
    try {
      await claimBlobFolder(folder, database);
      await claimBlobFolder(folder, database);
      writeFileSync(join(folder, "database-id"), "of another database");
      await expect(claimBlobFolder(folder, database)).rejects.toThrow(BlobFolderOwnerError);
    } finally {
      await database.close();
    }
  });
});
