import { randomBytes } from "node:crypto";
import type { z } from "zod";
import { roleNames } from "../access/policy";
import { hashOfToken, invitationState } from "../account/policy";
import { AppError, notFound } from "../app-error";
import { newId } from "../identifiers";
import { type ReadScope, type WriteScope, writeInStudy } from "../scope";
import { invitationDays, leavesNoLead } from "./policy";
import type { changeRoleInput, inviteInput, removeMemberInput, revokeInvitationInput } from "./schema";

export async function listTeam(scope: ReadScope) {
  const [members, invitations] = await Promise.all([
    scope.db.membership.findMany({
      where: { studyId: scope.access.studyId },
      include: { user: { select: { name: true, email: true } } },
      orderBy: { createdAt: "asc" },
    }),
    scope.db.invitation.findMany({
      where: { studyId: scope.access.studyId },
      orderBy: { createdAt: "desc" },
    }),
  ]);
  return {
    members: members.map((member) => ({
      userId: member.userId,
      name: member.user.name,
      email: member.user.email,
      role: member.role,
      since: member.createdAt.toISOString(),
      isYou: member.userId === scope.access.actor.userId,
    })),
    invitations: invitations.map((invitation) => ({
      invitationId: invitation.id,
      email: invitation.email,
      role: invitation.role,
      state: invitationState(invitation, scope.now),
      expiresAt: invitation.expiresAt.toISOString(),
    })),
  };
}

/** The token is in the answer and nowhere else: only its hash is stored. */
export function inviteToTeam(scope: ReadScope, input: z.output<typeof inviteInput>) {
  return writeInStudy(scope, async ({ db, access, now }) => {
    const member = await db.membership.findFirst({
      where: { studyId: access.studyId, user: { email: input.email } },
    });
    if (member !== null) {
      throw new AppError(
        "exists",
        "This person is in the team already. Change the role in the list instead.",
        { field: "email" },
      );
    }
    const token = randomBytes(24).toString("base64url");
    const invitationId = newId();
    await db.invitation.create({
      data: {
        id: invitationId,
        studyId: access.studyId,
        email: input.email,
        role: input.role,
        tokenHash: hashOfToken(token),
        expiresAt: new Date(now.getTime() + invitationDays * 24 * 60 * 60 * 1000),
        createdAt: now,
        createdById: access.actor.userId,
      },
    });
    return {
      result: { invitationId, token },
      audit: [
        {
          action: "team.invite",
          subject: { kind: "invitation", id: invitationId, label: input.email },
          after: { role: roleNames[input.role], state: "open" },
        },
      ],
    };
  });
}

export function revokeInvitation(scope: ReadScope, input: z.output<typeof revokeInvitationInput>) {
  return writeInStudy(scope, async ({ db, access, now }) => {
    const invitation = await db.invitation.findFirst({
      where: { id: input.invitationId, studyId: access.studyId },
    });
    if (invitation === null) throw notFound("invitation");
    const state = invitationState(invitation, now);
    if (state !== "open") throw new AppError("wrong-state", `This invitation is ${state} already.`);
    await db.invitation.update({ where: { id: invitation.id }, data: { revokedAt: now } });
    return {
      result: null,
      audit: [
        {
          action: "team.revokeInvitation",
          subject: { kind: "invitation", id: invitation.id, label: invitation.email },
          before: { role: roleNames[invitation.role], state: "open" },
          after: { state: "revoked" },
        },
      ],
    };
  });
}

async function memberOf(scope: WriteScope, userId: string) {
  // The study's row is locked, so that two leads cannot remove each other at the same moment.
  await scope.db.$queryRaw`select id from study where id = ${scope.access.studyId} for update`;
  const members = await scope.db.membership.findMany({
    where: { studyId: scope.access.studyId },
    include: { user: { select: { name: true } } },
  });
  const member = members.find((candidate) => candidate.userId === userId);
  if (member === undefined) throw notFound("member of the team");
  return { members, member };
}

const needsLead = () =>
  new AppError(
    "wrong-state",
    "A study keeps at least one lead investigator. Make somebody else lead investigator first.",
  );

export function changeRole(scope: ReadScope, input: z.output<typeof changeRoleInput>) {
  return writeInStudy(scope, async (write) => {
    const { members, member } = await memberOf(write, input.userId);
    if (leavesNoLead(members, input.userId, input.role)) throw needsLead();
    await write.db.membership.update({
      where: { studyId_userId: { studyId: write.access.studyId, userId: input.userId } },
      data: { role: input.role },
    });
    return {
      result: null,
      audit: [
        {
          action: "team.changeRole",
          subject: { kind: "member", id: input.userId, label: member.user.name },
          before: { role: roleNames[member.role] },
          after: { role: roleNames[input.role] },
        },
      ],
    };
  });
}

export function removeMember(scope: ReadScope, input: z.output<typeof removeMemberInput>) {
  return writeInStudy(scope, async (write) => {
    const { members, member } = await memberOf(write, input.userId);
    if (leavesNoLead(members, input.userId, null)) throw needsLead();
    await write.db.membership.delete({
      where: { studyId_userId: { studyId: write.access.studyId, userId: input.userId } },
    });
    return {
      result: null,
      audit: [
        {
          action: "team.remove",
          subject: { kind: "member", id: input.userId, label: member.user.name },
          before: { role: roleNames[member.role] },
          after: { role: null },
        },
      ],
    };
  });
}
