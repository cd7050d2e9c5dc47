import { mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { migrationsFolder, schemaDrift } from "./schema-engine";

/**
 * `npm run migration "a sentence that says what changes"` writes the SQL that takes the migrations to the schema.
 * Read it, add by hand what a schema cannot say (triggers, roles, data), and commit it.
 */
const sentence = process.argv.slice(2).join(" ").trim();
if (sentence === "") {
  console.error('Say in a sentence what the migration does: npm run migration "add the release register"');
  process.exit(1);
}
mkdirSync(migrationsFolder, { recursive: true });
const sql = await schemaDrift();
if (sql === null) {
  console.log("The migrations already say what the schema says; nothing was written.");
} else {
  const stamp = new Date().toISOString().replace(/\D/g, "").slice(0, 14);
  const name = `${stamp}_${sentence
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, "_")
    .replace(/^_+|_+$/g, "")}`;
  mkdirSync(join(migrationsFolder, name));
  writeFileSync(join(migrationsFolder, name, "migration.sql"), sql);
  console.log(`prisma/migrations/${name}/migration.sql`);
}
