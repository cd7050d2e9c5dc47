import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { isStudyAction } from "../src/access/policy";
import type { Actor } from "../src/access/service";
import { verifyChains } from "../src/audit-chain/service";
import { appRouter } from "../src/root-router";
import { openScope } from "../src/scope";
import { openTestCore, type TestCore, testDatabaseKinds } from "../src/testing";
import { drives, type Step } from "./mutation-drives";
import { type ReadyStudy, readyStudy } from "./ready-study";

const byPath = appRouter._def.procedures as unknown as Record<string, { _def: { type: string } }>;
const mutations = Object.keys(byPath).filter((path) => byPath[path]?._def.type === "mutation");

/** Mutations by transport only, for the size of their input: they read, and leave no entry but that of a reading. */
const changesNothing = [
  "sourceFile.preview",
  "quality.preview",
  "forYou.read",
  "forYou.own",
  "forYou.invitation",
];

/** Every plain route, by its folder below app/api, with what it does: the drive of its name, or why it needs none. */
const routes: Readonly<Record<string, readonly string[] | string>> = {
  "auth/[...all]": "the sign-in library's own; a changed password leaves its entry by a hook in auth.ts",
  "for-you/copy": "gives volunteers their own copy; volunteer-link.test.ts holds its entry",
  "for-you/own-data": "gives volunteers what is kept about them; withdrawal.test.ts holds its entry",
  health: "answers whether the server runs",
  "studies/[studyId]/audit": ["audit.export"],
  "studies/[studyId]/consent-records/[recordId]/scan": ["consent.addScan"],
  "studies/[studyId]/signed-papers/[paperId]": ["consent.openPaper"],
  "studies/[studyId]/volunteers/[volunteerId]/own-data": ["ownData.export"],
  "studies/[studyId]/releases/[releaseId]": ["release.download"],
  "studies/[studyId]/trials/[trialId]/files": ["file.upload"],
  "studies/[studyId]/trials/[trialId]/files/[fileId]": "gives a source file back, and changes nothing",
  "trpc/[trpc]": "the procedures, which are enumerated from the router",
};

/**
 * What may be written without an entry: numbers that are computed from what is audited and computed anew whenever they are
 * stale; and how often a password was tried, which counts whether or not anything came of it. And that the bytes of an erasure are gone, which follows
 * the erasure and its entry.
 */
const withoutEntry = ["measure", "aligned_trace", "quality_check", "finding", "sign_in_throttle", "erasure"];

function routeFolders(): string[] {
  const root = fileURLToPath(new URL("../../../apps/web/src/app/api", import.meta.url));
  return readdirSync(root, { recursive: true, encoding: "utf8" })
    .filter((path) => path.endsWith("route.ts"))
    .map((path) => path.replaceAll("\\", "/").replace(/\/route\.ts$/, ""));
}

describe("the drives", () => {
  it("are there for every mutation and every route, and for nothing else", () => {
    const ofRoutes = Object.values(routes).flatMap((route) => (typeof route === "string" ? [] : route));
    expect(Object.keys(drives).sort()).toEqual([...mutations, ...ofRoutes].sort());
    expect(routeFolders().sort()).toEqual(Object.keys(routes).sort());
  });

  it("are there for every action that a route enters a study by, unless it only reads", () => {
    const root = fileURLToPath(new URL("../../../apps/web/src/app/api", import.meta.url));
    const entered = routeFolders().flatMap((folder) =>
      [
        ...readFileSync(join(root, folder, "route.ts"), "utf8").matchAll(
          /openScope\([^)]*"([\w.]+)"\s*,?\s*\)/g,
        ),
      ].map(([, action]) => ({ folder, action: action ?? "" })),
    );
    for (const { folder, action } of entered) {
      const said = routes[folder];
      if (typeof said !== "string") expect(said, `${folder} enters by ${action}`).toContain(action);
    }
    expect(entered.length).toBeGreaterThan(3);
  });
});

type Callable = (input: unknown) => Promise<unknown>;

interface Write {
  readonly transaction: string;
  readonly table: string;
}

