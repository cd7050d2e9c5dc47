import { setTimeout as later } from "node:timers/promises";
import type { LinkPurpose } from "@acral/db";
import type { z } from "zod";
import { AppError, notFound } from "../app-error";
import { writeAuditEntries } from "../audit/service";
import type { Core } from "../core";
import { newId, type StudyId } from "../identifiers";
import { requireNotErased } from "../identity/service";
import { type ReadScope, type Transaction, type Written, writeInStudy } from "../scope";
import {
  hashOfLinkToken,
  type LinkAttempts,
  linkAttempts,
  linkLifetimeMs,
  linkState,
  newLinkToken,
  purposeNames,
} from "./policy";
import type { linksInput, makeLinkInput, revokeLinkInput } from "./schema";

/** What a link opens: one volunteer in one study, for one purpose. There is no account behind it. */
export interface LinkScope {
  readonly db: ReadScope["db"];
  readonly core: Core;
  readonly now: Date;
  readonly access: { readonly studyId: StudyId };
  readonly volunteer: { readonly id: string; readonly code: string };
  readonly link: {
    readonly id: string;
    readonly purpose: LinkPurpose;
    readonly here: boolean;
    readonly createdById: string;
    readonly createdByName: string;
  };
}

/** The same within a transaction. */
export interface LinkWriteScope extends LinkScope {
  readonly db: Transaction;
}

/** One answer for a link that is unknown, mistyped, expired, used up, revoked or meant for something else. */
const cannotBeUsed = () =>
  new AppError(
    "not-found",
    "This link cannot be used. It may be mistyped, used already, too old or taken back. Ask the people who gave it to you for a new one.",
  );

const attempts = new WeakMap<Core, LinkAttempts>();

function attemptsOf(core: Core): LinkAttempts {
  const known = attempts.get(core) ?? linkAttempts(() => core.now().getTime());
  attempts.set(core, known);
  return known;
}

/**
 * The one way by which a link opens anything. The token is looked up by its hash with one query in every case, and whatever
 * cannot be used gets one and the same answer. Opening alone uses nothing up.
 *
 * @param sender the address of the request, as far as it is known
 * @throws AppError "not-found" for a link that cannot be used, "not-allowed" when the sender tried too many of those
 */
export async function openLink(
  core: Core,
  token: string,
  purpose: LinkPurpose,
  sender: string,
): Promise<LinkScope> {
  const tried = attemptsOf(core);
  if (tried.refuses(sender)) {
    throw new AppError(
      "not-allowed",
      "Too many links that cannot be used were tried from here. Wait a quarter of an hour, then open yours again.",
    );
  }
  const now = core.now();
  const row = await core.database.prisma.volunteerLink.findUnique({
    where: { tokenHash: hashOfLinkToken(token) },
    include: { volunteer: { select: { code: true, erasedAt: true } } },
  });
  if (
    row === null ||
    row.purpose !== purpose ||
    linkState(row, now) !== "open" ||
    row.volunteer.erasedAt !== null
  ) {
    const holdMs = tried.failed(sender);
    if (holdMs > 0) await later(holdMs);
    throw cannotBeUsed();
  }
  return {
    db: core.database.prisma,
    core,
    now,
    // The link is the proof of access: it was made by somebody who has a role in the study.
    access: { studyId: row.studyId as StudyId },
    volunteer: { id: row.volunteerId, code: row.volunteer.code },
    link: {
      id: row.id,
      purpose: row.purpose,
      here: row.here,
      createdById: row.createdById,
      createdByName: row.createdByName,
    },
  };
}

/**
 * The work and its audit entries in one transaction, with the volunteer as the one who did it. The volunteer and then the
 * link are held: a link that was used, revoked or outlived since it was opened does nothing any more.
 *
 * @param hold what has to be held before the volunteer, in the order of everybody else: study, trials, volunteer
 */
export async function writeByLink<T>(
  scope: LinkScope,
  work: (write: LinkWriteScope) => Promise<Written<T>>,
  hold: (write: LinkWriteScope) => Promise<unknown> = async () => undefined,
): Promise<T> {
  const { core, access, volunteer, link, now } = scope;
  return core.database.prisma.$transaction(async (db) => {
    await hold({ ...scope, db });
    await db.$queryRaw`select id from volunteer where id = ${volunteer.id} for update`;
    await db.$queryRaw`select id from volunteer_link where id = ${link.id} for update`;
    const row = await db.volunteerLink.findUnique({
      where: { id: link.id },
      select: { usedAt: true, revokedAt: true, expiresAt: true },
    });
    if (row === null || linkState(row, now) !== "open") throw cannotBeUsed();
    const written = await work({ ...scope, db });
    await writeAuditEntries(
      db,
      { studyId: access.studyId, actor: null, actorName: `volunteer ${volunteer.code}, by link`, at: now },
      written.audit,
    );
    return written.result;
  });
}

