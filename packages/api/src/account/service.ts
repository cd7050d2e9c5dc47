import { Prisma } from "@acral/db";
import type { z } from "zod";
import { roleNames } from "../access/policy";
import type { Actor } from "../access/service";
import { AppError } from "../app-error";
import type { Core } from "../core";
import { newId } from "../identifiers";
import { type Transaction, writeOutsideStudies } from "../scope";
import {
  hashOfCode,
  hashOfToken,
  invitationState,
  newFirstAccountCode,
  passwordComplaint,
  sameHash,
} from "./policy";
import type { acceptInvitationInput, createFirstAccountInput } from "./schema";

/** Whether the first account can still be created: only while no account exists. */
export async function firstAccountIsOpen(core: Core): Promise<boolean> {
  return (await core.database.prisma.user.count({ take: 1 })) === 0;
}

/** Makes a new one-time code and forgets the one before; null when an account exists. */
export async function renewFirstAccountCode(core: Pick<Core, "database">): Promise<string | null> {
  const { prisma } = core.database;
  if ((await prisma.user.count({ take: 1 })) > 0) return null;
  const code = newFirstAccountCode();
  const codeHash = hashOfCode(code);
  await prisma.firstAccountCode.upsert({
    where: { id: 1 },
    create: { id: 1, codeHash },
    update: { codeHash, createdAt: new Date() },
  });
  return code;
}

async function createAccount(
  core: Core,
  db: Transaction,
  person: { name: string; email: string; password: string },
  now: Date,
): Promise<Actor> {
  const context = await core.auth.$context;
  const userId = newId();
  await db.user.create({
    data: { id: userId, name: person.name, email: person.email, createdAt: now, updatedAt: now },
  });
  await db.account.create({
    data: {
      id: newId(),
      accountId: userId,
      providerId: "credential",
      userId,
      password: await context.password.hash(person.password),
      createdAt: now,
      updatedAt: now,
    },
  });
  return { userId, name: person.name, email: person.email };
}

function refuseEasyPassword(password: string, context: readonly string[]): void {
  const complaint = passwordComplaint(password, context);
  if (complaint !== null) throw new AppError("invalid", complaint, { field: "password" });
}

export async function createFirstAccount(core: Core, input: z.infer<typeof createFirstAccountInput>) {
  return writeOutsideStudies(core, async (db, now) => {
    // The row is locked, so that two visitors at once do not both become the first.
    const rows = await db.$queryRaw<{ code_hash: string }[]>(
      Prisma.sql`select code_hash from first_account_code where id = 1 for update`,
    );
    if ((await db.user.count({ take: 1 })) > 0) {
      throw new AppError(
        "wrong-state",
        "An account exists already. Sign in, or ask a lead investigator to invite you.",
      );
    }
    const row = rows[0];
    if (row === undefined || !sameHash(row.code_hash, hashOfCode(input.code))) {
      throw new AppError(
        "invalid",
        "This is not the code that the terminal printed at its last start. Copy it again; each start of the server prints a new one.",
        { field: "code" },
      );
    }
    refuseEasyPassword(input.password, [input.name, input.email]);
    const actor = await createAccount(core, db, input, now);
    await db.firstAccountCode.delete({ where: { id: 1 } });
    return {
      result: { userId: actor.userId },
      actor,
      studyId: null,
      audit: [
        {
          action: "account.createFirst",
          subject: { kind: "account", id: actor.userId, label: actor.name },
          after: { name: actor.name, email: actor.email },
        },
      ],
    };
  });
}

/** What somebody with the link may see before accepting. */
export async function readInvitation(core: Core, token: string) {
  const invitation = await core.database.prisma.invitation.findUnique({
    where: { tokenHash: hashOfToken(token) },
    include: { study: { select: { title: true } } },
  });
  if (invitation === null) {
    throw new AppError(
      "not-found",
      "This invitation link is not known. Check that it was copied whole, or ask for a new one.",
    );
  }
  const known = await core.database.prisma.user.findUnique({
    where: { email: invitation.email },
    select: { id: true },
  });
  return {
    state: invitationState(invitation, core.now()),
    studyTitle: invitation.study.title,
    email: invitation.email,
    role: invitation.role,
    hasAccount: known !== null,
  };
}

export async function acceptInvitation(
  core: Core,
  input: z.infer<typeof acceptInvitationInput> | { token: string; actor: Actor },
) {
  return writeOutsideStudies(core, async (db, now) => {
    const rows = await db.$queryRaw<{ id: string }[]>(
      Prisma.sql`select id from invitation where token_hash = ${hashOfToken(input.token)} for update`,
    );
    const id = rows[0]?.id;
    const invitation = id === undefined ? null : await db.invitation.findUnique({ where: { id } });
    if (invitation === null) {
      throw new AppError(
        "not-found",
        "This invitation link is not known. Check that it was copied whole, or ask for a new one.",
      );
    }
    const state = invitationState(invitation, now);
    if (state !== "open") {
      throw new AppError(
        "wrong-state",
        `This invitation is ${state}. Ask a lead investigator of the study for a new one.`,
      );
    }
    const existing = await db.user.findUnique({ where: { email: invitation.email } });
    let actor: Actor;
    if ("actor" in input) {
      if (input.actor.email !== invitation.email) {
        throw new AppError(
          "not-allowed",
          "This invitation is for another e-mail address. Sign out and open the link again.",
        );
      }
      actor = input.actor;
    } else if (existing !== null) {
      throw new AppError(
        "exists",
        "There is an account with this e-mail address already. Sign in with it and open the link again.",
      );
    } else {
      const study = await db.study.findUnique({
        where: { id: invitation.studyId },
        select: { title: true },
      });
      refuseEasyPassword(input.password, [input.name, invitation.email, study?.title ?? ""]);
      actor = await createAccount(core, db, { ...input, email: invitation.email }, now);
    }
    const place = { studyId: invitation.studyId, userId: actor.userId };
    const member = await db.membership.findUnique({ where: { studyId_userId: place } });
    if (member !== null) {
      // An older link never changes a role: it could take the last lead investigator away.
      throw new AppError(
        "exists",
        `You are in this study already, as ${roleNames[member.role]}. A lead investigator can change your role on the Team screen.`,
      );
    }
    await db.membership.create({ data: { ...place, role: invitation.role } });
    await db.invitation.update({ where: { id: invitation.id }, data: { acceptedAt: now } });
    return {
      result: { studyId: invitation.studyId, email: invitation.email },
      actor,
      studyId: invitation.studyId,
      audit: [
        {
          action: "account.acceptInvitation",
          subject: { kind: "member", id: actor.userId, label: actor.name },
          before: { role: null },
          after: { role: roleNames[invitation.role], email: invitation.email },
        },
      ],
    };
  });
}
