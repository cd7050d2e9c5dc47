import { Prisma } from "@acral/db";
import type { Actor } from "../access/service";
import type { ReadScope, Transaction } from "../scope";
import type { AuditDraft, AuditListInput, AuditSubject } from "./schema";

const json = (value: AuditDraft["before"]) =>
  value === undefined ? Prisma.DbNull : (value as Prisma.InputJsonObject);

/**
 * Writes the entries in the transaction of the change that they tell of, as its last step: from here on everybody else who
 * writes in the study waits for the commit, since the database chains each entry to the one before.
 */
export async function writeAuditEntries(
  transaction: Transaction,
  who: { studyId: string | null; actor: Actor | null; at: Date },
  drafts: readonly AuditDraft[],
): Promise<void> {
  const data: Prisma.AuditEntryCreateManyInput[] = [];
  for (const draft of drafts) {
    data.push({
      studyId: who.studyId,
      at: who.at,
      actorId: who.actor?.userId ?? null,
      actorName: who.actor?.name ?? "nobody signed in",
      action: draft.action,
      subjectKind: draft.subject.kind,
      subjectId: draft.subject.id,
      subjectLabel: draft.subject.label,
      volunteerId: await volunteerConcerned(transaction, who.studyId, draft.subject),
      before: json(draft.before),
      after: json(draft.after),
      reason: draft.reason ?? null,
    });
  }
  await transaction.auditEntry.createMany({ data });
}

async function volunteerConcerned(
  db: Transaction,
  studyId: string | null,
  { kind, id, volunteerId }: AuditSubject,
): Promise<string | null> {
  if (volunteerId !== undefined) return volunteerId;
  if (studyId === null) return null;
  if (kind === "volunteer") return id;
  if (kind === "trial") {
    const trial = await db.trial.findFirst({ where: { id, studyId }, select: { volunteerId: true } });
    return trial?.volunteerId ?? null;
  }
  if (kind === "source file") {
    const file = await db.sourceFile.findFirst({
      where: { id, studyId },
      select: { trial: { select: { volunteerId: true } } },
    });
    return file?.trial.volunteerId ?? null;
  }
  return null;
}

export async function listAuditEntries(scope: ReadScope, input: AuditListInput) {
  const where: Prisma.AuditEntryWhereInput = {
    studyId: scope.access.studyId,
    ...(input.action === undefined ? {} : { action: input.action }),
    ...(input.subjectKind === undefined ? {} : { subjectKind: input.subjectKind }),
    ...(input.search === undefined || input.search.trim() === ""
      ? {}
      : {
          OR: [
            { subjectLabel: { contains: input.search.trim(), mode: "insensitive" } },
            { actorName: { contains: input.search.trim(), mode: "insensitive" } },
            { reason: { contains: input.search.trim(), mode: "insensitive" } },
          ],
        }),
  };
  const [total, rows] = await Promise.all([
    scope.db.auditEntry.count({ where }),
    scope.db.auditEntry.findMany({
      where,
      orderBy: { id: "desc" },
      skip: (input.page - 1) * input.pageSize,
      take: input.pageSize,
    }),
  ]);
  return {
    total,
    entries: rows.map((row) => ({
      id: row.id.toString(),
      at: row.at.toISOString(),
      actorName: row.actorName,
      action: row.action,
      subjectKind: row.subjectKind,
      subjectId: row.subjectId,
      subjectLabel: row.subjectLabel,
      before: row.before,
      after: row.after,
      reason: row.reason,
    })),
  };
}
