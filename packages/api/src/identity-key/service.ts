import { addKeyVersion, decryptBytes, encryptBytes, type IdentityKeys, keepOnlyKeyVersion } from "@acral/db";
import type { Core } from "../core";
import { rewriteTables } from "../erasure/service";
import { inIdentityRole, storeSearchHashes } from "../identity/service";
import { type Transaction, writeOutsideStudies } from "../scope";
import { type EncryptedTable, encryptedTables, hashedTable } from "./policy";

/** Why a rotation cannot be begun or gone on with, in words for whoever runs the server. */
export class RotationError extends Error {
  override readonly name = "RotationError";
}

type RotatingCore = Pick<Core, "database" | "identityKeys" | "now">;

export interface Rotation {
  readonly version: number;
  /** Whether one that was cut off was gone on with. */
  readonly resumed: boolean;
  /** Rows that were encrypted or hashed anew by this run. */
  readonly rows: number;
  /** The versions that are still stated in the environment and that nothing uses any more. */
  readonly removable: readonly number[];
}

/** Rows in one transaction. */
const batchRows = 50;

/**
 * Gives the identity key a new version, encrypts everything anew with it, and drops the old one when nothing uses it any more.
 *
 * The order is what makes it safe to be killed at any point: the new key is on the disk before the database names its version;
 * from then on nobody writes with the old one, since whoever encrypts holds the version; each batch is one transaction; the
 * old key goes last. With more than one version at hand a run goes on where the last one was cut off.
 *
 * @param onBatch called after each transaction, with the table and the rows done so far
 * @throws RotationError
 */
export function rotateKeys(
  core: RotatingCore,
  onBatch: (table: string, rows: number) => void,
): Promise<Rotation> {
  return core.database.alone(() => rotate(core, onBatch));
}

async function rotate(core: RotatingCore, onBatch: (table: string, rows: number) => void): Promise<Rotation> {
  await requireKnownTables(core);
  const { file } = core.identityKeys;
  const atHand = core.identityKeys.versions();
  // Before anything is made: a new key under a number that the database knows already would be another key of one name.
  const written = await core.database.prisma.identityKeyState.findUniqueOrThrow({ where: { id: 1 } });
  if (!atHand.has(written.currentVersion)) throw keyIsOlder(written.currentVersion, atHand);
  const resumed = atHand.size > 1;
  if (!resumed && file === null) {
    const [only = 1] = atHand.keys();
    throw new RotationError(
      `The identity key stands in ACRAL_IDENTITY_KEY, which this command cannot change. Make a new key (openssl rand -hex 32), set ACRAL_IDENTITY_KEY to "${only}:<the key of now>,${only + 1}:<the new key>" for the server and for this command, start the server again, and repeat.`,
    );
  }
  const version = resumed || file === null ? Math.max(...atHand.keys()) : addKeyVersion(file);
  await nameVersion(core, version);
  const keys = core.identityKeys.at(version);
  let rows = 0;
  for (const table of encryptedTables) {
    for (;;) {
      const done = await encryptBatch(core, table, keys);
      rows += done;
      if (done === 0) break;
      onBatch(table.table, rows);
    }
  }
  for (;;) {
    const done = await hashBatch(core, version);
    rows += done;
    if (done === 0) break;
    onBatch(hashedTable, rows);
  }
  await writeOutsideStudies({ ...core }, async () => ({
    result: null,
    actor: null,
    studyId: null,
    audit: [
      {
        action: "identity.rotateKeys",
        subject: { kind: "identity key", id: String(version), label: `version ${version}` },
        before: { versions: [...core.identityKeys.versions().keys()] },
        after: { version, rows },
      },
    ],
  }));
  // What was encrypted with the old key still stands in the pages of the tables; whoever has that key could read it there.
  await rewriteTables(core, [...encryptedTables.map(({ table }) => table), hashedTable]);
  await requireNothingOlder(core, version);
  if (file !== null) keepOnlyKeyVersion(file, version);
  const left = [...core.identityKeys.versions().keys()].filter((other) => other !== version);
  return { version, resumed, rows, removable: left };
}

async function requireKnownTables({ database }: RotatingCore): Promise<void> {
  const known = [...encryptedTables.map(({ table }) => table), hashedTable];
  const rows = await database.query(
    "select table_name as name from information_schema.columns where table_schema = 'public' and column_name = 'key_version'",
  );
  const unknown = rows.map(({ name }) => String(name)).filter((name) => !known.includes(name));
  if (unknown.length > 0) {
    throw new RotationError(
      `The table ${unknown.join(", ")} holds encrypted values that this version of Acral does not know how to encrypt anew. Nothing was changed.`,
    );
  }
}

