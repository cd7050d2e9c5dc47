import { setTimeout as later } from "node:timers/promises";
import { Prisma } from "@acral/db";
import type { z } from "zod";
import { AppError, notFound } from "../app-error";
import type { AuditDraft } from "../audit/schema";
import { eraseAuditValues } from "../audit-chain/service";
import { blobColumns, removeUnnamedBlob } from "../blob/service";
import type { Core } from "../core";
import { newId } from "../identifiers";
import { inIdentityRole, refuseNaming, requireNotErased } from "../identity/service";
import { type ReadScope, type Transaction, type WriteScope, type Written, writeInStudy } from "../scope";
import { type OwnedRows, ownedRows, type Reference, removedNames } from "./policy";
import { type eraseInput, names } from "./schema";

/**
 * Erasing a volunteer. Rows go in one transaction, which also notes what no transaction can take back: the blobs to remove,
 * and the tables that the database still holds the rows of physically. That follows the commit at once (`finishErasures`);
 * a start goes on with whatever a crash left. So a crash leaves either everything, or nothing but rests that go at the next start.
 */

export interface Removal {
  /** The tables that rows were removed from, with how many. */
  readonly rows: ReadonlyMap<string, number>;
  readonly blobs: readonly string[];
}

/** All references between single columns of the tables. */
export function references(db: ReadScope["db"]): Promise<Reference[]> {
  return db.$queryRaw<Reference[]>`
    select child.relname as "child", a.attname as "column", parent.relname as "parent", p.attname as "parentColumn"
    from pg_constraint r
    join pg_class child on child.oid = r.conrelid
    join pg_class parent on parent.oid = r.confrelid
    join pg_attribute a on a.attrelid = r.conrelid and a.attnum = r.conkey[1]
    join pg_attribute p on p.attrelid = r.confrelid and p.attnum = r.confkey[1]
    where r.contype = 'f' and cardinality(r.conkey) = 1 and child.relnamespace = 'public'::regnamespace
    order by 1, 2, 3`;
}

/** Deletes rows, children before parents, and gathers the blobs that they named. */
export function removeRows(
  write: { readonly db: Transaction; readonly core: Core },
  owned: readonly OwnedRows[],
  rootId: string,
): Promise<Removal> {
  return inIdentityRole(write, async (db) => {
    const columns = await blobColumns(db);
    const blobs = new Set<string>();
    for (const { table, where } of owned) {
      for (const { column } of columns.filter((blob) => blob.table === table)) {
        const rows = await db.$queryRawUnsafe<{ name: string | null }[]>(
          `select distinct "${column}" as name from "${table}" where ${where}`,
          rootId,
        );
        for (const { name } of rows) if (name !== null) blobs.add(name);
      }
    }
    const rows = new Map<string, number>();
    for (const { table, where } of owned) {
      const count = await db.$executeRawUnsafe(`delete from "${table}" where ${where}`, rootId);
      if (count > 0) rows.set(table, count);
    }
    return { rows, blobs: [...blobs] };
  });
}

/** Notes what follows the commit. Written as the last thing before the audit entries. */
export async function noteErasure(
  { db, access, now }: Pick<WriteScope, "db" | "now"> & { access: { studyId: string } },
  erased: { readonly volunteerId: string; readonly what: string; readonly blobs: readonly string[] },
  tables: readonly string[],
): Promise<void> {
  const [row] = await db.$queryRaw<{ xid: string }[]>`select pg_current_xact_id()::text as xid`;
  await db.erasure.create({
    data: {
      id: newId(),
      studyId: access.studyId,
      volunteerId: erased.volunteerId,
      what: erased.what,
      erasedAt: now,
      transaction: row?.xid ?? "0",
      blobs: [...erased.blobs],
      tables: [...tables],
    },
  });
}

/**
 * Holds everything that another transaction could add data of the volunteer to, in the order of everybody else: the study (as
 * releases do), the trials (as uploads do), the volunteer (as consents do).
 */
export async function holdForErasure({ db, access }: Erasing, volunteerId: string) {
  const { studyId } = access;
  const trials = () =>
    db.$queryRaw`select id from trial where study_id = ${studyId} and volunteer_id = ${volunteerId} order by id for update`;
  await db.$queryRaw`select id from study where id = ${studyId} for no key update`;
  await trials();
  await db.$queryRaw`select id from volunteer where id = ${volunteerId} and study_id = ${studyId} for update`;
  // Planned while the volunteer was not held yet.
  await trials();
  const volunteer = await db.volunteer.findFirst({ where: { id: volunteerId, studyId } });
  if (volunteer === null) throw notFound("volunteer");
  requireNotErased(volunteer);
  return volunteer;
}

