import type { Prisma, PrismaClient } from "@acral/db";
import type { StudyAction } from "./access/policy";
import { type Actor, enterStudy, type StudyAccess } from "./access/service";
import type { AuditDraft } from "./audit/schema";
import { writeAuditEntries } from "./audit/service";
import type { Core } from "./core";

export type Transaction = Prisma.TransactionClient;

/** What a use case that reads is given. */
export interface ReadScope {
  readonly db: PrismaClient | Transaction;
  readonly access: StudyAccess;
  readonly core: Core;
  readonly now: Date;
}

/** For plain HTTP routes, which do not go through tRPC: the same check of the role, and what a use case is given. */
export async function openScope(
  core: Core,
  actor: Actor,
  studyId: string,
  action: StudyAction,
): Promise<ReadScope> {
  const now = core.now();
  const access = await enterStudy(core.database.prisma, actor, studyId, action, now);
  return { db: core.database.prisma, access, core, now };
}

/** What a use case that writes is given: the same, within one transaction. */
export interface WriteScope extends ReadScope {
  readonly db: Transaction;
}

/**
 * What a use case that writes must return: its result and at least one audit entry. A use case without an entry does
 * not type-check, and the entry is committed with the change or not at all.
 */
export interface Written<T> {
  readonly result: T;
  readonly audit: readonly [AuditDraft, ...AuditDraft[]];
}

export async function writeInStudy<T>(
  scope: ReadScope,
  work: (scope: WriteScope) => Promise<Written<T>>,
): Promise<T> {
  return scope.core.database.prisma.$transaction(async (db) => {
    const written = await work({ ...scope, db });
    await writeAuditEntries(
      db,
      { studyId: scope.access.studyId, actor: scope.access.actor, at: scope.now },
      written.audit,
    );
    return written.result;
  });
}

/** The same for what happens outside every study, or before somebody has a role in it. */
export async function writeOutsideStudies<T>(
  core: Pick<Core, "database" | "now">,
  work: (db: Transaction, now: Date) => Promise<Written<T> & { actor: Actor | null; studyId: string | null }>,
): Promise<T> {
  const now = core.now();
  return core.database.prisma.$transaction(async (db) => {
    const written = await work(db, now);
    await writeAuditEntries(db, { studyId: written.studyId, actor: written.actor, at: now }, written.audit);
    return written.result;
  });
}
