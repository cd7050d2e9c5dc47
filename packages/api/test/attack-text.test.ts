import { TRPCError } from "@trpc/server";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { z } from "zod";
import { AppError } from "../src/app-error";
import { verifyChains } from "../src/audit-chain/service";
import { appRouter } from "../src/root-router";
import { openTestCore, type TestCore, testDatabaseKinds } from "../src/testing";
import { type Written, withHostileText } from "./hostile-text";
import { drives } from "./mutation-drives";
import { type ReadyStudy, readyStudy } from "./ready-study";

const byPath = appRouter._def.procedures as unknown as Record<
  string,
  { _def: { type: string; inputs: readonly z.ZodType[] } }
>;
const mutations = Object.keys(byPath).filter((path) => byPath[path]?._def.type === "mutation");
type Callable = (input: unknown) => Promise<unknown>;

/** Mutations by transport only: they keep nothing of what they are told. */
const keepNothing = ["sourceFile.preview", "quality.preview", "release.assess"];

/** What is right in one way alone, such as a password or the names of the columns in a file: any other text is refused. */
const refusedWhole = ["session.prove", "sourceFile.read"];

/** What is taken and cannot be found in a row as it was written, and why. */
const notInRows: Readonly<Record<string, string>> = {
  "identity.save name": "encrypted; identity.test.ts reads it back",
  "identity.save contact": "encrypted; identity.test.ts reads it back",
  "consent.record nameAsSigned": "encrypted",
  "forYou.sign name": "encrypted",
  "screening.recordClearance name": "encrypted",
  "screening.recordClearance profession": "encrypted",
  "screening.recordClearance limits": "encrypted",
  "identity.find text": "what somebody looked for is kept as a keyed hash",
  "account.createFirst password": "hashed",
  "account.acceptInvitation password": "hashed",
};

/** Whose inputs hold nothing but names of records and choices, found on the first database: these are tried there alone. */
const withoutTexts = new Set<string>();
const proves = /(Id|^token|^code|evision)$/;

/** An answer in words: the product's own refusal, or that of a schema. Anything else would be a failure inside. */
function inWords(error: unknown): boolean {
  if (error instanceof AppError) return true;
  return error instanceof TRPCError && (error.cause instanceof AppError || error.code === "BAD_REQUEST");
}

describe.each(testDatabaseKinds())("markup and signs of queries, on $name,", (kind) => {
  let test: TestCore;
  let common: Promise<ReadyStudy> | null = null;
  const world = { study: () => (common ??= readyStudy(test)) };
  const taken: Written[] = [];
  let number = 0;

  beforeAll(async () => {
    test = await openTestCore(kind);
  });
  afterAll(() => test.close());

  const tables = async () =>
    (
      await test.core.database.query(
        "select table_name as name from information_schema.tables where table_schema = 'public' order by 1",
      )
    ).map((row) => String(row.name));

  async function driven(path: string) {
    const drive = drives[path];
    if (drive === undefined) throw new Error(`no drive for ${path}`);
    const step = await drive({ test, ...world });
    const actor = step.actor === undefined ? (await world.study()).lead : step.actor;
    const [noun = "", verb = ""] = path.split(".");
    const nouns = test.caller(actor) as unknown as Record<string, Record<string, Callable>>;
    const procedure = nouns[noun]?.[verb];
    if (procedure === undefined) throw new Error(`no procedure ${path}`);
    return { input: step.input, procedure };
  }

  it.each(mutations)("written into every text of %s, do nothing", async (path) => {
    if (withoutTexts.has(path)) return;
    const { input, procedure } = await driven(path);
    const written: Written[] = [];
    // A procedure of a study checks its study by a schema of its own, before that of its input.
    const everywhere = (byPath[path]?._def.inputs ?? []).reduce<unknown>(
      (value, schema) => withHostileText(schema, value, path, { make: () => ++number, written }),
      input,
    );
    if (written.length === 0) withoutTexts.add(path);
    // What names a record or proves something stays as it is: the texts are to arrive.
    const texts = Object.entries(everywhere as Record<string, unknown>).filter(([key]) => !proves.test(key));
    const refused = await procedure({ ...input, ...Object.fromEntries(texts) }).then(
      () => null,
      (error: unknown) => error,
    );
    if (refusedWhole.includes(path)) expect(inWords(refused), path).toBe(true);
    else expect(refused, path).toBeNull();
    if (refused === null && !keepNothing.includes(path)) taken.push(...written);

    for (const key of Object.keys(input).filter((one) => typeof input[one] === "string")) {
      const refusal = await procedure({ ...input, [key]: `'"); drop table volunteer; -- <b>\\ %_` }).then(
        () => null,
        (error: unknown) => error,
      );
      if (refusal !== null) expect(inWords(refusal), `${path} ${key}: ${refusal}`).toBe(true);
    }
  });

  it("are kept sign for sign where they were taken, and every table is there", async () => {
    const { database } = test.core;
    const kept = new Set<string>();
    for (const table of await tables()) {
      const rows = await database.query(`select row_to_json(t)::jsonb::text as row from "${table}" as t`);
      for (const row of rows) for (const text of stringsIn(JSON.parse(String(row.row)))) kept.add(text);
    }
    const all = [...kept];
    const lost = taken
      .filter(({ place }) => notInRows[place] === undefined)
      .filter(({ text }) => !kept.has(text) && !all.some((value) => value.includes(text)));
    expect(lost).toEqual([]);
    // Whatever is refused whole would be kept nowhere: most must have been taken.
    expect(taken.length).toBeGreaterThan(40);
    expect(await tables()).toContain("volunteer");
    expect(await database.prisma.volunteer.count()).toBeGreaterThan(10);
    const faults: unknown[] = [];
    await verifyChains(database, [], { onFault: (_, fault) => faults.push(fault), onChain: () => undefined });
    expect(faults).toEqual([]);
  });
});

/** Every string of a value, also inside of JSON that stands in a text column. */
function stringsIn(value: unknown): string[] {
  if (typeof value === "string") {
    try {
      const inside: unknown = JSON.parse(value);
      if (typeof inside === "object" && inside !== null) return [value, ...stringsIn(inside)];
    } catch {
      // Plain text.
    }
    return [value];
  }
  if (Array.isArray(value)) return value.flatMap(stringsIn);
  if (typeof value === "object" && value !== null) return Object.values(value).flatMap(stringsIn);
  return [];
}
