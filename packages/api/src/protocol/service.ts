import type { Prisma, PrismaClient } from "@acral/db";
import type { z } from "zod";
import { AppError, notFound } from "../app-error";
import { changedValues, filledValues, flatValues } from "../audit/policy";
import type { AuditValues } from "../audit/schema";
import { newId } from "../identifiers";
import { reportingItems } from "../reporting/policy";
import { changedMeanwhile } from "../revision";
import { type ReadScope, type Transaction, type WriteScope, writeInStudy } from "../scope";
import { adviceOnProtocol, emptyContent, missingInProtocol, offeredStopCriteria } from "./policy";
import {
  alwaysStop,
  type DraftContent,
  type draftAtRevisionInput,
  draftContent,
  type ProtocolContent,
  protocolContent,
  type saveDraftInput,
} from "./schema";

export interface ProtocolVersion {
  readonly protocolId: string;
  readonly version: number;
  readonly inForceAt: Date | null;
  readonly content: ProtocolContent;
}

/** The protocol that holds for trials planned now; null while none was put in force. */
export async function protocolInForce(
  db: PrismaClient | Transaction,
  studyId: string,
): Promise<ProtocolVersion | null> {
  const row = await db.protocol.findFirst({ where: { studyId, state: "in_force" } });
  return row === null ? null : versionOf(row);
}

/** The protocol that a trial was planned under, in force or retired. */
export async function protocolOf(
  db: PrismaClient | Transaction,
  studyId: string,
  protocolId: string,
): Promise<ProtocolVersion> {
  const row = await db.protocol.findFirst({ where: { id: protocolId, studyId, state: { not: "draft" } } });
  if (row === null) throw notFound("protocol");
  return versionOf(row);
}

type Row = Prisma.ProtocolGetPayload<object>;

const versionOf = (row: Row): ProtocolVersion => ({
  protocolId: row.id,
  version: row.version,
  inForceAt: row.inForceAt,
  content: protocolContent.parse(row.content),
});

const summaryOf = (row: Row) => ({
  protocolId: row.id,
  version: row.version,
  state: row.state,
  revision: row.revision,
  createdAt: row.createdAt.toISOString(),
  inForceAt: row.inForceAt?.toISOString() ?? null,
  retiredAt: row.retiredAt?.toISOString() ?? null,
});

/** All versions, the newest first. */
export async function listProtocols(scope: ReadScope) {
  const rows = await scope.db.protocol.findMany({
    where: { studyId: scope.access.studyId },
    orderBy: { version: "desc" },
  });
  return rows.map(summaryOf);
}

export async function getProtocol(scope: ReadScope, protocolId: string) {
  const row = await findProtocol(scope, protocolId);
  const content = draftContent.parse(row.content);
  return {
    ...summaryOf(row),
    content,
    missing: missingInProtocol(content),
    advice: adviceOnProtocol(content),
    alwaysStop,
    offeredStopCriteria,
    reportingItems,
  };
}

/** A draft copied from the newest version, or an empty one. There is at most one draft. */
export function startDraft(scope: ReadScope) {
  return writeInStudy(scope, async ({ db, access, now }) => {
    await db.$queryRaw`select id from study where id = ${access.studyId} for update`;
    const newest = await db.protocol.findFirst({
      where: { studyId: access.studyId },
      orderBy: { version: "desc" },
    });
    if (newest?.state === "draft") {
      throw new AppError(
        "exists",
        `Version ${newest.version} is a draft already. Go on with it, or discard it first.`,
        {
          details: { protocolId: newest.id },
        },
      );
    }
    const version = (newest?.version ?? 0) + 1;
    const content = newest === null ? emptyContent() : draftContent.parse(newest.content);
    const protocolId = newId();
    await db.protocol.create({
      data: { id: protocolId, studyId: access.studyId, version, content, createdAt: now },
    });
    return {
      result: { protocolId, version, revision: 1 },
      audit: [
        {
          action: "protocol.startDraft",
          subject: subjectOf({ id: protocolId, version }),
          after: { copiedFromVersion: newest?.version ?? null, ...filledValues(outline(content)) },
        },
      ],
    };
  });
}

