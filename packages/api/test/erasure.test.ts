import { execFile } from "node:child_process";
import { mkdtempSync, readdirSync, readFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";
import { type Database, migrate, openDatabase, readMigrations } from "@acral/db";
import { afterAll, afterEach, beforeAll, describe, expect, it, vi } from "vitest";
import { verifyChains } from "../src/audit-chain/service";
import { keptAfterErasure, ownedRows } from "../src/erasure/policy";
import { eraseVolunteer, finishErasures, references } from "../src/erasure/service";
import { inIdentityRole } from "../src/identity/service";
import { writeInStudy } from "../src/scope";
import { openTestCore, type TestCore, testDatabaseKinds } from "../src/testing";
import { chunksOf, commaMap, journeyFile, markersFromZero, type ReadyStudy, readyStudy } from "./ready-study";

// Invented, and made of words that occur nowhere else.
const person = {
  name: "Perpetua Quillfeather-Östlund",
  contact: "perpetua.q@merrow-sands.example",
  dateOfBirth: "1990-11-23",
};
const fileName = "zyxophant-7731.csv";

/** A file of its own, with a value that stands in no other. */
function ownFile(value: string): Uint8Array {
  const text = new TextDecoder().decode(journeyFile("visit-bare-one.csv"));
  return new TextEncoder().encode(text.replaceAll("33.60", value));
}

/** On the disk, as a start opens it: the other tests keep the embedded database in memory. */
const folder = mkdtempSync(join(tmpdir(), "acral-erasure-"));
const onDisk = {
  name: "PGlite in a folder",
  async open(): Promise<Database> {
    const database = await openDatabase({ dataDir: folder });
    await migrate(
      database,
      readMigrations(fileURLToPath(new URL("../../../prisma/migrations", import.meta.url))),
    );
    return database;
  },
  openBefore: () => Promise.reject(new Error("not for migrations")),
};
const kinds = [onDisk, ...testDatabaseKinds().filter(({ name }) => name !== "PGlite")];

function* filesBelow(path: string): Generator<string> {
  for (const entry of readdirSync(path, { withFileTypes: true })) {
    const below = join(path, entry.name);
    if (entry.isDirectory()) yield* filesBelow(below);
    else yield below;
  }
}

describe.each(kinds)("an erasure on $name", { timeout: 300_000 }, (kind) => {
  let test: TestCore;
  let study: ReadyStudy;
  beforeAll(async () => {
    test = await openTestCore(kind);
    study = await readyStudy(test);
  }, 300_000);
  afterAll(() => test.close());
  afterEach(() => vi.restoreAllMocks());

  const dataDir = () => test.core.environment.dataDir;

  /** Where the bytes stand: in the files of the database, of the blobs and of the keys, and in a dump. */
  async function placesOf(bytes: Uint8Array): Promise<string[]> {
    const wanted = Buffer.from(bytes);
    const found = [...filesBelow(dataDir()), ...(kind === onDisk ? filesBelow(folder) : [])].filter((path) =>
      readFileSync(path).includes(wanted),
    );
    if (kind === onDisk) return found;
    const { query } = test.core.database;
    const [base] = await query(
      "select 'base/' || oid as path, datname as name from pg_database where datname = current_database()",
    );
    for (const { file } of await query("select pg_ls_dir($1) as file", [base?.path])) {
      const [held] = await query(
        "select position($2::bytea in pg_read_binary_file($1 || '/' || $3, 0, 1000000000, true)) > 0 as yes",
        [base?.path, wanted, file],
      );
      if (held?.yes === true) found.push(`${base?.path}/${file}`);
    }
    const url = new URL(process.env.ACRAL_TEST_SERVER_URL ?? "");
    url.pathname = `/${base?.name}`;
    const { stdout } = await promisify(execFile)("pg_dump", [url.toString()], { maxBuffer: 2 ** 30 });
    if (stdout.includes(wanted.toString("latin1")) || stdout.includes(wanted.toString("utf8")))
      found.push("dump");
    if (stdout.includes(wanted.toString("hex"))) found.push("dump, as digits");
    return found;
  }

  async function flush() {
    await test.core.database.upkeep("checkpoint");
  }

  async function recorded(volunteerId: string, condition: string, file: Uint8Array, name = "visit.csv") {
    const { studyId, call } = study;
    const trialId = await study.plan(volunteerId, condition);
    const { sourceFileId, sha256 } = await study.upload(trialId, file, { name });
    await call.sourceFile.read({ studyId, sourceFileId, revision: 1, columnMap: commaMap() });
    const { revision } = await call.trial.get({ studyId, trialId });
    await call.trial.saveMarkers({ studyId, trialId, revision, markers: markersFromZero });
    return { trialId, sourceFileId, sha256 };
  }

  it("leaves nothing of the person in any table, file, log or dump but the code and the fact", async () => {
    const logged: string[] = [];
    for (const method of ["log", "info", "warn", "error", "debug"] as const) {
      vi.spyOn(console, method).mockImplementation(
        (...values: unknown[]) => void logged.push(values.join(" ")),
      );
    }
    const { studyId, call } = study;
    const { volunteerId, code } = await study.volunteer();
    await call.identity.save({ studyId, volunteerId, revision: 0, ...person });
    await call.volunteer.addBodyMeasures({
      studyId,
      volunteerId,
      bodyMeasures: { measuredOn: "2026-01-15", heightCm: 171.234, massKg: 64.321, skinfoldsMm: null },
    });
    const first = await recorded(volunteerId, "bare", ownFile("33.71"), fileName);
    const { revision } = await call.trial.get({ studyId, trialId: first.trialId });
    await call.trial.accept({ studyId, trialId: first.trialId, revision });
    await recorded(volunteerId, "gloves", ownFile("33.72"));
    const stranger = await study.volunteer();
    const others = await recorded(stranger.volunteerId, "bare", ownFile("33.73"), "somebody-elses-file.csv");

    const { prisma } = test.core.database;
    const [identity, signed] = await inIdentityRole({ db: prisma, core: test.core }, async (db) => [
      await db.identity.findUniqueOrThrow({ where: { volunteerId } }),
      await db.signedName.findFirstOrThrow({ where: { volunteerId } }),
    ]);
    const trace = await prisma.trace.findFirstOrThrow({
      where: { trialId: first.trialId, regionId: { not: null } },
    });
    const telling: Record<string, Uint8Array> = {
      "the file": ownFile("33.71").subarray(0, 400),
      "the file's name": Buffer.from(fileName),
      "the name as encrypted": identity.nameCipher ?? new Uint8Array(),
      "the contact as encrypted": identity.contactCipher ?? new Uint8Array(),
      "the name as signed": signed.nameCipher,
      "a trace": trace.data.subarray(0, 200),
    };
    await flush();
    // The search itself works: all of this is there.
    for (const [what, bytes] of Object.entries(telling)) {
      expect(await placesOf(bytes), what).not.toEqual([]);
    }

    const erased = await call.erasure.erase({ studyId, volunteerId, code, reason: "Asked for it by letter" });
    expect(erased).toMatchObject({
      code,
      bytesGone: true,
      releases: [],
      removed: { trials: 2, "source files": 2 },
    });

    await flush();
    for (const [what, bytes] of Object.entries(telling)) expect(await placesOf(bytes), what).toEqual([]);
    for (const text of [...Object.values(person), "Quillfeather", "merrow-sands", "Quendolin Abendroth"]) {
      expect(await placesOf(Buffer.from(text)), text).toEqual([]);
      expect(logged.join("\n")).not.toContain(text);
    }
    expect(await test.core.blobs.has(first.sha256)).toBe(false);
    // Somebody else's are there as before.
    expect(await test.core.blobs.has(others.sha256)).toBe(true);
    expect(await placesOf(Buffer.from("somebody-elses-file.csv"))).not.toEqual([]);

    expect(await prisma.volunteer.findUnique({ where: { id: volunteerId } })).toMatchObject({
      code,
      sex: "not_stated",
      birthYear: null,
      erasedAt: expect.any(Date),
    });
    for (const { table, where } of ownedRows(await references(prisma), "volunteer", "id = $1")) {
      const rows = await test.core.database.query(`select 1 from "${table}" where ${where}`, [volunteerId]);
      expect(rows, table).toEqual([]);
    }
    const state = await call.erasure.ofVolunteer({ studyId, volunteerId });
    expect(state).toMatchObject({
      code,
      erasedAt: expect.any(String),
      bytesGoneAt: expect.any(String),
      trials: 0,
    });
  });

  it("takes the values from the audit trail, which holds as one chain and says who erased whom and why", async () => {
    const { studyId, call } = study;
    const { volunteerId, code } = await study.volunteer();
    await call.erasure.erase({ studyId, volunteerId, code, reason: "Asked for it by telephone" });
    const faults: unknown[] = [];
    await verifyChains(test.core.database, [], {
      onFault: (_, fault) => faults.push(fault),
      onChain: () => undefined,
    });
    expect(faults).toEqual([]);
    const trail = await call.audit.list({ studyId, volunteerCode: code });
    expect(trail.entries.map(({ action, erased, reason }) => [action, erased, reason])).toEqual([
      ["erasure.erase", false, "Asked for it by telephone"],
      ["audit.eraseValues", false, null],
      ["consent.record", true, null],
      ["volunteer.register", true, null],
    ]);
  });

  it("is confirmed by the code, is done once, and lets nothing be entered about the tombstone", async () => {
    const { studyId, call } = study;
    const { volunteerId, code } = await study.volunteer();
    const erase = (typed: string) =>
      call.erasure.erase({ studyId, volunteerId, code: typed, reason: "A test" });
    await expect(erase("V999")).rejects.toThrow(/nothing was erased/);
    await erase(code);
    await expect(erase(code)).rejects.toThrow(/was erased on/);
    const refusals = [
      call.identity.save({ studyId, volunteerId, revision: 0, name: "Somebody" }),
      call.identity.reveal({ studyId, volunteerId, reason: "A test" }),
      call.volunteer.update({ studyId, volunteerId, revision: 2, code: "X9", sex: "male", birthYear: 1980 }),
      study.consent(volunteerId),
    ];
    for (const refusal of await Promise.allSettled(refusals)) {
      expect(refusal).toMatchObject({ status: "rejected", reason: { cause: { code: "wrong-state" } } });
    }
    await expect(study.plan(volunteerId)).rejects.toMatchObject({ cause: { code: "consent-missing" } });
    // And the database refuses it to whatever forgot to ask.
    const { query } = test.core.database;
    await expect(
      query(
        `insert into withdrawal (id, study_id, volunteer_id, effective_at, recorded_by_id) values ('w', $1, $2, now(), 'x')`,
        [studyId, volunteerId],
      ),
    ).rejects.toThrow(/was erased/);
    await expect(
      query("update volunteer set birth_year = 1980 where id = $1", [volunteerId]),
    ).rejects.toThrow(/never changed/);
  });

  it("that was cut off after its commit is finished by the next start", async () => {
    const { studyId } = study;
    const { volunteerId } = await study.volunteer();
    const { sha256 } = await recorded(volunteerId, "bare", ownFile("33.74"), "cut-off-4471.csv");
    await writeInStudy(await study.scope("erasure.erase"), (write) =>
      eraseVolunteer(write, volunteerId, "A test"),
    );
    // As if the process had been killed here: the rows are gone, the bytes are not.
    expect(await test.core.blobs.has(sha256)).toBe(true);
    expect((await study.call.erasure.ofVolunteer({ studyId, volunteerId })).bytesGoneAt).toBeNull();
    expect(await finishErasures(test.core)).toBe(true);
    expect(await test.core.blobs.has(sha256)).toBe(false);
    await flush();
    expect(await placesOf(Buffer.from("cut-off-4471.csv"))).toEqual([]);
  });

  it("that fails before its commit changes nothing", async () => {
    const { studyId, call } = study;
    const { volunteerId } = await study.volunteer();
    const { sha256 } = await recorded(volunteerId, "bare", ownFile("33.75"));
    await expect(
      writeInStudy(await study.scope("erasure.erase"), async (write) => {
        await eraseVolunteer(write, volunteerId, "A test");
        throw new Error("killed");
      }),
    ).rejects.toThrow("killed");
    expect(await finishErasures(test.core)).toBe(true);
    expect(await test.core.blobs.has(sha256)).toBe(true);
    expect((await call.volunteer.get({ studyId, volunteerId })).erasedAt).toBeNull();
  });

  it("during an upload: the file is refused, and its bytes are not kept", async () => {
    const { studyId, call } = study;
    const { volunteerId, code } = await study.volunteer();
    const trialId = await study.plan(volunteerId);
    const file = ownFile("33.76");
    async function* slowly() {
      yield* chunksOf(file);
      await call.erasure.erase({ studyId, volunteerId, code, reason: "A test" });
    }
    await expect(study.upload(trialId, file, { body: slowly() })).rejects.toMatchObject({
      code: "not-found",
    });
    expect(await placesOf(file.subarray(0, 400))).toEqual([]);
  });

  it("twice at once, and beside uploads and consents: one erases, nothing hangs, nothing is left", async () => {
    const { studyId, call } = study;
    const { volunteerId, code } = await study.volunteer();
    const trialId = await study.plan(volunteerId);
    const erase = () => call.erasure.erase({ studyId, volunteerId, code, reason: "A test" });
    const results = await Promise.allSettled([
      study.upload(trialId, ownFile("33.77")),
      erase(),
      study.consent(volunteerId),
      erase(),
      study.upload(trialId, ownFile("33.78")),
      study.plan(volunteerId, "gloves"),
    ]);
    expect([results[1], results[3]].filter((result) => result?.status === "fulfilled")).toHaveLength(1);
    const codes = results.flatMap((result) =>
      result.status === "fulfilled" ? [] : [result.reason.cause?.code ?? result.reason.code],
    );
    for (const refusal of codes) expect(["wrong-state", "not-found", "consent-missing"]).toContain(refusal);
    for (const { table, where } of ownedRows(
      await references(test.core.database.prisma),
      "volunteer",
      "id = $1",
    )) {
      const rows = await test.core.database.query(`select 1 from "${table}" where ${where}`, [volunteerId]);
      expect(rows, table).toEqual([]);
    }
    await finishErasures(test.core);
    for (const value of ["33.77", "33.78"]) {
      expect(await placesOf(ownFile(value).subarray(0, 400)), value).toEqual([]);
    }
  });

  it("reaches every table that says to whom its rows belong", async () => {
    const rows = await test.core.database.query(
      "select table_name as name from information_schema.columns where table_schema = 'public' and column_name in ('volunteer_id', 'trial_id', 'source_file_id', 'consent_record_id')",
    );
    const reached = ownedRows(await references(test.core.database.prisma), "volunteer", "id = $1").map(
      ({ table }) => table,
    );
    // Of audit entries the values go, by a way of their own.
    const known = [...reached, ...keptAfterErasure, "audit_entry"];
    expect(rows.map(({ name }) => String(name)).filter((name) => !known.includes(name))).toEqual([]);
  });
});
