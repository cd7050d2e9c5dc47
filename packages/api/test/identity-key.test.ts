import { spawn } from "node:child_process";
import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { identityKeyring, migrate, openDatabase, parseKeyVersions, readMigrations } from "@acral/db";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { inIdentityRole } from "../src/identity/service";
import { encryptedTables, hashedTable } from "../src/identity-key/policy";
import { hashOlderIdentities, RotationError, rotateKeys } from "../src/identity-key/service";
import { openTestCore, type TestCore, testDatabaseKinds } from "../src/testing";
import { type ReadyStudy, readyStudy } from "./ready-study";

const key = (digit: string) => digit.repeat(64);
const nothing = () => undefined;

describe("the keys of all versions", () => {
  it("are read from lines or from a variable, and one alone is version 1", () => {
    expect([...parseKeyVersions(key("a"), "It").keys()]).toEqual([1]);
    expect([...parseKeyVersions(`3 ${key("a")}\n4 ${key("b")}\n`, "It").keys()]).toEqual([3, 4]);
    expect([...parseKeyVersions(`3:${key("a")}, 4:${key("b")}`, "It").keys()]).toEqual([3, 4]);
    for (const wrong of ["", "abc", `1 ${key("a")}\n1 ${key("b")}`, `0:${key("a")}`, `${key("a")}b`]) {
      expect(() => parseKeyVersions(wrong, "It"), wrong).toThrow(/^It /);
    }
  });
});

describe.each(testDatabaseKinds())(
  "a rotation of the identity key on $name",
  { timeout: 300_000 },
  (kind) => {
    let test: TestCore;
    let study: ReadyStudy;
    let file: string;
    const people: { volunteerId: string; name: string }[] = [];

    beforeAll(async () => {
      test = await openTestCore(kind);
      study = await readyStudy(test);
      file = join(test.core.environment.dataDir, "keys", "identity.key");
      const { studyId, call } = study;
      // More than one batch of everything.
      for (let number = 0; number < 53; number++) {
        const { volunteerId } = await study.volunteer();
        const name = `Ulvhild Sandvåg ${number}`;
        await call.identity.save({
          studyId,
          volunteerId,
          revision: 0,
          name,
          contact: `u${number}@example.org`,
        });
        people.push({ volunteerId, name });
      }
    }, 300_000);
    afterAll(() => test.close());

    const versionsOnFile = () => [...parseKeyVersions(readFileSync(file, "utf8"), "It").keys()];

    async function versionsInUse(): Promise<number[]> {
      const found = new Set<number>();
      for (const table of [...encryptedTables.map((encrypted) => encrypted.table), hashedTable]) {
        for (const row of await test.core.database.query(
          `select distinct key_version as v from "${table}"`,
        )) {
          found.add(Number(row.v));
        }
      }
      return [...found].sort();
    }

    async function expectReadable() {
      const { studyId, call } = study;
      const { volunteerId, name } = people[52] ?? { volunteerId: "", name: "" };
      const shown = await call.identity.reveal({ studyId, volunteerId, reason: "A test of the rotation" });
      expect(shown).toMatchObject({
        name,
        contact: "u52@example.org",
        namesAsSigned: [{ name: "Quendolin Abendroth" }],
      });
      const found = await call.identity.find({ studyId, text: "  ulvhild SANDVÅG  52" });
      expect(found.volunteers.map((volunteer) => volunteer.volunteerId)).toEqual([volunteerId]);
    }

    it("that is killed after any of its batches leaves everything readable, and is gone on with", async () => {
      class Killed extends Error {}
      let version = 1;
      let kills = 0;
      for (let survives = 0; ; survives++) {
        let batches = 0;
        const run = rotateKeys(test.core, () => {
          if (batches++ === survives) throw new Killed();
        });
        const result = await run.catch((error: unknown) => {
          if (!(error instanceof Killed)) throw error;
          return null;
        });
        if (result !== null) {
          // The first run that gets through without meeting its kill: nothing is left of the version before.
          version = result.version;
          expect(kills).toBeGreaterThan(2);
          break;
        }
        kills++;
        expect(versionsOnFile()).toHaveLength(2);
        await expectReadable();
        // While it stands still, somebody enters something: with the new version.
        const { volunteerId } = await study.volunteer();
        await study.call.identity.save({
          studyId: study.studyId,
          volunteerId,
          revision: 0,
          name: "In between",
        });
        const finished = await rotateKeys(test.core, nothing);
        expect(finished).toMatchObject({ resumed: true, version: version + 1 });
        version = finished.version;
        expect(versionsOnFile()).toEqual([version]);
        expect(await versionsInUse()).toEqual([version]);
      }
      expect(versionsOnFile()).toEqual([version]);
      expect(await versionsInUse()).toEqual([version]);
      await expectReadable();
    });

    it("by another process is met by one that runs: it looks for the new key, and writes with it", async () => {
      const running = identityKeyring(null, file);
      const before = versionsOnFile();
      const { version } = await rotateKeys(
        { ...test.core, identityKeys: identityKeyring(null, file) },
        nothing,
      );
      expect(before).not.toContain(version);
      expect(running.at(version).current).toBe(version);
      await expectReadable();
    });

    it("leaves no value of the version before in the files, nor the key", async () => {
      const old = await inIdentityRole({ db: test.core.database.prisma, core: test.core }, (db) =>
        db.identity.findFirstOrThrow(),
      );
      const oldKey = readFileSync(file, "utf8");
      await rotateKeys(test.core, nothing);
      expect(readFileSync(file, "utf8")).not.toContain(oldKey.trim().split(" ")[1]);
      const now = await inIdentityRole({ db: test.core.database.prisma, core: test.core }, (db) =>
        db.identity.findUniqueOrThrow({ where: { volunteerId: old.volunteerId } }),
      );
      expect(Buffer.from(now.nameCipher ?? []).equals(Buffer.from(old.nameCipher ?? []))).toBe(false);
    });

    it("leaves an entry in the trail of what happens outside studies", async () => {
      const entries = await test.core.database.prisma.auditEntry.findMany({
        where: { action: "identity.rotateKeys" },
      });
      expect(entries.length).toBeGreaterThan(2);
      expect(entries[0]).toMatchObject({ studyId: null, actorName: "nobody signed in" });
    });

    it("with keys from the environment says what to set, does it, and says what to take out", async () => {
      const [version = 1] = versionsOnFile();
      const now = readFileSync(file, "utf8").trim().split(" ")[1];
      const stated = (text: string) => ({ ...test.core, identityKeys: identityKeyring(text, file) });
      await expect(rotateKeys(stated(`${version}:${now}`), nothing)).rejects.toThrow(/ACRAL_IDENTITY_KEY to/);
      const both = `${version}:${now},${version + 1}:${key("e")}`;
      const rotated = await rotateKeys(stated(both), nothing);
      expect(rotated).toMatchObject({ version: version + 1, removable: [version] });
      expect(await versionsInUse()).toEqual([version + 1]);
      // A key file from before the rotation is refused in words, and nothing is done with it.
      await expect(rotateKeys(test.core, nothing)).rejects.toThrow(RotationError);
      rmSync(file);
      writeFileSync(file, `${version + 1} ${key("e")}\n`, { mode: 0o600 });
    });

    it("refuses to begin while a table holds encrypted values that it does not know", async () => {
      await test.core.database.runScript(
        "create table stranger (id text, value_cipher bytea, key_version integer)",
      );
      await expect(rotateKeys(test.core, nothing)).rejects.toThrow(/stranger/);
      await test.core.database.runScript("drop table stranger");
    });

    it("knows every column of encrypted values", async () => {
      const rows = await test.core.database.query(
        "select table_name || '.' || column_name as name from information_schema.columns where table_schema = 'public' and column_name like '%\\_cipher'",
      );
      const known = encryptedTables.flatMap(({ table, columns }) =>
        Object.keys(columns).map((column) => `${table}.${column}`),
      );
      expect(known.sort()).toEqual(rows.map(({ name }) => String(name)).sort());
    });

    it("identities that were entered before there was a search are found after the next start", async () => {
      await test.core.database.query("delete from identity_search_hash");
      expect(await hashOlderIdentities(test.core)).toBeGreaterThan(50);
      expect(await hashOlderIdentities(test.core)).toBe(0);
      await expectReadable();
    });
  },
);

