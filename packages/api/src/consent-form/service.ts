import { createHash } from "node:crypto";
import type { Prisma } from "@acral/db";
import type { z } from "zod";
import { AppError, notFound } from "../app-error";
import { changedLines, changedValues } from "../audit/policy";
import type { AuditValues } from "../audit/schema";
import { newId } from "../identifiers";
import { changedMeanwhile } from "../revision";
import { type ReadScope, type WriteScope, writeInStudy } from "../scope";
import { defaultPermissions, missingInForm, textTemplate } from "./policy";
import { type formAtRevisionInput, type Permission, permissions, type saveFormInput } from "./schema";

type Row = Prisma.ConsentFormGetPayload<object>;

/** The permissions of a stored form. */
export function permissionsOfForm(row: { permissions: unknown }): Permission[] {
  return permissions.parse(row.permissions);
}

const summaryOf = (row: Row) => ({
  formId: row.id,
  version: row.version,
  state: row.state,
  title: row.title,
  revision: row.revision,
  createdAt: row.createdAt.toISOString(),
  inForceAt: row.inForceAt?.toISOString() ?? null,
  retiredAt: row.retiredAt?.toISOString() ?? null,
});

/** All versions, the newest first, with how many consent records each has. */
export async function listForms(scope: ReadScope) {
  const rows = await scope.db.consentForm.findMany({
    where: { studyId: scope.access.studyId },
    orderBy: { version: "desc" },
    include: { _count: { select: { records: true } } },
  });
  return rows.map((row) => ({ ...summaryOf(row), consentRecords: row._count.records }));
}

export async function getForm(scope: ReadScope, formId: string) {
  const row = await findForm(scope, formId);
  const content = { title: row.title, text: row.text, permissions: permissionsOfForm(row) };
  return { ...summaryOf(row), ...content, missing: missingInForm(content) };
}

/** A draft copied from the newest version, or from the template. There is at most one draft. */
export function startForm(scope: ReadScope) {
  return writeInStudy(scope, async ({ db, access, now }) => {
    await db.$queryRaw`select id from study where id = ${access.studyId} for update`;
    const newest = await db.consentForm.findFirst({
      where: { studyId: access.studyId },
      orderBy: { version: "desc" },
    });
    if (newest?.state === "draft") {
      throw new AppError(
        "exists",
        `Version ${newest.version} is a draft already. Go on with it, or discard it first.`,
        {
          details: { formId: newest.id },
        },
      );
    }
    const study = await db.study.findUniqueOrThrow({
      where: { id: access.studyId },
      select: { title: true },
    });
    const formId = newId();
    const version = (newest?.version ?? 0) + 1;
    const content = {
      title: newest?.title ?? `Taking part in: ${study.title}`,
      text: newest?.text ?? textTemplate,
      permissions: newest === null ? [...defaultPermissions] : permissionsOfForm(newest),
    };
    await db.consentForm.create({
      data: { id: formId, studyId: access.studyId, version, ...content, createdAt: now },
    });
    return {
      result: { formId, version, revision: 1 },
      audit: [
        {
          action: "consent.startForm",
          subject: subjectOf({ id: formId, version }),
          after: { copiedFromVersion: newest?.version ?? null, ...outline(content) },
        },
      ],
    };
  });
}

export function saveForm(scope: ReadScope, input: z.output<typeof saveFormInput>) {
  return writeInStudy(scope, async (write) => {
    const before = await lockDraft(write, input.formId, input.revision);
    const { title, text } = input;
    await write.db.consentForm.update({
      where: { id: before.id },
      data: { title, text, permissions: input.permissions, revision: { increment: 1 } },
    });
    return {
      result: { revision: before.revision + 1, missing: missingInForm(input) },
      audit: [
        {
          action: "consent.saveForm",
          subject: subjectOf(before),
          ...changesOf({ ...before, permissions: permissionsOfForm(before) }, input),
        },
      ],
    };
  });
}