/** What erasing needs of a scope: one that a link opened has it as well. */
export type Erasing = Pick<WriteScope, "db" | "core" | "now"> & {
  readonly access: { readonly studyId: string };
};

export interface ErasedVolunteer {
  readonly volunteerId: string;
  readonly code: string;
  /** Rows that went, by what people call them. */
  readonly removed: Readonly<Record<string, number>>;
  /** Numbers of the releases that hold the data: what was handed out cannot be called back. */
  readonly releases: readonly number[];
}

/**
 * Erases a volunteer within a transaction: identity, consents, signatures, trials with everything recorded, and the values in
 * the audit trail. A tombstone stays: the code and the fact.
 *
 * Call `finishErasures` after the commit: it removes the bytes. The audit drafts belong to the same transaction.
 */
export async function eraseVolunteer(
  write: Erasing,
  volunteerId: string,
  reason: string,
): Promise<{ readonly result: ErasedVolunteer; readonly audit: readonly [AuditDraft, AuditDraft] }> {
  const { db, access, now } = write;
  const volunteer = await holdForErasure(write, volunteerId);
  const { rows, blobs } = await removeRows(
    write,
    ownedRows(await references(db), "volunteer", "id = $1"),
    volunteerId,
  );
  const comparisons = await db.comparison.updateMany({
    where: { studyId: access.studyId, answer: { not: Prisma.DbNull } },
    // They may hold single values; whoever opens one has it answered anew, without the volunteer.
    data: { answer: Prisma.DbNull, inputHash: null, answeredAt: null },
  });
  await db.volunteer.update({
    where: { id: volunteerId },
    data: {
      sex: "not_stated",
      birthYear: null,
      registeredAt: now,
      erasedAt: now,
      revision: { increment: 1 },
    },
  });
  const values = await eraseAuditValues(write, volunteer);
  const releases = await releasesWith(write, volunteerId);
  const tables = [
    ...rows.keys(),
    "volunteer",
    "audit_entry",
    ...(comparisons.count > 0 ? ["comparison"] : []),
  ];
  await noteErasure(write, { volunteerId, what: "volunteer", blobs }, tables);
  const removed = Object.fromEntries(
    [...rows].flatMap(([table, count]) =>
      removedNames[table] === undefined ? [] : [[removedNames[table], count]],
    ),
  );
  return {
    result: { volunteerId, code: volunteer.code, removed, releases },
    audit: [
      values,
      {
        action: "erasure.erase",
        subject: { kind: "volunteer", id: volunteerId, label: volunteer.code, volunteerId },
        after: { ...removed, files: blobs.length, "releases that hold the data": releases },
        reason,
      },
    ],
  };
}

/** Numbers of the releases that hold the volunteer's data. */
async function releasesWith(
  { db, access }: Pick<Erasing, "access"> & { db: ReadScope["db"] },
  volunteerId: string,
) {
  const rows = await db.releaseVolunteer.findMany({
    where: { studyId: access.studyId, volunteerId },
    select: { release: { select: { number: true } } },
  });
  return rows.map(({ release }) => release.number).sort((a, b) => a - b);
}

/** Erases a volunteer for a person of the team, and removes the bytes before it answers. */
export async function eraseByStaff(scope: ReadScope, input: z.output<typeof eraseInput>) {
  const erased = await erasing(scope, async (write) => {
    const volunteer = await write.db.volunteer.findFirst({
      where: { id: input.volunteerId, studyId: write.access.studyId },
    });
    if (volunteer === null) throw notFound("volunteer");
    requireNotErased(volunteer);
    if (volunteer.code !== input.code) {
      throw new AppError(
        "invalid",
        `This is volunteer ${volunteer.code}. Type exactly this code to erase this volunteer; nothing was erased.`,
        { field: "code" },
      );
    }
    await refuseNaming(write, volunteer.id, input.reason, "reason");
    return eraseVolunteer(write, volunteer.id, input.reason);
  });
  return { ...erased, bytesGone: await finishErasures(scope.core) };
}

export function erasing<T>(scope: ReadScope, work: (write: WriteScope) => Promise<Written<T>>): Promise<T> {
  return againAfterDeadlock(() => writeInStudy(scope, work));
}

/** Two who hold what the other wants: the database ends one of the transactions, which is then done again. */
export async function againAfterDeadlock<T>(transaction: () => Promise<T>): Promise<T> {
  for (let tried = 1; ; tried++) {
    try {
      return await transaction();
    } catch (error) {
      if (!isDeadlock(error) || tried === 4) throw error;
      await later(100 * tried);
    }
  }
}

