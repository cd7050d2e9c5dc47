import { randomBytes } from "node:crypto";
import { identityTables, keepIdentityApart, openDatabase } from "@acral/db";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { inIdentityRole } from "../src/identity/service";
import { openTestCore, type TestCore, testDatabaseKinds } from "../src/testing";
import { type ReadyStudy, readyStudy } from "./ready-study";

describe.each(testDatabaseKinds())("what identifies people, on $name", { timeout: 300_000 }, (kind) => {
  let test: TestCore;
  let study: ReadyStudy;
  let volunteerId: string;

  beforeAll(async () => {
    test = await openTestCore(kind);
    study = await readyStudy(test);
    ({ volunteerId } = await study.volunteer());
    await study.call.identity.save({
      studyId: study.studyId,
      volunteerId,
      revision: 0,
      name: "Ulvhild Sandvåg",
    });
  }, 300_000);
  afterAll(() => test.close());

  const refused = /permission denied|denied access|code: `?42501/i;

  it("is refused by the database itself on the path that everything else takes", async () => {
    const { prisma } = test.core.database;
    for (const table of identityTables) {
      for (const statement of [
        `select * from "${table}"`,
        `select count(*) from "${table}"`,
        `delete from "${table}"`,
        `update "${table}" set study_id = study_id`,
        `insert into "${table}" select * from "${table}"`,
        `truncate "${table}"`,
        `alter table "${table}" owner to current_user`,
        `copy "${table}" to stdout`,
      ]) {
        await expect(prisma.$executeRawUnsafe(statement), statement).rejects.toThrow();
      }
      await expect(prisma.$queryRawUnsafe(`select * from "${table}"`), table).rejects.toThrow(refused);
    }
    await expect(prisma.identity.findMany()).rejects.toThrow(refused);
    await expect(prisma.signedName.findMany()).rejects.toThrow(refused);
    // As a use case of the analysis might do it without a thought.
    await expect(prisma.volunteer.findMany({ include: { identity: true } })).rejects.toThrow(refused);
    await expect(
      prisma.$queryRaw`select v.code, i.name_cipher from volunteer v join identity i on i.volunteer_id = v.id`,
    ).rejects.toThrow(refused);
    // Whom it concerns is read there as before.
    expect(await prisma.volunteer.count()).toBe(1);
  });

  it("is reached in a transaction that takes the role, and in the same transaction not before and not after", async () => {
    const { prisma } = test.core.database;
    const seen = await prisma.$transaction(async (db) => {
      const found = await inIdentityRole({ db, core: test.core }, (identityDb) =>
        identityDb.identity.findMany(),
      );
      await expect(db.identity.findMany()).rejects.toThrow(refused);
      return found.length;
    });
    expect(seen).toBe(1);
  });

  it("is refused again after the role was left by an error", async () => {
    const { prisma } = test.core.database;
    await prisma.$transaction(async (db) => {
      await expect(
        inIdentityRole({ db, core: test.core }, () => Promise.reject(new Error("in between"))),
      ).rejects.toThrow("in between");
      await expect(db.signedName.findMany()).rejects.toThrow(refused);
    });
    await expect(prisma.identity.findMany()).rejects.toThrow(refused);
  });

  it("cannot be given back by the usual role, which may neither alter tables nor the trail's triggers", async () => {
    const { prisma } = test.core.database;
    for (const statement of [
      "alter table audit_entry disable trigger all",
      "drop trigger volunteer_tombstone_stays on volunteer",
      "delete from _prisma_migrations",
    ]) {
      await expect(prisma.$executeRawUnsafe(statement), statement).rejects.toThrow();
    }
    // With rights of upkeep only this is a warning, and gives nothing.
    await prisma.$executeRawUnsafe("grant select on identity to acral_app").catch(() => 0);
    const [row] = await test.core.database.query(
      "select has_table_privilege('acral_app', 'identity', 'select') as yes",
    );
    expect(row?.yes).toBe(false);
  });

  it("finds a person by the exact name or contact, however written, and nobody by a part; the trail keeps a hash", async () => {
    const { studyId, call } = study;
    const contact = "Ulvhild@Example.org; +47 (55) 123-456";
    await call.identity.save({ studyId, volunteerId, revision: 1, contact });
    for (const text of [
      "  ULVHILD   sandvåg ",
      // The same letter, written as two characters.
      "Ulvhild Sandva\u030Ag",
      "ulvhild@example.org",
      "+4755123456",
      "Quendolin Abendroth",
    ]) {
      const { volunteers } = await call.identity.find({ studyId, text });
      expect(
        volunteers.map((volunteer) => volunteer.volunteerId),
        text,
      ).toEqual([volunteerId]);
      expect(Object.keys(volunteers[0] ?? {}).sort()).toEqual(["code", "volunteerId"]);
    }
    for (const text of ["Ulvhild", "Sandvåg", "example.org", "%", "ulvhild_sandvåg"]) {
      if (text.length < 3) continue;
      expect((await call.identity.find({ studyId, text })).volunteers, text).toEqual([]);
    }
    const trail = await call.audit.list({ studyId, action: "identity.find" });
    expect(JSON.stringify(trail)).not.toMatch(/ulvhild|sandv|example\.org|55123456/i);
    expect(trail.entries[0]?.after).toMatchObject({ searchedFor: expect.stringMatching(/^1:[0-9a-f]{64}$/) });
    // In another study the same name has another hash, and is found by nobody.
    const other = await readyStudy(test);
    expect(
      (await other.call.identity.find({ studyId: other.studyId, text: "Ulvhild Sandvåg" })).volunteers,
    ).toEqual([]);
  });

  it("cannot be searched for with a list of names", async () => {
    const { studyId } = study;
    const operator = await test.member(studyId, "Operator", "operator");
    const search = (number: number) =>
      test.caller(operator).identity.find({ studyId, text: `Somebody ${number}` });
    const results = await Promise.allSettled(Array.from({ length: 30 }, (_, number) => search(number)));
    expect(results.filter(({ status }) => status === "fulfilled")).toHaveLength(20);
    test.setNow(new Date(Date.now() + 11 * 60_000));
    expect((await search(31)).volunteers).toEqual([]);
  });
});

const serverUrl = process.env.ACRAL_TEST_SERVER_URL ?? "";
describe.runIf(serverUrl !== "")("a database user who may not create roles", { timeout: 120_000 }, () => {
  it("is told in one line what is missing, and what an administrator enters makes it work", async () => {
    const server = await openDatabase({ url: serverUrl });
    const name = `acral_test_${randomBytes(6).toString("hex")}`;
    const url = new URL(serverUrl);
    url.pathname = `/${name}`;
    url.username = name;
    url.password = "invented";
    try {
      await server.query(`create role ${name} login password 'invented'`);
      await server.query(`create database ${name} owner ${name}`);
      const database = await openDatabase({ url: url.toString() });
      await database.runScript("create table study (id int)");
      for (const table of identityTables) await database.runScript(`create table ${table} (id int)`);
      await database.runScript(`create table "_prisma_migrations" (id int)`);
      const missing = await keepIdentityApart(database);
      expect(missing).toContain(`grant acral_app, acral_identity to "${name}";`);
      expect(missing).not.toContain("\n");
      // Nothing is refused: Acral runs as before, apart by its own code.
      expect(await database.prisma.$queryRawUnsafe("select * from identity")).toEqual([]);
      await database.prisma.$disconnect();
      await database.close();
      // The roles are there already, from other tests: only the last statement is left to enter.
      await server.query(`grant acral_app, acral_identity to ${name}`);
      const again = await openDatabase({ url: url.toString() });
      expect(await keepIdentityApart(again)).toBeNull();
      await expect(again.prisma.$queryRawUnsafe("select * from identity")).rejects.toThrow(
        /permission denied/,
      );
      await again.close();
    } finally {
      await server.query(`drop database if exists ${name} with (force)`);
      await server.query(`drop role if exists ${name}`);
      await server.close();
    }
  });
});