function keyIsOlder(written: number | null, atHand: ReadonlyMap<number, unknown>): RotationError {
  return new RotationError(
    `The database was written with version ${written ?? "?"} of the identity key, and at hand is ${[...atHand.keys()].join(", ")}. Restore the key as it was after the last rotation; nothing was changed.`,
  );
}

/** From this commit on new values are written with the version; whoever is encrypting now is waited for. */
async function nameVersion(core: RotatingCore, version: number): Promise<void> {
  await core.database.prisma.$transaction(async (db) => {
    const [state] = await db.$queryRaw<{ version: number }[]>`
      select current_version as version from identity_key_state where id = 1 for update`;
    if (state === undefined || state.version > version) {
      throw keyIsOlder(state?.version ?? null, core.identityKeys.versions());
    }
    await db.identityKeyState.update({ where: { id: 1 }, data: { currentVersion: version } });
  });
}

function encryptBatch(core: RotatingCore, table: EncryptedTable, keys: IdentityKeys): Promise<number> {
  const columns = Object.keys(table.columns);
  const listed = columns.map((column) => `"${column}"`).join(", ");
  return inIdentityRole({ db: core.database.prisma, core }, async (db) => {
    const rows = await db.$queryRawUnsafe<Record<string, unknown>[]>(
      `select "${table.id}" as row_id, key_version, ${listed} from "${table.table}"
       where key_version <> $1 order by "${table.id}" limit ${batchRows} for update`,
      keys.current,
    );
    for (const row of rows) await encryptRow(db, core, table, keys, row);
    return rows.length;
  });
}

async function encryptRow(
  db: Transaction,
  core: RotatingCore,
  table: EncryptedTable,
  keys: IdentityKeys,
  row: Record<string, unknown>,
): Promise<void> {
  const rowId = String(row.row_id);
  const old = Number(row.key_version);
  const values: (Uint8Array | null)[] = [];
  for (const [column, { table: placeTable, field }] of Object.entries(table.columns)) {
    const place = { table: placeTable, field, rowId };
    const value = row[column];
    values.push(
      value instanceof Uint8Array
        ? encryptBytes(decryptBytes(value, place, old, core.identityKeys.at(old)), place, keys)
        : null,
    );
  }
  const set = Object.keys(table.columns).map((column, index) => `"${column}" = $${index + 3}`);
  await db.$executeRawUnsafe(
    `update "${table.table}" set key_version = $1, ${set.join(", ")} where "${table.id}" = $2`,
    keys.current,
    rowId,
    ...values,
  );
}

/** Hashes of the volunteers whose ones are of another version. */
async function hashBatch(core: RotatingCore, version: number): Promise<number> {
  return core.database.prisma.$transaction(async (db) => {
    const stale = await inIdentityRole({ db, core }, (identityDb) =>
      identityDb.identitySearchHash.findMany({
        where: { keyVersion: { not: version } },
        select: { studyId: true, volunteerId: true },
        distinct: ["volunteerId"],
        take: batchRows,
      }),
    );
    for (const { studyId, volunteerId } of stale) {
      // As saving an identity does: what is read here is what is hashed.
      await db.$queryRaw`select id from volunteer where id = ${volunteerId} for update`;
      await storeSearchHashes({ db, core, access: { studyId } }, volunteerId);
    }
    return stale.length;
  });
}

async function requireNothingOlder(core: RotatingCore, version: number): Promise<void> {
  for (const table of [...encryptedTables.map((encrypted) => encrypted.table), hashedTable]) {
    const [row] = await core.database.query(
      `select count(*)::int as older from "${table}" where key_version <> $1`,
      [version],
    );
    if (row?.older !== 0) {
      throw new RotationError(
        `${String(row?.older)} rows of ${table} are still of an older version of the key. Both keys were kept; run the rotation again.`,
      );
    }
  }
}

/** Volunteers whose identity was entered before there was a search get what they are found by. Returns how many. */
export async function hashOlderIdentities(core: RotatingCore): Promise<number> {
  const rows = await core.database.query(
    `select study_id as "studyId", volunteer_id as "volunteerId" from identity as i
     where (name_cipher is not null or contact_cipher is not null)
       and not exists (select 1 from identity_search_hash as h where h.volunteer_id = i.volunteer_id)
     union select study_id, volunteer_id from signed_name as s
     where not exists (select 1 from identity_search_hash as h where h.volunteer_id = s.volunteer_id)`,
  );
  for (const { studyId, volunteerId } of rows) {
    await core.database.prisma.$transaction(async (db) => {
      await db.$queryRaw`select id from volunteer where id = ${String(volunteerId)} for update`;
      await storeSearchHashes({ db, core, access: { studyId: String(studyId) } }, String(volunteerId));
    });
  }
  return rows.length;
}
