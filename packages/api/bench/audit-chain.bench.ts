import { setFlagsFromString } from "node:v8";
import { runInNewContext } from "node:vm";
import type { BenchLine } from "../../../scripts/bench";
import { verifyChains } from "../src/audit-chain/service";
import { openTestCore, type TestCore, testDatabaseKinds } from "../src/testing";

const writers = 8;
const changesEach = 40;
const longTrail = 100_000;

/** Changes per second when several people write in one study at once, each change with its entry. */
async function changesPerSecond(test: TestCore): Promise<number> {
  const lead = await test.person("Lead");
  const studyId = await test.study(lead);
  const volunteers: string[] = [];
  for (let index = 0; index < writers; index++) {
    const { volunteerId } = await test
      .caller(lead)
      .volunteer.register({ studyId, sex: "female", birthYear: 1990 });
    volunteers.push(volunteerId);
  }
  const start = performance.now();
  await Promise.all(
    volunteers.map(async (volunteerId) => {
      for (let change = 0; change < changesEach; change++) {
        await test
          .caller(lead)
          .identity.save({ studyId, volunteerId, revision: change, name: `Invented ${change}` });
      }
    }),
  );
  return (writers * changesEach) / ((performance.now() - start) / 1000);
}

/** Entries per second that a verification walks along, and by how many MB the memory in use grows meanwhile. */
async function verification(test: TestCore): Promise<{ perSecond: number; growthMb: number }> {
  // A few at a time, as people write: within one transaction every entry walks over the heads of all before it.
  for (let written = 0; written < longTrail; written += 500) {
    await test.core.database.query(`
      insert into audit_entry (actor_name, action, subject_kind, subject_id, subject_label, before, after)
      select 'Somebody', 'study.update', 'study', 's', 'A study', jsonb_build_object('number', i), jsonb_build_object('number', i + 1)
      from generate_series(1, 500) as i`);
  }
  setFlagsFromString("--expose-gc");
  const collect = runInNewContext("gc") as () => void;
  const inUse = () => {
    collect();
    return process.memoryUsage().heapUsed;
  };
  const before = inUse();
  let most = before;
  const watch = setInterval(() => {
    most = Math.max(most, inUse());
  }, 500);
  const start = performance.now();
  let entries = 0;
  await verifyChains(test.core.database, [], {
    onFault: (chain, fault) => {
      throw new Error(`The chain ${chain} does not hold: ${fault.problem}`);
    },
    onChain: (chain) => {
      entries += chain.entries;
    },
  });
  const seconds = (performance.now() - start) / 1000;
  clearInterval(watch);
  return { perSecond: entries / seconds, growthMb: (most - before) / 1e6 };
}

/** On the PostgreSQL server when there is one, else on the embedded database. */
export async function run(): Promise<readonly BenchLine[]> {
  const kind = testDatabaseKinds().at(-1);
  if (kind === undefined) throw new Error("There is no database to measure on.");
  const test = await openTestCore(kind);
  try {
    await changesPerSecond(test);
    const chained = await changesPerSecond(test);
    await test.core.database.query("alter table audit_entry disable trigger audit_entry_is_chained");
    await test.core.database.query("drop index audit_entry_study_id_sequence_key");
    const unchained = await changesPerSecond(test);
    await test.core.database.query("alter table audit_entry enable trigger audit_entry_is_chained");
    // What was written unchained is no part of what is verified.
    await test.core.database.runScript(
      "alter table audit_entry disable trigger user; delete from audit_entry where sequence = 0; alter table audit_entry enable trigger user;",
    );
    const { perSecond, growthMb } = await verification(test);
    return [
      {
        name: `audit chain, ${writers} people writing in one study on ${kind.name}`,
        value: chained,
        unit: "changes/s",
        reference: { what: "the same without a chain", value: unchained },
        ratio: chained / unchained,
        wanted: "at least half as many",
        ok: chained >= unchained / 2,
      },
      {
        name: `audit chain, verification of ${longTrail} entries`,
        value: perSecond,
        unit: "entries/s",
        reference: { what: "what a trail of a million in ten minutes takes", value: 1e6 / 600 },
        ratio: perSecond / (1e6 / 600),
        wanted: "at least that",
        ok: perSecond >= 1e6 / 600,
      },
      {
        name: `audit chain, memory of that verification`,
        value: growthMb,
        unit: "MB",
        reference: {
          what: "the least that all entries at once would take, 500 bytes each",
          value: (longTrail * 500) / 1e6,
        },
        ratio: (longTrail * 500) / 1e6 / growthMb,
        wanted: "less than that, whatever the length",
        ok: growthMb < (longTrail * 500) / 1e6,
      },
    ];
  } finally {
    await test.close();
  }
}
