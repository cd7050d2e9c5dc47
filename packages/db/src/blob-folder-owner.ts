import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import type { Database } from "./open-database";

/** A folder of blobs holds the files of one database: a sweep for another one would take them for rubbish. */
export class BlobFolderOwnerError extends Error {
  override readonly name = "BlobFolderOwnerError";
}

/** Binds the folder to the database at their first meeting, and refuses every other database afterwards. */
export async function claimBlobFolder(folder: string, database: Database): Promise<void> {
  const rows = await database.query(`select id from "_prisma_migrations" order by started_at, id limit 1`);
  const id = rows[0]?.id;
  if (typeof id !== "string") throw new BlobFolderOwnerError("The database has not been migrated yet.");
  mkdirSync(folder, { recursive: true });
  const file = join(folder, "database-id");
  try {
    writeFileSync(file, id, { flag: "wx", mode: 0o600 });
  } catch (error) {
    if (!(error instanceof Error && "code" in error && error.code === "EEXIST")) throw error;
    if (readFileSync(file, "utf8") !== id) {
      throw new BlobFolderOwnerError(
        `The files in ${folder} belong to another database. Set ACRAL_DATA_DIR to the folder that belongs to this one, or to a new one.`,
      );
    }
  }
}
