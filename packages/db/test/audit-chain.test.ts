import { describe, expect, it } from "vitest";
import { testDatabaseKinds } from "../src/testing";

const nothing = "0".repeat(64);

/** What a test looks at of a row, in the order of the chains. */
const rows = `select study_id, sequence, previous_hash, hash, audit_entry_hash(e) as computed, volunteer_id,
  values_digest = audit_values_digest(values_salt, before, after, reason) as values_hold
  from audit_entry as e order by study_id, sequence`;

describe.each(testDatabaseKinds())("the chain of the audit trail, on $name", (kind) => {
  it("takes in the entries that were there before it, study by study, with what they concern", async () => {
    const { database, migrateOn } = await kind.openBefore("chain_the_audit_trail_by_hash");
    try {
      await database.runScript(`
        insert into study (id, title) values ('a', 'A'), ('b', 'B');
        insert into volunteer (id, study_id, code) values ('v', 'a', 'V001');
        insert into audit_entry (study_id, actor_name, action, subject_kind, subject_id, subject_label, before, after, reason)
        select s, 'Somebody “here”', 'volunteer.update', 'volunteer', 'v', 'V001',
          '{"b": 1.50, "a": "line\\nbreak"}', '{"n": 1e-7}', nullif(repeat('x', i % 3), '')
        from generate_series(1, 4) as i, unnest(array['a', 'b', null]) as s;`);
      await migrateOn();
      const found = await database.query(rows);
      expect(found).toHaveLength(12);
      for (const study of ["a", "b", null]) {
        const chain = found.filter((row) => row.study_id === study);
        expect(chain.map((row) => row.sequence)).toEqual([1, 2, 3, 4]);
        expect(chain.map((row) => row.previous_hash)).toEqual([
          nothing,
          ...chain.slice(0, 3).map((row) => row.hash),
        ]);
        for (const row of chain) {
          expect(row.computed).toBe(row.hash);
          expect(row).toMatchObject({ values_hold: true, volunteer_id: "v" });
        }
        const [head] = await database.query("select sequence, hash from audit_chain_head where chain = $1", [
          study ?? "outside",
        ]);
        expect(head).toEqual({ sequence: 4, hash: chain[3]?.hash });
      }
      await expect(database.query("delete from audit_entry")).rejects.toThrow(/never changed or removed/);
    } finally {
      await database.close();
    }
  });

  it("goes on by itself whoever writes, and whatever numbers and hashes are given", async () => {
    const database = await kind.open();
    try {
      await database.query("insert into study (id, title) values ('a', 'A')");
      for (const study of ["'a'", "'a'", "null"]) {
        await database.query(`insert into audit_entry
          (study_id, actor_name, action, subject_kind, subject_id, subject_label, sequence, previous_hash, hash)
          values (${study}, 'x', 'x', 'x', 'x', 'x', 77, 'given', 'given')`);
      }
      const found = await database.query(rows);
      expect(found.map((row) => [row.study_id, row.sequence])).toEqual([
        ["a", 1],
        ["a", 2],
        [null, 1],
      ]);
      expect(found[1]?.previous_hash).toBe(found[0]?.hash);
      for (const row of found) expect(row.computed).toBe(row.hash);
    } finally {
      await database.close();
    }
  });

  it("refuses that its head is moved, added, removed or emptied by hand", async () => {
    const database = await kind.open();
    try {
      await database.query(
        "insert into audit_entry (actor_name, action, subject_kind, subject_id, subject_label) values ('x', 'x', 'x', 'x', 'x')",
      );
      for (const sql of [
        "update audit_chain_head set sequence = sequence + 1",
        "update audit_chain_head set hash = 'another'",
        "insert into audit_chain_head (chain, sequence, hash) values ('another', 1, '')",
        "delete from audit_chain_head",
        "truncate audit_chain_head",
      ]) {
        await expect(database.query(sql), sql).rejects.toThrow(/never changed or removed/);
      }
    } finally {
      await database.close();
    }
  });

  it("lets nothing of an entry go but its values, all at once, and only where it concerns a volunteer", async () => {
    const database = await kind.open();
    try {
      for (const volunteer of ["'v'", "null"]) {
        await database.query(`insert into audit_entry
          (actor_name, action, subject_kind, subject_id, subject_label, volunteer_id, before, after, reason)
          values ('x', 'x', 'x', 'x', 'x', ${volunteer}, '{"a": 1}', '{"a": 2}', 'why')`);
      }
      const gone = "before = null, after = null, reason = null, values_salt = null";
      for (const sql of [
        `update audit_entry set ${gone} where volunteer_id is null`,
        `update audit_entry set ${gone}, actor_name = 'y' where volunteer_id = 'v'`,
        `update audit_entry set ${gone}, values_digest = 'y' where volunteer_id = 'v'`,
        "update audit_entry set before = null where volunteer_id = 'v'",
        `update audit_entry set before = '{"a": 3}' where volunteer_id = 'v'`,
      ]) {
        await expect(database.query(sql), sql).rejects.toThrow(/never changed or removed/);
      }
      await database.query(`update audit_entry set ${gone} where volunteer_id = 'v'`);
      const [row] = await database.query(rows);
      expect(row?.computed).toBe(row?.hash);
    } finally {
      await database.close();
    }
  });
});