describe.each(testDatabaseKinds())("the audit trail on $name", (kind) => {
  let test: TestCore;
  let common: Promise<ReadyStudy> | null = null;

  beforeAll(async () => {
    test = await openTestCore(kind);
    // Every row that any transaction writes, in any table, and in which transaction: what is rolled back is gone here too.
    await test.core.database.runScript(`
      create table write_log (transaction bigint, table_name text);
      create function log_write() returns trigger language plpgsql as $$
        begin insert into write_log values (txid_current(), TG_TABLE_NAME); return null; end $$;
      do $$ declare name text; begin
        for name in select table_name from information_schema.tables where table_schema = 'public'
          and table_type = 'BASE TABLE' and table_name not in ('write_log', '_prisma_migrations')
        loop execute format('create trigger log_writes after insert or update or delete on %I for each row execute function log_write()', name); end loop;
      end $$;
      create function refuse_entry() returns trigger language plpgsql as $$ begin raise exception 'no entry'; end $$;
      create trigger refuse_entries before insert on audit_entry for each row execute function refuse_entry();
      alter table audit_entry disable trigger refuse_entries;`);
  });
  afterAll(() => test.close());

  const world = { study: () => (common ??= readyStudy(test)) };

  async function call(path: string, step: Step, actor: Actor | null, input: Step["input"]): Promise<unknown> {
    if (step.call !== undefined) {
      if (actor === null || !isStudyAction(path)) throw new Error(`${path} is driven by nobody`);
      return step.call(await openScope(test.core, actor, String(input.studyId), path), input);
    }
    const [noun = "", verb = ""] = path.split(".");
    const nouns = test.caller(actor) as unknown as Record<string, Record<string, Callable>>;
    const procedure = nouns[noun]?.[verb];
    if (procedure === undefined) throw new Error(`no procedure ${path}`);
    return procedure(input);
  }

  /** What the work wrote and committed, without what may be written without an entry. */
  async function writesOf(work: () => Promise<unknown>): Promise<Write[]> {
    await test.core.database.query("delete from write_log");
    await work();
    const rows = await test.core.database.query(
      "select distinct transaction::text, table_name from write_log",
    );
    return rows
      .map((row) => ({ transaction: String(row.transaction), table: String(row.table_name) }))
      .filter(({ table }) => !withoutEntry.includes(table));
  }

  const refused = (work: Promise<unknown>) =>
    work.then(
      () => {
        throw new Error("it was not refused");
      },
      () => undefined,
    );

  /** The same about records that are not there, or as somebody who saw them long ago; null where nothing names a record. */
  function aboutNothing(input: Step["input"]): Step["input"] | null {
    const other = Object.fromEntries(
      Object.entries(input).map(([key, value]) => {
        if (key === "token" || (key === "code" && !("volunteerId" in input))) return [key, "nothing"];
        if (/[a-z]Id$/.test(key) && key !== "studyId") return [key, "no-such-record"];
        return [key, value];
      }),
    );
    return JSON.stringify(other) === JSON.stringify(input) ? null : other;
  }

  it("would be seen to lack an entry", async () => {
    const { prisma } = test.core.database;
    const writes = await writesOf(async () => {
      await prisma.user.create({ data: { id: "silent", name: "Silent", email: "silent@example.org" } });
      await prisma.user.delete({ where: { id: "silent" } });
    });
    expect(writes.map(({ table }) => table)).toEqual(["user_account", "user_account"]);
  });

  it.each(Object.keys(drives))(
    "gets an entry from %s in the same transaction, and none when it fails",
    async (path) => {
      const drive = drives[path];
      if (drive === undefined) throw new Error(`no drive for ${path}`);
      const step = await drive({ test, ...world });
      const actor = step.actor === undefined ? (await world.study()).lead : step.actor;

      if ("studyId" in step.input) {
        const stranger = await test.person("Somebody from outside");
        expect(
          await writesOf(() => refused(call(path, step, stranger, step.input))),
          "by a stranger",
        ).toEqual([]);
      }
      const nothing = aboutNothing(step.input);
      if (nothing !== null) {
        expect(await writesOf(() => refused(call(path, step, actor, nothing))), "about nothing").toEqual([]);
      }
      if (changesNothing.includes(path)) {
        expect(await writesOf(() => call(path, step, actor, step.input))).toEqual([]);
        return;
      }
      await test.core.database.query("alter table audit_entry enable trigger refuse_entries");
      const unaudited = await writesOf(() => refused(call(path, step, actor, step.input)));
      await test.core.database.query("alter table audit_entry disable trigger refuse_entries");
      expect(unaudited, "when no entry can be written").toEqual([]);

      const { prisma } = test.core.database;
      const last = await prisma.auditEntry.findFirst({ orderBy: { id: "desc" } });
      const writes = await writesOf(() => call(path, step, actor, step.input));
      const audited = new Set(
        writes.filter(({ table }) => table === "audit_entry").map((write) => write.transaction),
      );
      expect(audited.size, "leaves an entry").toBeGreaterThan(0);
      expect(
        writes.filter(({ transaction }) => !audited.has(transaction)),
        "writes without an entry",
      ).toEqual([]);
      const entries = await prisma.auditEntry.findMany({ where: { id: { gt: last?.id ?? 0n } } });
      for (const entry of entries) {
        expect(entry.action).not.toBe("");
        expect(entry.subjectId).not.toBe("");
        if (actor !== null) expect(entry.actorId).toBe(actor.userId);
        if ("studyId" in step.input) expect(entry.studyId).toBe(step.input.studyId);
      }
    },
  );

  it("holds as one chain for each study after all of this, and says of nobody who it is", async () => {
    const faults: unknown[] = [];
    await verifyChains(test.core.database, [], {
      onFault: (_, fault) => faults.push(fault),
      onChain: () => undefined,
    });
    expect(faults).toEqual([]);
    const rows = await test.core.database.query("select row_to_json(e)::text as entry from audit_entry as e");
    expect(rows.length).toBeGreaterThan(100);
    expect(rows.map((row) => row.entry).join("\n")).not.toMatch(/Ulvhild|Sandvåg|Quendolin|Abendroth/);
  });
});
