import { spawnSync } from "node:child_process";
import { fileURLToPath } from "node:url";

/**
 * Generates the Prisma client into packages/db/src/generated.
 *
 * The command line would first download a schema engine that generating does not use, so it is pointed at an existing
 * executable. This must never be set for `migrate`: those commands would then exit 0 having done nothing.
 */
export function generateClient(): void {
  const prisma = fileURLToPath(import.meta.resolve("prisma/build/index.js"));
  const result = spawnSync(process.execPath, [prisma, "generate", "--no-hints"], {
    cwd: fileURLToPath(new URL("..", import.meta.url)),
    env: { ...process.env, PRISMA_SCHEMA_ENGINE_BINARY: process.execPath, CHECKPOINT_DISABLE: "1" },
    encoding: "utf8",
  });
  if (result.status !== 0) {
    throw new Error(`The database client could not be generated:\n${result.stdout}\n${result.stderr}`);
  }
}

if (process.argv[1] === fileURLToPath(import.meta.url)) generateClient();