export function saveDraft(scope: ReadScope, input: z.output<typeof saveDraftInput>) {
  return writeInStudy(scope, async (write) => {
    const before = await lockDraft(write, input.protocolId, input.revision);
    await write.db.protocol.update({
      where: { id: before.id },
      data: { content: input.content, revision: { increment: 1 } },
    });
    return {
      result: {
        revision: before.revision + 1,
        missing: missingInProtocol(input.content),
        advice: adviceOnProtocol(input.content),
      },
      audit: [
        {
          action: "protocol.saveDraft",
          subject: subjectOf(before),
          ...changedValues(outline(draftContent.parse(before.content)), outline(input.content)),
        },
      ],
    };
  });
}

export function discardDraft(scope: ReadScope, input: z.output<typeof draftAtRevisionInput>) {
  return writeInStudy(scope, async (write) => {
    const draft = await lockDraft(write, input.protocolId, input.revision);
    await write.db.protocol.delete({ where: { id: draft.id } });
    return {
      result: null,
      audit: [
        {
          action: "protocol.discardDraft",
          subject: subjectOf(draft),
          before: filledValues(outline(draftContent.parse(draft.content))),
          after: { state: "discarded" },
        },
      ],
    };
  });
}

/** From here on this version never changes; the former one is retired. */
export function putProtocolInForce(scope: ReadScope, input: z.output<typeof draftAtRevisionInput>) {
  return writeInStudy(scope, async (write) => {
    const draft = await lockDraft(write, input.protocolId, input.revision);
    const missing = missingInProtocol(draftContent.parse(draft.content));
    if (missing.length > 0) {
      throw new AppError(
        "invalid",
        `The protocol cannot be put in force yet. ${missing.map((item) => item.message).join(" ")}`,
        { field: missing[0]?.path ?? "content", details: { missing } },
      );
    }
    const content = protocolContent.parse(draft.content);
    const { db, access, now } = write;
    const former = await db.protocol.findFirst({ where: { studyId: access.studyId, state: "in_force" } });
    if (former !== null) {
      await db.protocol.update({ where: { id: former.id }, data: { state: "retired", retiredAt: now } });
    }
    await db.protocol.update({
      where: { id: draft.id },
      data: { state: "in_force", inForceAt: now, revision: { increment: 1 } },
    });
    return {
      result: { protocolId: draft.id, version: draft.version },
      audit: [
        {
          action: "protocol.putInForce",
          subject: subjectOf(draft),
          before: { versionInForce: former?.version ?? null },
          after: { versionInForce: draft.version, ...filledValues(outline(content)) },
        },
      ],
    };
  });
}

const subjectOf = (row: { id: string; version: number }) => ({
  kind: "protocol",
  id: row.id,
  label: `protocol version ${row.version}`,
});

/** A content as the audit trail tells of it: all of it, flat. */
function outline(content: DraftContent): AuditValues {
  return {
    ...flatValues(content),
    phases: content.phases.map((phase) => `${phase.name} (${phase.kind}, ${phase.durationS ?? "?"} s)`),
    conditions: content.conditions.map(({ name, description }) =>
      description === "" ? name : `${name}: ${description}`,
    ),
    regions: content.regions.map((region) => `${region.regionId} ${region.statistic}`),
  };
}

async function findProtocol(scope: ReadScope, protocolId: string): Promise<Row> {
  const row = await scope.db.protocol.findFirst({ where: { id: protocolId, studyId: scope.access.studyId } });
  if (row === null) throw notFound("protocol");
  return row;
}

/** The draft as the screen saw it, held until the end of the transaction. */
async function lockDraft(scope: WriteScope, protocolId: string, revision: number): Promise<Row> {
  await scope.db.$queryRaw`select id from study where id = ${scope.access.studyId} for update`;
  const row = await findProtocol(scope, protocolId);
  if (row.state !== "draft") {
    throw new AppError(
      "wrong-state",
      `Version ${row.version} is no longer a draft and does not change any more. Start a new version to change something.`,
    );
  }
  if (row.revision !== revision) {
    throw changedMeanwhile("protocol", { revision: row.revision, content: draftContent.parse(row.content) });
  }
  return row;
}
