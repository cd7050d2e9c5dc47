import { Prisma } from "@acral/db";
import fc from "fast-check";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { AuditDraft } from "../src/audit/schema";
import { writeAuditEntries } from "../src/audit/service";
import type { ChainFault } from "../src/audit-chain/policy";
import { type Anchor, anchorSchema, anchorText } from "../src/audit-chain/schema";
import { chainHead, eraseAuditValues, type VerifiedChain, verifyChains } from "../src/audit-chain/service";
import { writeInStudy } from "../src/scope";
import { openTestCore, type TestCore, testDatabaseKinds } from "../src/testing";
import { readyStudy } from "./ready-study";

const column = {
  text: [
    "actor_id",
    "actor_name",
    "action",
    "subject_kind",
    "subject_id",
    "subject_label",
    "volunteer_id",
    "reason",
  ],
  json: ["before", "after"],
  hex: ["previous_hash", "hash", "values_digest", "values_salt"],
} as const;
/** Every column of an entry, so that none is added without being tried here. */
const everyColumn = ["id", "study_id", "at", "sequence", ...column.text, ...column.json, ...column.hex];

/** Texts as people and machines write them: quotes, line breaks, control characters, other scripts. PostgreSQL holds no NUL. */
const text = fc.string({ unit: "binary", maxLength: 12 }).map((value) => value.replaceAll("\0", ""));
const leaf = fc.oneof(
  text,
  fc.double({ noNaN: true, noDefaultInfinity: true }),
  fc.boolean(),
  fc.constant(null),
);
const values = fc.dictionary(text, fc.oneof(leaf, fc.array(fc.oneof(text, fc.integer()), { maxLength: 3 })), {
  maxKeys: 4,
});
const draft: fc.Arbitrary<AuditDraft> = fc.record(
  {
    action: text,
    subject: fc.record({ kind: text, id: text, label: text, volunteerId: fc.option(text) }),
    before: values,
    after: values,
    reason: text,
  },
  { requiredKeys: ["action", "subject"] },
) as fc.Arbitrary<AuditDraft>;

describe("an anchor", () => {
  it("is read back as it is written, and refused in any other form", () => {
    const anchor = { chain: "abc", sequence: 12, hash: "0f".repeat(32) };
    expect(anchorSchema.parse(anchorText(anchor))).toEqual(anchor);
    for (const wrong of [
      "",
      "abc:12",
      `abc:0:${anchor.hash}`,
      `abc:x:${anchor.hash}`,
      `abc:12:${anchor.hash}0`,
    ]) {
      expect(anchorSchema.safeParse(wrong).success, wrong).toBe(false);
    }
  });
});