/** Makes a link within a transaction. The token is in the answer and nowhere else: only its hash is stored. */
export async function storeLink(
  db: Transaction,
  link: {
    readonly studyId: string;
    readonly volunteerId: string;
    readonly purpose: LinkPurpose;
    readonly here: boolean;
    readonly by: { readonly userId: string; readonly name: string };
    readonly now: Date;
  },
) {
  const token = newLinkToken();
  const linkId = newId();
  const expiresAt = new Date(link.now.getTime() + linkLifetimeMs(link.purpose, link.here));
  await db.volunteerLink.create({
    data: {
      id: linkId,
      studyId: link.studyId,
      volunteerId: link.volunteerId,
      purpose: link.purpose,
      here: link.here,
      tokenHash: hashOfLinkToken(token),
      expiresAt,
      createdAt: link.now,
      createdById: link.by.userId,
      createdByName: link.by.name,
    },
  });
  return { linkId, token, expiresAt };
}

export function makeLink(scope: ReadScope, input: z.output<typeof makeLinkInput>) {
  return writeInStudy(scope, async ({ db, access, now }) => {
    const volunteer = await db.volunteer.findFirst({
      where: { id: input.volunteerId, studyId: access.studyId },
      select: { id: true, code: true, erasedAt: true },
    });
    if (volunteer === null) throw notFound("volunteer");
    requireNotErased(volunteer);
    if (input.purpose === "sign") {
      const inForce = await db.consentForm.count({ where: { studyId: access.studyId, state: "in_force" } });
      if (inForce === 0) {
        throw new AppError(
          "wrong-state",
          "No consent form is in force, so there is nothing to sign. Put one in force first.",
        );
      }
    }
    if (input.purpose === "invitation") {
      const written = await db.invitationText.count({ where: { studyId: access.studyId } });
      if (written === 0) {
        throw new AppError(
          "wrong-state",
          "The study's invitation is not written yet, so there is nothing to read. The lead investigator writes it on the Volunteers screen.",
        );
      }
    }
    const { linkId, token, expiresAt } = await storeLink(db, {
      studyId: access.studyId,
      volunteerId: volunteer.id,
      purpose: input.purpose,
      here: input.purpose === "sign" && input.here,
      by: access.actor,
      now,
    });
    return {
      result: { linkId, token, expiresAt: expiresAt.toISOString() },
      audit: [
        {
          action: "volunteerLink.make",
          subject: { kind: "volunteer", id: volunteer.id, label: volunteer.code },
          after: {
            link: purposeNames[input.purpose],
            device: input.here ? "of the team, handed over" : "the volunteer's own",
            expiresAt: expiresAt.toISOString(),
          },
        },
      ],
    };
  });
}

export async function listLinks(scope: ReadScope, input: z.output<typeof linksInput>) {
  const { studyId } = scope.access;
  const volunteer = await scope.db.volunteer.findFirst({ where: { id: input.volunteerId, studyId } });
  if (volunteer === null) throw notFound("volunteer");
  const rows = await scope.db.volunteerLink.findMany({
    where: { studyId, volunteerId: volunteer.id },
    orderBy: { createdAt: "desc" },
  });
  return rows.map((row) => ({
    linkId: row.id,
    purpose: row.purpose,
    here: row.here,
    state: linkState(row, scope.now),
    createdAt: row.createdAt.toISOString(),
    createdByName: row.createdByName,
    expiresAt: row.expiresAt.toISOString(),
    usedAt: row.usedAt?.toISOString() ?? null,
  }));
}

export function revokeLink(scope: ReadScope, input: z.output<typeof revokeLinkInput>) {
  return writeInStudy(scope, async ({ db, access, now }) => {
    await db.$queryRaw`select id from volunteer_link where id = ${input.linkId} and study_id = ${access.studyId} for update`;
    const row = await db.volunteerLink.findFirst({
      where: { id: input.linkId, studyId: access.studyId },
      include: { volunteer: { select: { code: true } } },
    });
    if (row === null) throw notFound("link");
    const state = linkState(row, now);
    if (state !== "open") throw new AppError("wrong-state", `This link is ${state} already.`);
    await db.volunteerLink.update({ where: { id: row.id }, data: { revokedAt: now } });
    return {
      result: null,
      audit: [
        {
          action: "volunteerLink.revoke",
          subject: { kind: "volunteer", id: row.volunteerId, label: row.volunteer.code },
          before: { link: purposeNames[row.purpose], state },
          after: { state: "revoked" },
        },
      ],
    };
  });
}
