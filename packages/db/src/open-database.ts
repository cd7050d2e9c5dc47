import { mkdirSync } from "node:fs";
import { join } from "node:path";
import { PGlite, type Transaction } from "@electric-sql/pglite";
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
  /**
   * Lets everything that goes through `prisma` run in a role from here on; `runScript` and `query` stay those of the user
   * who connected.
   */
  useRole(role: string): Promise<void>;
  /** The role that `useRole` set; null when there is none. */
  role(): string | null;
  /** Runs one statement outside of every transaction: rewriting a table, a checkpoint. */
  upkeep(statement: string): Promise<void>;
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
  // There is one session for all: what runs as the user who connected leaves the role for one transaction.
  let inRole: string | null = null;
  const asUser = <T>(work: (transaction: Transaction) => Promise<T>) =>
    pglite.transaction(async (transaction) => {
      await transaction.exec("set local role none");
      return work(transaction);
    });
  return {
    kind: "embedded",
    prisma,
    async runScript(sql) {
      if (inRole !== null) await asUser((transaction) => transaction.exec(sql));
      else await pglite.exec(sql);
    },
    async query(sql, parameters) {
      const run = (on: Pick<Transaction, "query">) => on.query<Record<string, unknown>>(sql, parameters);
      return (await (inRole !== null ? asUser(run) : run(pglite))).rows;
    },
    async useRole(role) {
      // Not kept for use again: a segment that lies behind a checkpoint goes, with everything that was ever written into it.
      await pglite.exec(`set wal_recycle = off; set role ${role};`);
      inRole = role;
    },
    role: () => inRole,
    async upkeep(statement) {
      await pglite.exec(statement);
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
  const settings = {
    connectionString: url,
    connectionTimeoutMillis: 10_000,
    keepAlive: true,
  };
  // A connection that breaks while idle is replaced by the pool; without a listener it would end the process.
  const listened = (pool: pg.Pool) =>
    pool.on("error", (error) => console.error(`A database connection was lost: ${error.message}`));
  const pool = listened(new pg.Pool({ ...settings, max: 10 }));
  /** For migrations, checks and upkeep, as the user who connects. */
  const ownPool = listened(new pg.Pool({ ...settings, max: 3 }));
  const prisma = new PrismaClient({ adapter: new PrismaPg(pool), transactionOptions });
  let inRole: string | null = null;
  return {
    kind: "server",
    prisma,
    async runScript(sql) {
      await ownPool.query(sql);
    },
    async query(sql, parameters) {
      return (await ownPool.query<Record<string, unknown>>(sql, parameters)).rows;
    },
    async useRole(role) {
      if (pool.totalCount > 0) throw new Error("The database was used before its role was set.");
      // At the start of each connection: one that cannot change into the role is refused by the server.
      const address = new URL(url);
      const stated = address.searchParams.get("options");
      address.searchParams.set("options", `${stated === null ? "" : `${stated} `}-c role=${role}`);
      pool.options.connectionString = address.toString();
      inRole = role;
    },
    role: () => inRole,
    async upkeep(statement) {
      await ownPool.query(statement);
    },
    async alone(work) {
      const client = await ownPool.connect();
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
      await ownPool.end();
    },
  };
}