function isDeadlock(error: unknown): boolean {
  if (error instanceof Prisma.PrismaClientKnownRequestError) {
    return error.code === "P2034" || (error.code === "P2010" && error.message.includes("40P01"));
  }
  return error instanceof Error && "code" in error && error.code === "40P01";
}

/**
 * Removes the bytes of what was erased: blobs, then what the database still holds physically. Goes on where an earlier one was
 * cut off. Returns whether nothing is left to do; what others still read is left to the next call, an hour later at most.
 */
export async function finishErasures(core: Core, patienceMs = 20_000): Promise<boolean> {
  const { prisma } = core.database;
  const open = await prisma.erasure.findMany({ where: { bytesGoneAt: null }, orderBy: { erasedAt: "asc" } });
  if (open.length === 0) return true;
  const done: string[] = [];
  const tables = new Set<string>();
  for (const erasure of open) {
    for (const sha256 of names.parse(erasure.blobs)) await removeUnnamedBlob(core, sha256, null);
    if (!(await nobodySees(core, erasure.transaction, patienceMs))) continue;
    for (const table of names.parse(erasure.tables)) tables.add(table);
    done.push(erasure.id);
  }
  if (done.length === 0) return false;
  await rewriteTables(core, [...tables].sort());
  await prisma.erasure.updateMany({
    where: { id: { in: done } },
    data: { blobs: [], tables: [], bytesGoneAt: core.now() },
  });
  return done.length === open.length;
}

/** Waits until no transaction of this database is older than the one that erased: until then its rows are kept for them. */
async function nobodySees(core: Core, transaction: string, patienceMs: number): Promise<boolean> {
  if (core.database.kind === "embedded") return true;
  const until = Date.now() + patienceMs;
  for (;;) {
    const [row] = await core.database.query(
      `select count(*)::int as readers from pg_stat_activity where datname = current_database() and pid <> pg_backend_pid()
         and backend_xmin is not null and age(backend_xmin) >= age(($1::text::numeric % 4294967296)::text::xid)`,
      [transaction],
    );
    if (row?.readers === 0) return true;
    if (Date.now() >= until) return false;
    await later(200);
  }
}

/**
 * Writes the tables anew, so that the file system gets back the pages on which removed rows still stood. Each is locked
 * for as long as that takes. The log of the database is another place: the embedded one drops it here, a server keeps it for
 * recovery and archives as it is set up to (docs/threat-model.md).
 */
export async function rewriteTables(core: Pick<Core, "database">, tables: readonly string[]): Promise<void> {
  const { database } = core;
  for (const table of tables) {
    await database.upkeep(
      database.kind === "server" ? `vacuum (full, analyze) "${table}"` : `vacuum full "${table}"`,
    );
  }
  if (database.kind === "embedded") {
    await database.upkeep("select pg_switch_wal()");
    await database.upkeep("checkpoint");
    return;
  }
  // Samples of values that the planner keeps. A user who does not own the database may do neither of the two.
  for (const statement of ["vacuum full pg_statistic", "checkpoint"]) {
    await database.upkeep(statement).catch((error: unknown) => {
      if (!(error instanceof Error && "code" in error && error.code === "42501")) throw error;
    });
  }
}

/** What erasing a volunteer would remove, or what stands of one who was erased. */
export async function erasureOf(scope: ReadScope, volunteerId: string) {
  const { db, access } = scope;
  const where = { studyId: access.studyId, volunteerId };
  const volunteer = await db.volunteer.findFirst({ where: { id: volunteerId, studyId: access.studyId } });
  if (volunteer === null) throw notFound("volunteer");
  const [erasure, trials, files, consents, releases] = await Promise.all([
    db.erasure.findFirst({ where: { ...where, what: "volunteer" } }),
    db.trial.count({ where }),
    db.sourceFile.aggregate({
      where: { studyId: access.studyId, trial: { volunteerId } },
      _count: { _all: true },
      _sum: { sizeBytes: true },
    }),
    db.consentRecord.count({ where }),
    db.releaseVolunteer.findMany({
      where,
      select: { release: { select: { number: true, madeAt: true, reason: true } } },
      orderBy: { release: { number: "asc" } },
    }),
  ]);
  return {
    volunteerId,
    code: volunteer.code,
    erasedAt: volunteer.erasedAt?.toISOString() ?? null,
    /** When the last bytes were gone; null while they are being removed, and for a volunteer who was not erased. */
    bytesGoneAt: erasure?.bytesGoneAt?.toISOString() ?? null,
    trials,
    sourceFiles: files._count._all,
    sourceFileBytes: files._sum.sizeBytes ?? 0,
    consentRecords: consents,
    releases: releases.map(({ release }) => ({
      number: release.number,
      madeAt: release.madeAt.toISOString(),
      reason: release.reason,
    })),
  };
}
