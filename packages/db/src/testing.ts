import { createHash, randomBytes } from "node:crypto";
import { existsSync, mkdirSync, readFileSync, renameSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { PGlite } from "@electric-sql/pglite";
import pg from "pg";
import { migrate, readMigrations } from "./migrate";
import { type Database, embeddedDatabase, openDatabase } from "./open-database";

/** Databases for tests: empty, migrated, one per test file, on PGlite and on a PostgreSQL server. */

const migrations = readMigrations(fileURLToPath(new URL("../../../prisma/migrations", import.meta.url)));

/** Migrating takes seconds, a clone 0.3 s: the migrated state is kept by the checksum of the migrations. */
async function migratedDump(): Promise<Blob> {
  const digest = createHash("sha256")
    .update(migrations.map((m) => m.checksum).join())
    .digest("hex");
  const folder = join(tmpdir(), "acral-test");
  const file = join(folder, `${digest}.tar`);
  if (!existsSync(file)) {
    const pglite = await PGlite.create();
    const database = embeddedDatabase(pglite);
    await migrate(database, migrations);
    const dump = await pglite.dumpDataDir("none");
    await database.close();
    mkdirSync(folder, { recursive: true });
    const draft = `${file}.${process.pid}.${randomBytes(4).toString("hex")}`;
    writeFileSync(draft, new Uint8Array(await dump.arrayBuffer()));
    renameSync(draft, file);
  }
  return new Blob([new Uint8Array(readFileSync(file))]);
}

async function embeddedTestDatabase(): Promise<Database> {
  return embeddedDatabase(await PGlite.create({ loadDataDir: await migratedDump() }));
}

async function serverTestDatabase(serverUrl: string, applied = migrations): Promise<Database> {
  const name = `acral_test_${randomBytes(8).toString("hex")}`;
  const onServer = async (sql: string) => {
    const client = new pg.Client({ connectionString: serverUrl });
    await client.connect();
    try {
      await client.query(sql);
    } finally {
      await client.end();
    }
  };
  await onServer(`create database ${name}`);
  const url = new URL(serverUrl);
  url.pathname = `/${name}`;
  const database = await openDatabase({ url: url.toString() });
  await migrate(database, applied);
  return {
    ...database,
    async close() {
      await database.close();
      await onServer(`drop database ${name} with (force)`);
    },
  };
}

export interface TestDatabaseKind {
  readonly name: string;
  open(): Promise<Database>;
  /** A database as it was before a migration, to test what that migration does with what it finds. */
  openBefore(migration: string): Promise<MigratingDatabase>;
}

export interface MigratingDatabase {
  readonly database: Database;
  /** Applies the migration, and nothing after it. */
  migrateOn(): Promise<void>;
}

/** @param migration the end of its name: the sentence that it is called by */
async function before(
  migration: string,
  open: (applied: typeof migrations) => Promise<Database>,
): Promise<MigratingDatabase> {
  const at = migrations.findIndex(({ name }) => name.endsWith(migration));
  if (at < 0) throw new Error(`no migration ${migration}`);
  const database = await open(migrations.slice(0, at));
  return {
    database,
    async migrateOn() {
      await migrate(database, migrations.slice(0, at + 1));
    },
  };
}

async function embeddedAt(applied: typeof migrations): Promise<Database> {
  const database = embeddedDatabase(await PGlite.create());
  await migrate(database, applied);
  return database;
}

/**
 * The databases that integration tests run on. The server lane needs `ACRAL_TEST_SERVER_URL`, the address of a
 * PostgreSQL server on which databases may be created; `npm test` finds one or says that the lane is skipped.
 */
export function testDatabaseKinds(): TestDatabaseKind[] {
  const kinds: TestDatabaseKind[] = [
    { name: "PGlite", open: embeddedTestDatabase, openBefore: (name) => before(name, embeddedAt) },
  ];
  const serverUrl = process.env.ACRAL_TEST_SERVER_URL;
  if (serverUrl !== undefined && serverUrl !== "") {
    kinds.push({
      name: "PostgreSQL",
      open: () => serverTestDatabase(serverUrl),
      openBefore: (name) => before(name, (applied) => serverTestDatabase(serverUrl, applied)),
    });
  }
  return kinds;
}
