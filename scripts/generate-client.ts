import { spawnSync } from "node:child_process";
import { createHash } from "node:crypto";
import { existsSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";

const root = fileURLToPath(new URL("..", import.meta.url));
const generated = join(root, "packages/db/src/generated");
const stampFile = join(generated, "made-from");

/** What the client is made of: the schema, and the version of Prisma that the package names. */
function schemaDigest(): string {
  const schema = readdirSync(join(root, "prisma"))
    .filter((name) => name.endsWith(".prisma"))
    .sort()
    .map((name) => join("prisma", name));
  const hash = createHash("sha256");
  for (const file of [...schema, "prisma.config.ts", "package.json"]) {
    hash.update(`${file}\0`).update(readFileSync(join(root, file)));
  }
  return hash.digest("hex");
}

/**
 * Generates the Prisma client into packages/db/src/generated.
 *
 * The command line would first download a schema engine that generating does not use, so it is pointed at an existing
 * executable. This must never be set for `migrate`: those commands would then exit 0 having done nothing.
 */
export function generateClient(): void {
  const prisma = fileURLToPath(import.meta.resolve("prisma/build/index.js"));
  const result = spawnSync(process.execPath, [prisma, "generate", "--no-hints"], {
    cwd: root,
    env: { ...process.env, PRISMA_SCHEMA_ENGINE_BINARY: process.execPath, CHECKPOINT_DISABLE: "1" },
    encoding: "utf8",
  });
  if (result.status !== 0) {
    throw new Error(`The database client could not be generated:\n${result.stdout}\n${result.stderr}`);
  }
  writeFileSync(stampFile, schemaDigest());
}

/** The same, where there is no client yet or the schema has changed since. */
export function generateClientIfNeeded(): void {
  const upToDate =
    existsSync(join(generated, "client.ts")) &&
    existsSync(stampFile) &&
    readFileSync(stampFile, "utf8") === schemaDigest();
  if (!upToDate) generateClient();
}

if (process.argv[1] === fileURLToPath(import.meta.url)) generateClient();
