import type { Prisma } from "@acral/db";
import type { z } from "zod";
import { AppError, notFound } from "../app-error";
import { changedValues } from "../audit/policy";
import type { AuditValues } from "../audit/schema";
import { newId } from "../identifiers";
import { changedMeanwhile } from "../revision";
import { type ReadScope, type WriteScope, writeInStudy } from "../scope";
import { firstContent, missingInSet } from "./policy";
import {
  type ScreeningContent,
  type saveSetInput,
  screeningContent,
  type setAtRevisionInput,
} from "./schema";

type Row = Prisma.ScreeningSetGetPayload<object>;

/** The content of a stored set. */
export function contentOfSet(row: { readonly content: unknown }): ScreeningContent {
  return screeningContent.parse(row.content);
}

/** What the study asks now; null before it has put anything in force. */
export async function setInForce({
  db,
  access,
}: Pick<ReadScope, "db"> & { readonly access: { readonly studyId: string } }) {
  const row = await db.screeningSet.findFirst({ where: { studyId: access.studyId, state: "in_force" } });
  return row === null ? null : { setId: row.id, version: row.version, content: contentOfSet(row) };
}

/** All versions, the newest first. There are few, and each is short. */
export async function listSets(scope: ReadScope) {
  const rows = await scope.db.screeningSet.findMany({
    where: { studyId: scope.access.studyId },
    orderBy: { version: "desc" },
  });
  return rows.map((row) => ({
    setId: row.id,
    version: row.version,
    state: row.state,
    revision: row.revision,
    createdAt: row.createdAt.toISOString(),
    inForceAt: row.inForceAt?.toISOString() ?? null,
    retiredAt: row.retiredAt?.toISOString() ?? null,
    content: contentOfSet(row),
  }));
}

/** A draft copied from the newest version, or from the proposal. There is at most one draft. */
export function startSet(scope: ReadScope) {
  return writeInStudy(scope, async ({ db, access, now }) => {
    await db.$queryRaw`select id from study where id = ${access.studyId} for update`;
    const newest = await db.screeningSet.findFirst({
      where: { studyId: access.studyId },
      orderBy: { version: "desc" },
    });
    if (newest?.state === "draft") {
      throw new AppError(
        "exists",
        `Version ${newest.version} is a draft already. Go on with it, or discard it first.`,
        { details: { setId: newest.id } },
      );
    }
    const setId = newId();
    const version = (newest?.version ?? 0) + 1;
    const content = newest === null ? firstContent : contentOfSet(newest);
    await db.screeningSet.create({
      data: { id: setId, studyId: access.studyId, version, content, createdAt: now },
    });
    return {
      result: { setId, version, revision: 1 },
      audit: [
        {
          action: "screening.startSet",
          subject: subjectOf({ id: setId, version }),
          after: { copiedFromVersion: newest?.version ?? null, ...outline(content) },
        },
      ],
    };
  });
}

export function saveSet(scope: ReadScope, input: z.output<typeof saveSetInput>) {
  return writeInStudy(scope, async (write) => {
    const before = await lockDraft(write, input.setId, input.revision);
    await write.db.screeningSet.update({
      where: { id: before.id },
      data: { content: input.content, revision: { increment: 1 } },
    });
    return {
      result: { revision: before.revision + 1 },
      audit: [
        {
          action: "screening.saveSet",
          subject: subjectOf(before),
          ...changedValues(outline(contentOfSet(before)), outline(input.content)),
        },
      ],
    };
  });
}

export function discardSet(scope: ReadScope, input: z.output<typeof setAtRevisionInput>) {
  return writeInStudy(scope, async (write) => {
    const draft = await lockDraft(write, input.setId, input.revision);
    await write.db.screeningSet.delete({ where: { id: draft.id } });
    return {
      result: null,
      audit: [
        {
          action: "screening.discardSet",
          subject: subjectOf(draft),
          before: outline(contentOfSet(draft)),
          after: { state: "discarded" },
        },
      ],
    };
  });
}

/** From here on nobody begins a trial without having answered exactly this; the former version is retired. */
export function putSetInForce(scope: ReadScope, input: z.output<typeof setAtRevisionInput>) {
  return writeInStudy(scope, async (write) => {
    const draft = await lockDraft(write, input.setId, input.revision);
    const content = contentOfSet(draft);
    const [missing] = missingInSet(content);
    if (missing !== undefined) {
      throw new AppError("invalid", `The screening cannot be put in force yet. ${missing}`, {
        field: "content",
      });
    }
    const { db, access, now } = write;
    const former = await db.screeningSet.findFirst({ where: { studyId: access.studyId, state: "in_force" } });
    if (former !== null) {
      await db.screeningSet.update({ where: { id: former.id }, data: { state: "retired", retiredAt: now } });
    }
    await db.screeningSet.update({
      where: { id: draft.id },
      data: { state: "in_force", inForceAt: now, revision: { increment: 1 } },
    });
    return {
      result: { setId: draft.id, version: draft.version },
      audit: [
        {
          action: "screening.putSetInForce",
          subject: subjectOf(draft),
          before: { versionInForce: former?.version ?? null },
          after: { versionInForce: draft.version, ...outline(content) },
        },
      ],
    };
  });
}

const subjectOf = (row: { readonly id: string; readonly version: number }) => ({
  kind: "screening",
  id: row.id,
  label: `screening version ${row.version}`,
});

const outline = ({ limits, rules, questions }: ScreeningContent): AuditValues => ({
  ...limits,
  rules: rules.map(({ kind, text }) => `${kind}: ${text}`),
  questions: questions.map(
    ({ text, needsClearance }) => `${text} (${needsClearance ? "clearance" : "caution"})`,
  ),
});

async function lockDraft(scope: WriteScope, setId: string, revision: number): Promise<Row> {
  const { studyId } = scope.access;
  await scope.db.$queryRaw`select id from study where id = ${studyId} for update`;
  const row = await scope.db.screeningSet.findFirst({ where: { id: setId, studyId } });
  if (row === null) throw notFound("screening");
  if (row.state !== "draft") {
    throw new AppError(
      "wrong-state",
      `Version ${row.version} is no longer a draft and does not change any more. Start a new version to change something.`,
    );
  }
  if (row.revision !== revision) {
    throw changedMeanwhile("screening", { revision: row.revision, content: contentOfSet(row) });
  }
  return row;
}
