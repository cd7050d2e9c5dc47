import type { PrismaClient, Role } from "@acral/db";
import { AppError, notFound } from "../app-error";
import type { StudyId } from "../identifiers";
import { mayDo, roleNames, type StudyAction } from "./policy";

/** The signed-in person. */
export interface Actor {
  readonly userId: string;
  readonly name: string;
  readonly email: string;
}

/** Proof that a person may do an action in a study; made here and nowhere else. */
export interface StudyAccess {
  readonly studyId: StudyId;
  readonly actor: Actor;
  readonly role: Role;
}

/**
 * The role is read from the database at every call, so that a change of the team is in force at once. A study in which
 * the person has no role answers exactly like one that does not exist.
 */
export async function enterStudy(
  prisma: PrismaClient,
  actor: Actor,
  studyId: string,
  action: StudyAction,
): Promise<StudyAccess> {
  const membership = await prisma.membership.findUnique({
    where: { studyId_userId: { studyId, userId: actor.userId } },
    select: { role: true },
  });
  if (membership === null) throw notFound("study or record");
  if (!mayDo(membership.role, action)) {
    throw new AppError(
      "not-allowed",
      `As ${roleNames[membership.role]} you cannot do this. A lead investigator of the study can, or can change your role on the Team screen.`,
      { details: { action } },
    );
  }
  return { studyId: studyId as StudyId, actor, role: membership.role };
}