export function discardForm(scope: ReadScope, input: z.output<typeof formAtRevisionInput>) {
  return writeInStudy(scope, async (write) => {
    const draft = await lockDraft(write, input.formId, input.revision);
    await write.db.consentForm.delete({ where: { id: draft.id } });
    return {
      result: null,
      audit: [
        {
          action: "consent.discardForm",
          subject: subjectOf(draft),
          before: outline({ ...draft, permissions: permissionsOfForm(draft) }),
          after: { state: "discarded" },
        },
      ],
    };
  });
}

/** From here on this text never changes: people sign exactly this. The former one is retired. */
export function putFormInForce(scope: ReadScope, input: z.output<typeof formAtRevisionInput>) {
  return writeInStudy(scope, async (write) => {
    const draft = await lockDraft(write, input.formId, input.revision);
    const content = { title: draft.title, text: draft.text, permissions: permissionsOfForm(draft) };
    const missing = missingInForm(content);
    if (missing.length > 0) {
      throw new AppError(
        "invalid",
        `The consent form cannot be put in force yet. ${missing.map((item) => item.message).join(" ")}`,
        { field: missing[0]?.field ?? "text", details: { missing } },
      );
    }
    const { db, access, now } = write;
    const former = await db.consentForm.findFirst({ where: { studyId: access.studyId, state: "in_force" } });
    if (former !== null) {
      await db.consentForm.update({ where: { id: former.id }, data: { state: "retired", retiredAt: now } });
    }
    await db.consentForm.update({
      where: { id: draft.id },
      data: { state: "in_force", inForceAt: now, revision: { increment: 1 } },
    });
    return {
      result: { formId: draft.id, version: draft.version },
      audit: [
        {
          action: "consent.putFormInForce",
          subject: subjectOf(draft),
          before: { versionInForce: former?.version ?? null },
          after: { versionInForce: draft.version, ...outline(content) },
        },
      ],
    };
  });
}

const subjectOf = (row: { id: string; version: number }) => ({
  kind: "consent form",
  id: row.id,
  label: `consent form version ${row.version}`,
});

interface FormContent {
  readonly title: string;
  readonly text: string;
  readonly permissions: readonly Permission[];
}

/** What the audit trail tells of a form; the version itself holds the text. */
const outline = ({ title, text, permissions }: FormContent): AuditValues => ({
  title,
  textLength: text.length,
  textSha256: createHash("sha256").update(text, "utf8").digest("hex"),
  permissions: permissions.map(
    ({ key, label, required }) => `${key}: ${label}${required ? " (required)" : ""}`,
  ),
});

/** What a saved draft changed, of the text the lines. */
function changesOf(before: FormContent, after: FormContent) {
  const changed = changedValues(outline(before), outline(after));
  if (before.text === after.text) return changed;
  const lines = changedLines(before.text, after.text);
  return {
    before: { ...changed.before, textLines: lines.before },
    after: { ...changed.after, textLines: lines.after },
  };
}

async function findForm(scope: ReadScope, formId: string): Promise<Row> {
  const row = await scope.db.consentForm.findFirst({ where: { id: formId, studyId: scope.access.studyId } });
  if (row === null) throw notFound("consent form");
  return row;
}

async function lockDraft(scope: WriteScope, formId: string, revision: number): Promise<Row> {
  await scope.db.$queryRaw`select id from study where id = ${scope.access.studyId} for update`;
  const row = await findForm(scope, formId);
  if (row.state !== "draft") {
    throw new AppError(
      "wrong-state",
      `Version ${row.version} is no longer a draft and does not change any more. Start a new version to change something.`,
    );
  }
  if (row.revision !== revision) {
    const { title, text } = row;
    throw changedMeanwhile("consent form", {
      revision: row.revision,
      title,
      text,
      permissions: permissionsOfForm(row),
    });
  }
  return row;
}
