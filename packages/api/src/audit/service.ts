import { Prisma } from "@acral/db";
import type { Actor } from "../access/service";
import { anchorText } from "../audit-chain/schema";
import { chainHead } from "../audit-chain/service";
import type { ReadScope, Transaction } from "../scope";
import { type AuditDraft, type AuditFilter, type AuditListInput, type AuditSubject, nobody } from "./schema";

const json = (value: AuditDraft["before"]) =>
  value === undefined ? Prisma.DbNull : (value as Prisma.InputJsonObject);

/**
 * Writes the entries in the transaction of the change that they tell of, as its last step: from here on everybody else who
 * writes in the study waits for the commit, since the database chains each entry to the one before.
 */
export async function writeAuditEntries(
  transaction: Transaction,
  who: {
    studyId: string | null;
    actor: Actor | null;
    /** Who it was when there is no account behind it; "nobody signed in" unless said. */
    actorName?: string;
    at: Date;
  },
  drafts: readonly AuditDraft[],
): Promise<void> {
  const data: Prisma.AuditEntryCreateManyInput[] = [];
  for (const draft of drafts) {
    data.push({
      studyId: who.studyId,
      at: who.at,
      actorId: who.actor?.userId ?? null,
      actorName: who.actor?.name ?? who.actorName ?? "nobody signed in",
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

/** What of the study's entries the filters leave. */
export async function auditWhere(
  scope: ReadScope,
  filter: AuditFilter,
): Promise<Prisma.AuditEntryWhereInput> {
  const { studyId } = scope.access;
  const and: Prisma.AuditEntryWhereInput[] = [];
  if (filter.action !== undefined) and.push({ action: filter.action });
  if (filter.subjectKind !== undefined) and.push({ subjectKind: filter.subjectKind });
  if (filter.person !== undefined) and.push({ actorId: filter.person === nobody ? null : filter.person });
  if (filter.from !== undefined) and.push({ at: { gte: new Date(filter.from) } });
  if (filter.until !== undefined) and.push({ at: { lt: new Date(filter.until) } });
  const code = filter.volunteerCode?.trim() ?? "";
  if (code !== "") {
    const equals = { equals: code, mode: "insensitive" } as const;
    // A code may have been changed since: entries under the former one are found by it as well.
    const [now, formerly] = await Promise.all([
      scope.db.volunteer.findMany({ where: { studyId, code: equals }, select: { id: true } }),
      scope.db.auditEntry.findMany({
        where: { studyId, subjectKind: "volunteer", subjectLabel: equals },
        select: { subjectId: true },
        distinct: ["subjectId"],
      }),
    ]);
    const ids = [...now.map(({ id }) => id), ...formerly.map(({ subjectId }) => subjectId)];
    and.push({ volunteerId: { in: [...new Set(ids)] } });
  }
  const words = filter.search?.trim() ?? "";
  if (words !== "") {
    const contains = { contains: words, mode: "insensitive" } as const;
    and.push({ OR: [{ subjectLabel: contains }, { actorName: contains }, { reason: contains }] });
  }
  return { studyId, AND: and };
}

export async function listAuditEntries(scope: ReadScope, input: AuditListInput) {
  const where = await auditWhere(scope, input);
  const [total, rows, head] = await Promise.all([
    scope.db.auditEntry.count({ where }),
    scope.db.auditEntry.findMany({
      where,
      orderBy: { sequence: "desc" },
      skip: (input.page - 1) * input.pageSize,
      take: input.pageSize,
    }),
    chainHead(scope.db, scope.access.studyId),
  ]);
  return {
    total,
    /** What to note outside of this database, as `npm run audit:verify -- --expect` takes it. */
    head: head === null ? null : anchorText(head),
    entries: rows.map((row) => ({
      id: row.id.toString(),
      sequence: row.sequence,
      at: row.at.toISOString(),
      actorName: row.actorName,
      action: row.action,
      subjectKind: row.subjectKind,
      subjectId: row.subjectId,
      subjectLabel: row.subjectLabel,
      before: row.before,
      after: row.after,
      reason: row.reason,
      hash: row.hash,
      /** The values went with the volunteer whom they concerned. */
      erased: row.valuesSalt === null,
    })),
  };
}

/** What there is to filter by: the people, actions and kinds of subject that stand in the study's trail. */
export async function auditChoices(scope: ReadScope) {
  const where = { studyId: scope.access.studyId };
  const [people, actions, kinds] = await Promise.all([
    // By the newest name: somebody may have been called otherwise before.
    scope.db.auditEntry.groupBy({ by: ["actorId", "actorName"], where, _max: { sequence: true } }),
    scope.db.auditEntry.groupBy({ by: ["action"], where }),
    scope.db.auditEntry.groupBy({ by: ["subjectKind"], where }),
  ]);
  const names = new Map<string, { name: string; last: number }>();
  for (const { actorId, actorName, _max } of people) {
    const id = actorId ?? nobody;
    const last = _max.sequence ?? 0;
    if (last > (names.get(id)?.last ?? -1)) names.set(id, { name: actorName, last });
  }
  return {
    people: [...names]
      .map(([actorId, { name }]) => ({ actorId, name: actorId === nobody ? "nobody signed in" : name }))
      .sort((a, b) => a.name.localeCompare(b.name)),
    actions: actions.map(({ action }) => action).sort(),
    subjectKinds: kinds.map(({ subjectKind }) => subjectKind).sort(),
  };
}
