import { existsSync } from "node:fs";
import { join } from "node:path";
import {
  type Environment,
  EnvironmentError,
  identityKeysOf,
  RotationError,
  readEnvironment,
  rotateKeys,
} from "@acral/api";
import { type Database, FolderInUseError, keepIdentityApart, openDatabase } from "@acral/db";

/**
 * `npm run keys:rotate` gives the identity key a new version, encrypts everything anew with it and drops the old key. It can
 * be killed at any point: run it again, and it goes on. Ends with 0 when the old key is gone, 2 when it could not begin or end.
 */

async function open({ databaseUrl, dataDir }: Environment): Promise<Database> {
  if (databaseUrl !== null) return openDatabase({ url: databaseUrl });
  // Opening a folder that is not there would make an empty database.
  if (!existsSync(join(dataDir, "database"))) {
    throw new RotationError(
      `There is no embedded database in ${dataDir}. Name its folder with ACRAL_DATA_DIR, or the server with DATABASE_URL.`,
    );
  }
  try {
    return await openDatabase({ dataDir });
  } catch (cause) {
    if (!(cause instanceof FolderInUseError)) throw cause;
    throw new RotationError(
      `Acral is running on the embedded database in ${dataDir}, which bears one owner at a time. Stop it, rotate, and start it again. (${cause.message})`,
      { cause },
    );
  }
}

async function main(): Promise<void> {
  const environment = readEnvironment(process.env);
  const database = await open(environment);
  try {
    const [row] = await database.query("select to_regclass('identity_key_state') is not null as there");
    if (row?.there !== true) {
      throw new RotationError(
        "An older version of Acral wrote this database last. Start Acral once, stop it, and repeat.",
      );
    }
    const missing = await keepIdentityApart(database);
    if (missing !== null) console.warn(missing);
    const core = { database, identityKeys: identityKeysOf(environment), now: () => new Date() };
    const { version, resumed, rows, removable } = await rotateKeys(core, (table, done) =>
      console.log(`${done} rows done (${table})`),
    );
    console.log(
      `${resumed ? "The rotation that was begun earlier was finished" : "The identity key was rotated"}: version ${version} is in use, ${rows} rows were encrypted anew by this run.`,
    );
    console.log(
      removable.length === 0
        ? `The old key is gone. Keep a copy of ${core.identityKeys.file} apart from the backups of the data; backups from before need the old key.`
        : `Nothing uses version ${removable.join(", ")} any more: take it out of ACRAL_IDENTITY_KEY, and keep it only as long as backups from before.`,
    );
  } finally {
    await database.close();
  }
}

try {
  await main();
} catch (error) {
  const inWords = error instanceof RotationError || error instanceof EnvironmentError;
  console.error(inWords ? error.message : error);
  process.exitCode = 2;
}
