import { mkdirSync } from "node:fs";
import { join } from "node:path";
import { PGlite } from "@electric-sql/pglite";
import { PrismaPg } from "@prisma/adapter-pg";
import pg from "pg";
import { PrismaPGlite } from "pglite-prisma-adapter";
import { lockFolderWhenFree } from "./folder-lock";
import { PrismaClient } from "./generated/client";
import { withQuickBytes } from "./quick-bytes";

/** A database connection: a PostgreSQL server, or PGlite (PostgreSQL as WebAssembly) in this process. */
export interface Database {
  readonly kind: "server" | "embedded";
  readonly prisma: PrismaClient;
  /** Runs SQL of several statements, for migrations. */
  runScript(sql: string): Promise<void>;
  /** Runs one query with parameters, for migrations and checks. */
  query(sql: string, parameters?: unknown[]): Promise<Record<string, unknown>[]>;
  /** Runs the work alone among all processes that start on the same database. */
  alone<T>(work: () => Promise<T>): Promise<T>;
  close(): Promise<void>;
}

export type DatabaseAddress = { readonly url: string } | { readonly dataDir: string };

// Transactions here may read and write a trial's traces; Prisma's default of 5 s is too short on a slow disk.
const transactionOptions = { maxWait: 20_000, timeout: 120_000 };

export function openDatabase(address: DatabaseAddress): Promise<Database> {
  return "url" in address ? openServer(address.url) : openEmbedded(join(address.dataDir, "database"));
}

async function openEmbedded(folder: string): Promise<Database> {
  mkdirSync(folder, { recursive: true });
  const unlock = await lockFolderWhenFree(`${folder}.lock`, folder);
  try {
    const database = embeddedDatabase(await PGlite.create(folder));
    return {
      ...database,
      async close() {
        await database.close();
        unlock();
      },
    };
  } catch (error) {
    unlock();
    throw error;
  }
}

export function embeddedDatabase(pglite: PGlite): Database {
  const prisma = new PrismaClient({ adapter: new PrismaPGlite(withQuickBytes(pglite)), transactionOptions });
  return {
    kind: "embedded",
    prisma,
    async runScript(sql) {
      await pglite.exec(sql);
    },
    async query(sql, parameters) {
      return (await pglite.query<Record<string, unknown>>(sql, parameters)).rows;
    },
    // One process owns an embedded database: nobody else can be starting on it.
    alone: (work) => work(),
    async close() {
      await prisma.$disconnect();
      await pglite.close();
    },
  };
}

/** Any number, the same in every version: the lock under which migrations are applied. */
const migrationLock = 4_026_101;

async function openServer(url: string): Promise<Database> {
  const pool = new pg.Pool({
    connectionString: url,
    max: 10,
    connectionTimeoutMillis: 10_000,
    keepAlive: true,
  });
  // A connection that breaks while idle is replaced by the pool; without a listener it would end the process.
  pool.on("error", (error) => console.error(`A database connection was lost: ${error.message}`));
  const prisma = new PrismaClient({ adapter: new PrismaPg(pool), transactionOptions });
  return {
    kind: "server",
    prisma,
    async runScript(sql) {
      await pool.query(sql);
    },
    async query(sql, parameters) {
      return (await pool.query<Record<string, unknown>>(sql, parameters)).rows;
    },
    async alone(work) {
      const client = await pool.connect();
      try {
        await client.query("select pg_advisory_lock($1)", [migrationLock]);
        return await work();
      } finally {
        await client.query("select pg_advisory_unlock($1)", [migrationLock]);
        client.release();
      }
    },
    async close() {
      await prisma.$disconnect();
      await pool.end();
    },
  };
}