describe.each(testDatabaseKinds())("the verification of the audit trail, on $name", (kind) => {
  let test: TestCore;
  let studyCount = 0;
  beforeAll(async () => {
    test = await openTestCore(kind);
  });
  afterAll(() => test.close());

  const query = (sql: string, parameters: unknown[] = []) => test.core.database.query(sql, parameters);

  async function verify(anchors: readonly Anchor[] = []) {
    const faults: (ChainFault & { chain: string })[] = [];
    const chains: VerifiedChain[] = [];
    await verifyChains(test.core.database, anchors, {
      onFault: (chain, fault) => faults.push({ ...fault, chain }),
      onChain: (chain) => chains.push(chain),
    });
    return { faults, chains };
  }

  /** A study with a chain of its own, written as every use case writes. */
  async function chainOf(drafts: readonly AuditDraft[]): Promise<string> {
    const studyId = `study-${++studyCount}`;
    await test.core.database.prisma.study.create({ data: { id: studyId, title: "A study for a test" } });
    const actor = { userId: "u", name: "Somebody", email: "s@example.org" };
    for (const [index, one] of drafts.entries()) {
      const at = new Date(Date.UTC(2026, 0, 1) + index * 61_001);
      await test.core.database.prisma.$transaction((db) =>
        writeAuditEntries(db, { studyId, actor, at }, [one]),
      );
    }
    return studyId;
  }

  /** Does what only whoever owns the database can do, and puts everything back afterwards. */
  async function tampered<T>(
    studyId: string,
    tamper: () => Promise<unknown>,
    look: () => Promise<T>,
  ): Promise<T> {
    const off =
      "alter table audit_entry disable trigger all; alter table audit_chain_head disable trigger all;";
    const on = off.replaceAll("disable", "enable");
    await test.core.database.runScript(`${off}
      drop index audit_entry_study_id_sequence_key;
      create table kept_entry as select * from audit_entry; create table kept_head as select * from audit_chain_head;`);
    try {
      await tamper();
      return await look();
    } finally {
      await test.core.database.runScript(`
        delete from audit_entry; insert into audit_entry select * from kept_entry; drop table kept_entry;
        delete from audit_chain_head; insert into audit_chain_head select * from kept_head; drop table kept_head;
        create unique index audit_entry_study_id_sequence_key on audit_entry (study_id, sequence); ${on}`);
      expect((await verify()).faults.filter(({ chain }) => chain === studyId)).toEqual([]);
    }
  }

  /** Numbers of the entries that a study's faults name, in order. */
  const named = (studyId: string, { faults }: Awaited<ReturnType<typeof verify>>) =>
    faults.filter(({ chain }) => chain === studyId).map(({ kind, sequence }) => `${kind} ${sequence}`);

  /** Another value of a column than the one that stands there. */
  function alter(studyId: string, sequence: number, name: string): Promise<unknown> {
    const where = "where study_id = $1 and sequence = $2";
    const set = (expression: string) =>
      query(`update audit_entry set ${name} = ${expression} ${where}`, [studyId, sequence]);
    if (name === "id") return set("id + 1000000");
    if (name === "study_id") return set("null");
    if (name === "at") return set("at + interval '1 millisecond'");
    if (name === "sequence") return set("sequence + 1000000");
    if (name === "before" || name === "after") return set(`case when ${name} is null then 'null'::jsonb end`);
    if (name === "hash" || name === "previous_hash" || name === "values_digest") {
      return set(`translate(${name}, '0123456789abcdef', '123456789abcdef0')`);
    }
    if (name === "values_salt") return set("values_salt || '0'");
    return set(`coalesce(${name} || 'x', '')`);
  }

  it("knows every column of an entry", async () => {
    const found = await query(
      "select column_name from information_schema.columns where table_name = 'audit_entry'",
    );
    expect(found.map((row) => String(row.column_name)).sort()).toEqual([...everyColumn].sort());
  });

  it("finds nothing in a chain that nobody touched, whatever stands in it", async () => {
    await fc.assert(
      fc.asyncProperty(fc.array(draft, { minLength: 1, maxLength: 8 }), async (drafts) => {
        const studyId = await chainOf(drafts);
        const { faults, chains } = await verify();
        expect(faults).toEqual([]);
        const own = chains.find(({ chain }) => chain === studyId);
        expect(own).toMatchObject({ entries: drafts.length, faults: 0, head: { sequence: drafts.length } });
      }),
      { numRuns: 12 },
    );
  });

  it("names the entry of which any single field was changed, and no other", async () => {
    await fc.assert(
      fc.asyncProperty(fc.array(draft, { minLength: 1, maxLength: 4 }), fc.nat(), async (drafts, pick) => {
        const studyId = await chainOf(drafts);
        const sequence = (pick % drafts.length) + 1;
        for (const name of everyColumn) {
          const found = await tampered(studyId, () => alter(studyId, sequence, name), verify);
          const names = named(studyId, found);
          if (name === "sequence") {
            expect(names, name).toContain(`changed ${sequence + 1_000_000}`);
            expect(
              names.some((one) => one === `missing ${sequence}`),
              name,
            ).toBe(drafts.length > 0);
          } else if (name === "study_id") {
            expect(names, name).toEqual([`missing ${sequence}`]);
            expect(
              found.faults.filter(({ chain }) => chain === "outside").map((fault) => fault.kind),
            ).toContain("changed");
          } else {
            expect(names, name).toEqual([`changed ${sequence}`]);
          }
        }
      }),
      { numRuns: 3 },
    );
  }, 240_000);

  const plain = (count: number) =>
    Array.from(
      { length: count },
      (_, index): AuditDraft => ({
        action: "study.update",
        subject: { kind: "study", id: "s", label: `Number ${index + 1}` },
        after: { number: index + 1 },
      }),
    );

  it("names an entry that was removed, wherever it stood", async () => {
    const studyId = await chainOf(plain(4));
    for (const sequence of [1, 2, 3, 4]) {
      const remove = () =>
        query("delete from audit_entry where study_id = $1 and sequence = $2", [studyId, sequence]);
      const found = await tampered(studyId, remove, verify);
      expect(named(studyId, found)).toEqual([`missing ${sequence}`]);
      expect(found.faults[0]?.problem).toMatch(new RegExp(`^Entry ${sequence} is missing: (after|at)`));
    }
    const found = await tampered(
      studyId,
      () => query("delete from audit_entry where study_id = $1", [studyId]),
      verify,
    );
    expect(named(studyId, found)).toEqual(["missing 1"]);
    expect(found.faults[0]?.problem).toMatch(/^Entries 1 to 4 are missing/);
  });

  it("names an entry that was put in, with a number that is taken, before the first or after the last", async () => {
    const studyId = await chainOf(plain(3));
    for (const [sequence, expected] of [
      [2, "inserted 2"],
      [0, "inserted 0"],
      [-5, "inserted -5"],
      [4, "inserted 4"],
    ] as const) {
      const insert = () =>
        query(
          `insert into audit_entry (study_id, actor_name, action, subject_kind, subject_id, subject_label, sequence, previous_hash, hash, values_digest)
           select study_id, 'Forger', action, subject_kind, subject_id, subject_label, $2, hash, hash, values_digest
           from audit_entry where study_id = $1 and sequence = 3`,
          [studyId, sequence],
        );
      expect(named(studyId, await tampered(studyId, insert, verify)), expected).toContain(expected);
    }
  });

  /** An entry as the database itself would have chained it: its own hash holds. */
  const hashAnew = (studyId: string, sequence: number) =>
    query(
      `update audit_entry as e set values_digest = audit_values_digest(values_salt, before, after, reason)
       where study_id = $1 and sequence = $2`,
      [studyId, sequence],
    ).then(() =>
      query("update audit_entry as e set hash = audit_entry_hash(e) where study_id = $1 and sequence = $2", [
        studyId,
        sequence,
      ]),
    );

  it("names an entry that was changed and given a hash that fits", async () => {
    const studyId = await chainOf(plain(4));
    for (const sequence of [1, 2, 3, 4]) {
      const forge = async () => {
        await alter(studyId, sequence, "actor_name");
        await hashAnew(studyId, sequence);
      };
      expect(named(studyId, await tampered(studyId, forge, verify))).toEqual([`rewritten ${sequence}`]);
    }
  });

  it("names both of two entries that changed places", async () => {
    const studyId = await chainOf(plain(5));
    const swap = (columns: readonly string[]) =>
      query(
        `update audit_entry as e set ${columns.map((name) => `${name} = o.${name}`).join(", ")} from audit_entry as o
         where e.study_id = $1 and o.study_id = $1 and e.sequence in (2, 4) and o.sequence = 6 - e.sequence`,
        [studyId],
      );
    expect(named(studyId, await tampered(studyId, () => swap(["sequence"]), verify))).toEqual([
      "changed 2",
      "changed 4",
    ]);
    const content = everyColumn.filter(
      (name) => !["id", "study_id", "sequence", "previous_hash", "hash"].includes(name),
    );
    const withHashes = async () => {
      await swap(content);
      for (const sequence of [2, 4]) await hashAnew(studyId, sequence);
    };
    expect(named(studyId, await tampered(studyId, withHashes, verify))).toEqual([
      "rewritten 2",
      "rewritten 4",
    ]);
  });

  it("finds by an anchor that the end was cut with the head, or that everything was written anew", async () => {
    const studyId = await chainOf(plain(6));
    const anchor = await chainHead(test.core.database.prisma, studyId);
    if (anchor === null) throw new Error("the study has no chain");
    expect(anchor).toMatchObject({ chain: studyId, sequence: 6 });
    expect((await verify([anchor])).faults).toEqual([]);
    const cut = async () => {
      await query("delete from audit_entry where study_id = $1 and sequence > 4", [studyId]);
      await query(
        "update audit_chain_head as h set sequence = 4, hash = e.hash from audit_entry as e where chain = $1 and e.study_id = $1 and e.sequence = 4",
        [studyId],
      );
    };
    expect(named(studyId, await tampered(studyId, cut, verify))).toEqual([]);
    const found = await tampered(studyId, cut, () => verify([anchor]));
    expect(named(studyId, found)).toEqual(["missing 5"]);
    expect(found.faults[0]?.problem).toMatch(/Entries 5 to 6 are missing: an anchor noted/);

    const rewrite = async () => {
      await alter(studyId, 2, "actor_name");
      for (const sequence of [2, 3, 4, 5, 6]) {
        await query(
          "update audit_entry as e set previous_hash = o.hash from audit_entry as o where e.study_id = $1 and o.study_id = $1 and e.sequence = $2 and o.sequence = $2 - 1",
          [studyId, sequence],
        );
        await hashAnew(studyId, sequence);
      }
      await query(
        "update audit_chain_head as h set hash = e.hash from audit_entry as e where chain = $1 and e.study_id = $1 and e.sequence = 6",
        [studyId],
      );
    };
    expect(named(studyId, await tampered(studyId, rewrite, verify))).toEqual([]);
    expect(named(studyId, await tampered(studyId, rewrite, () => verify([anchor])))).toEqual(["rewritten 6"]);

    const all = async () => {
      await query("delete from audit_entry where study_id = $1", [studyId]);
      await query("delete from audit_chain_head where chain = $1", [studyId]);
    };
    expect(named(studyId, await tampered(studyId, all, () => verify([anchor])))).toEqual(["missing 1"]);
  });

  it("names a head that was removed or set to another hash", async () => {
    const studyId = await chainOf(plain(2));
    const remove = () => query("delete from audit_chain_head where chain = $1", [studyId]);
    expect(named(studyId, await tampered(studyId, remove, verify))).toEqual(["head 2"]);
    const other = () =>
      query("update audit_chain_head set hash = repeat('a', 64) where chain = $1", [studyId]);
    expect(named(studyId, await tampered(studyId, other, verify))).toEqual(["rewritten 2"]);
  });

  it("takes the values of an erased volunteer for erased, and those that went otherwise for removed", async () => {
    const study = await readyStudy(test);
    const { studyId } = study;
    const kept = await study.volunteer();
    const erased = await study.volunteer();
    await study.call.volunteer.update({
      studyId,
      volunteerId: erased.volunteerId,
      revision: 1,
      code: erased.code,
      sex: "male",
      birthYear: 1971,
    });
    await study.plan(erased.volunteerId);
    const gone = "before = null, after = null, reason = null, values_salt = null";
    const silently = () =>
      query(`update audit_entry set ${gone} where volunteer_id = $1`, [kept.volunteerId]);
    const found = await tampered(studyId, silently, verify);
    expect(found.faults.map((fault) => fault.kind)).toEqual(["values removed"]);
    expect(found.faults[0]?.problem).toMatch(
      /^The values of entries \d+ to \d+ were removed, and no later entry says/,
    );

    const scope = await study.scope();
    await writeInStudy(scope, async (write) => ({
      result: null,
      audit: [await eraseAuditValues(write, { id: erased.volunteerId, code: erased.code })],
    }));
    expect((await verify()).faults).toEqual([]);
    const entries = await test.core.database.prisma.auditEntry.findMany({
      where: { studyId, volunteerId: erased.volunteerId },
      orderBy: { sequence: "asc" },
    });
    expect(entries.map(({ action }) => action)).toEqual([
      "volunteer.register",
      "consent.record",
      "volunteer.update",
      "trial.plan",
      "audit.eraseValues",
    ]);
    for (const entry of entries.slice(0, -1)) {
      expect(entry).toMatchObject({ before: null, after: null, reason: null, valuesSalt: null });
    }
    expect(entries.at(-1)?.after).toEqual({ entries: 4 });
    const others = await test.core.database.prisma.auditEntry.count({
      where: { studyId, volunteerId: kept.volunteerId, after: { not: Prisma.DbNull } },
    });
    expect(others).toBe(2);
  });

  it("keeps one chain without a gap when many write at once, and nobody waits for ever", async () => {
    const lead = await test.person("Lead");
    const studyId = await test.study(lead);
    const call = test.caller(lead);
    await Promise.all([
      ...Array.from({ length: 12 }, (_, index) =>
        call.team.invite({ studyId, email: `p${index}@example.org`, role: "observer" }),
      ),
      ...Array.from({ length: 12 }, () =>
        call.volunteer.register({ studyId, sex: "female", birthYear: 1990 }),
      ),
      ...Array.from({ length: 6 }, (_, index) => test.study(lead, `Study ${index}`)),
    ]);
    const { faults, chains } = await verify();
    expect(faults).toEqual([]);
    expect(chains.find(({ chain }) => chain === studyId)?.entries).toBe(25);
  });
});
