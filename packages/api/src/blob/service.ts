import { AppError } from "../app-error";
import type { Core } from "../core";
import { inIdentityRole } from "../identity/service";
import type { ReadScope, Transaction } from "../scope";

/**
 * Which rows name a blob. A column that holds the name of a blob is called `sha256`, or ends in `_sha256`, in whatever table:
 * by that the sweep knows what is still needed, and an erasure what goes.
 */
export interface BlobColumn {
  readonly table: string;
  readonly column: string;
}

export function blobColumns(db: ReadScope["db"]): Promise<BlobColumn[]> {
  return db.$queryRaw<BlobColumn[]>`
    select c.relname as "table", a.attname as "column" from pg_attribute a join pg_class c on c.oid = a.attrelid
    where c.relnamespace = 'public'::regnamespace and c.relkind = 'r' and not a.attisdropped and a.attnum > 0
      and (a.attname = 'sha256' or a.attname like '%\\_sha256') order by 1, 2`;
}

/** Whoever is about to name a blob, and whoever is about to remove it, wait for each other until the commit. */
const hold = (db: Transaction, sha256: string) =>
  db.$queryRaw`select pg_advisory_xact_lock(hashtextextended(${`blob ${sha256}`}, 0)) is null as held`;

async function isNamed(db: Transaction, columns: readonly BlobColumn[], sha256: string): Promise<boolean> {
  for (const { table, column } of columns) {
    const rows = await db.$queryRawUnsafe<unknown[]>(
      `select 1 from "${table}" where "${column}" = $1 limit 1`,
      sha256,
    );
    if (rows.length > 0) return true;
  }
  return false;
}

/** Call in the transaction that writes the row which names the blob: from here to the commit it stays where it is. */
export async function holdBlob({ db, core }: { db: Transaction; core: Core }, sha256: string): Promise<void> {
  await hold(db, sha256);
  if (await core.blobs.has(sha256)) return;
  throw new AppError(
    "changed-meanwhile",
    "The same bytes were removed while they were being stored. Nothing was kept; send them again.",
  );
}

/**
 * Removes a blob unless a row names it, and says whether it did.
 *
 * @param before only one that was stored before this moment; null for any
 */
export function removeUnnamedBlob(core: Core, sha256: string, before: Date | null): Promise<boolean> {
  return core.database.prisma.$transaction(async (db) => {
    await hold(db, sha256);
    const columns = await blobColumns(db);
    if (await inIdentityRole({ db, core }, (identityDb) => isNamed(identityDb, columns, sha256)))
      return false;
    if (before !== null) return core.blobs.removeStoredBefore(sha256, before);
    const there = await core.blobs.has(sha256);
    await core.blobs.remove(sha256);
    return there;
  });
}