describe("npm run keys:rotate", { timeout: 300_000 }, () => {
  const root = fileURLToPath(new URL("../../..", import.meta.url));

  it("killed while it runs, on the embedded database in its folder, is gone on with by the next call", async () => {
    const dataDir = mkdtempSync(join(tmpdir(), "acral-rotation-"));
    const open = async () => {
      const database = await openDatabase({ dataDir });
      await migrate(database, readMigrations(join(root, "prisma/migrations")));
      return database;
    };
    const test = await openTestCore({
      name: "",
      open,
      openBefore: () => Promise.reject(new Error("unused")),
    });
    const study = await readyStudy(test);
    const { volunteerId } = await study.volunteer();
    await study.call.identity.save({
      studyId: study.studyId,
      volunteerId,
      revision: 0,
      name: "Ulvhild Sandvåg",
    });
    const keys = readFileSync(join(test.core.environment.dataDir, "keys", "identity.key"), "utf8").trim();
    await test.close();

    const run = (killAtFirstLine: boolean) =>
      new Promise<{ code: number | null; said: string }>((resolve, reject) => {
        const child = spawn(
          process.execPath,
          ["--import", "tsx", "--import", "./scripts/client-first.ts", "scripts/keys-rotate.ts"],
          {
            cwd: root,
            env: { ...process.env, DATABASE_URL: "", ACRAL_DATA_DIR: dataDir, ACRAL_IDENTITY_KEY: "" },
          },
        );
        let said = "";
        child.stdout.on("data", (chunk: Buffer) => {
          said += chunk.toString();
          if (killAtFirstLine) child.kill("SIGKILL");
        });
        child.stderr.on("data", (chunk: Buffer) => (said += chunk.toString()));
        child.on("error", reject);
        child.on("close", (code) => resolve({ code, said }));
      });
    const keyFile = join(dataDir, "keys", "identity.key");
    expect(existsSync(keyFile)).toBe(false);
    // The key of the test's core, as it stands in the folder of a real one.
    mkdirSync(join(dataDir, "keys"), { recursive: true });
    writeFileSync(keyFile, `${keys}\n`, { mode: 0o600 });

    expect((await run(true)).code).not.toBe(0);
    expect([...parseKeyVersions(readFileSync(keyFile, "utf8"), "It").keys()]).toEqual([1, 2]);
    const second = await run(false);
    expect(second.said).toMatch(/begun earlier was finished: version 2 is in use/);
    expect(second.code).toBe(0);
    expect([...parseKeyVersions(readFileSync(keyFile, "utf8"), "It").keys()]).toEqual([2]);
  });
});
