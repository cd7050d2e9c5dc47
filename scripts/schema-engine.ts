import { readdirSync, readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { PGlite } from "@electric-sql/pglite";
import { bindMigrationAwareSqlAdapterFactory } from "@prisma/driver-adapter-utils";
import * as glue from "@prisma/schema-engine-wasm/schema_engine_bg";
import { PrismaPGlite } from "pglite-prisma-adapter";
import { z } from "zod";

/**
 * The schema engine as WebAssembly, over an embedded database that lives in memory: it compares the schema with the
 * migrations without any download and without a server.
 */

const root = fileURLToPath(new URL("..", import.meta.url));
export const migrationsFolder = join(root, "prisma", "migrations");

const filters = { externalTables: [], externalEnums: [] };

const diffResult = z.object({ exitCode: z.number(), stdout: z.string().nullish() });

/** The part of the engine that is used here; the package itself ships no public types. */
interface SchemaEngine {
  diff(params: unknown): Promise<unknown>;
}

const engineModule = z.object({
  __wbg_set_wasm: z.custom<(exports: WebAssembly.Exports) => void>((value) => typeof value === "function"),
  SchemaEngine: z.custom<{ new: (...args: unknown[]) => Promise<SchemaEngine> }>(
    (value) => typeof value === "function",
  ),
});

export function schemaFiles(): { path: string; content: string }[] {
  return readdirSync(join(root, "prisma"))
    .filter((name) => name.endsWith(".prisma"))
    .sort()
    .map((name) => ({ path: name, content: readFileSync(join(root, "prisma", name), "utf8") }));
}

async function openEngine(): Promise<{ engine: SchemaEngine; close: () => Promise<void> }> {
  const require = createRequire(import.meta.url);
  const wasmFile = require
    .resolve("@prisma/schema-engine-wasm")
    .replace("schema_engine.js", "schema_engine_bg.wasm");
  const checked = engineModule.parse({ ...glue });
  const instance = new WebAssembly.Instance(new WebAssembly.Module(readFileSync(wasmFile)), {
    "./schema_engine_bg.js": { ...glue },
  });
  checked.__wbg_set_wasm(instance.exports);
  const start = instance.exports.__wbindgen_start;
  if (typeof start !== "function") throw new Error("The schema engine has no start function.");
  start();
  const database = new PGlite();
  const factory = bindMigrationAwareSqlAdapterFactory(new PrismaPGlite(database));
  const datamodels = schemaFiles().map((file) => [file.path, file.content]);
  const engine = await checked.SchemaEngine.new({ datamodels }, () => undefined, factory);
  return { engine, close: () => database.close() };
}

function writtenMigrations(): unknown {
  const directories = readdirSync(migrationsFolder, { withFileTypes: true })
    .filter((entry) => entry.isDirectory())
    .map((entry) => entry.name)
    .sort();
  return {
    baseDir: "prisma/migrations",
    lockfile: { path: "migration_lock.toml", content: 'provider = "postgresql"\n' },
    shadowDbInitScript: "",
    migrationDirectories: directories.map((name) => ({
      path: name,
      migrationFile: {
        path: "migration.sql",
        content: { tag: "ok", value: readFileSync(join(migrationsFolder, name, "migration.sql"), "utf8") },
      },
    })),
  };
}

/** What the schema has and the migrations have not, as SQL; null when there is no drift. */
export async function schemaDrift(): Promise<string | null> {
  const { engine, close } = await openEngine();
  try {
    const answer = diffResult.parse(
      await engine.diff({
        from: { tag: "migrations", ...Object(writtenMigrations()) },
        to: { tag: "schemaDatamodel", files: schemaFiles() },
        script: true,
        exitCode: true,
        filters,
        shadowDatabaseUrl: null,
      }),
    );
    return answer.exitCode === 0 ? null : (answer.stdout ?? "");
  } finally {
    await close();
  }
}
