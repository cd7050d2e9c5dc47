import { createHash, randomUUID } from "node:crypto";
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import type { Database } from "./open-database";

/**
 * Applies the migrations that the database has not had yet, in order, each in a transaction of its own, and keeps the
 * books in `_prisma_migrations` as Prisma's own command line does, so that the two can be used on the same database.
 */

export class MigrationError extends Error {
  override readonly name = "MigrationError";
}

const ledger = `
CREATE TABLE IF NOT EXISTS "_prisma_migrations" (
  "id" VARCHAR(36) PRIMARY KEY NOT NULL,
  "checksum" VARCHAR(64) NOT NULL,
  "finished_at" TIMESTAMPTZ,
  "migration_name" VARCHAR(255) NOT NULL,
  "logs" TEXT,
  "rolled_back_at" TIMESTAMPTZ,
  "started_at" TIMESTAMPTZ NOT NULL DEFAULT now(),
  "applied_steps_count" INTEGER NOT NULL DEFAULT 0
);`;

export interface Migration {
  readonly name: string;
  readonly sql: string;
  readonly checksum: string;
}

export function readMigrations(folder: string): Migration[] {
  return readdirSync(folder, { withFileTypes: true })
    .filter((entry) => entry.isDirectory())
    .map((entry) => entry.name)
    .sort()
    .map((name) => {
      const sql = readFileSync(join(folder, name, "migration.sql"), "utf8");
      return { name, sql, checksum: createHash("sha256").update(sql).digest("hex") };
    });
}

/** Returns the names of the migrations that were applied now. */
export function migrate(database: Database, migrations: readonly Migration[]): Promise<string[]> {
  return database.alone(async () => {
    await database.runScript(ledger);
    const rows = await database.query(
      `select migration_name, checksum, finished_at from "_prisma_migrations" where rolled_back_at is null`,
    );
    const applied = new Map(rows.map((row) => [String(row.migration_name), row]));
    const known = new Set(migrations.map((migration) => migration.name));
    for (const name of applied.keys()) {
      if (!known.has(name)) {
        throw new MigrationError(
          `The database has migration ${name}, which this version does not know: it was used by a newer version. Start that version again.`,
        );
      }
    }
    const now: string[] = [];
    for (const migration of migrations) {
      const row = applied.get(migration.name);
      if (row !== undefined) {
        if (row.finished_at === null) {
          throw new MigrationError(
            `Migration ${migration.name} was begun and not finished. Restore the backup made before it.`,
          );
        }
        if (row.checksum !== migration.checksum) {
          throw new MigrationError(
            `Migration ${migration.name} is not the one that was applied to this database.`,
          );
        }
        continue;
      }
      const entry = `insert into "_prisma_migrations" (id, checksum, migration_name, started_at, finished_at, applied_steps_count)
        values ('${randomUUID()}', '${migration.checksum}', '${migration.name.replaceAll("'", "''")}', now(), now(), 1);`;
      // One script is one transaction: either the migration and its entry are there, or neither.
      await database
        .runScript(`BEGIN;\n${migration.sql}\n${entry}\nCOMMIT;`)
        .catch(async (cause: unknown) => {
          await database.runScript("ROLLBACK;");
          throw new MigrationError(
            `Migration ${migration.name} could not be applied, and nothing of it was: ${cause instanceof Error ? cause.message : String(cause)}`,
            { cause },
          );
        });
      now.push(migration.name);
    }
    return now;
  });
}
