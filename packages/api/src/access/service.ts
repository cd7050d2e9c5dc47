import type { PrismaClient, Role } from "@acral/db";
import { AppError, notFound } from "../app-error";
import type { StudyId } from "../identifiers";
import { asksForPasswordAgain, mayDo, proofMinutes, roleNames, type StudyAction } from "./policy";

/** The signed-in person. */
export interface Actor {
  readonly userId: string;
  readonly name: string;
  readonly email: string;
  /** The session that the request came by; absent where there is none. */
  readonly session?: ActorSession;
}

export interface ActorSession {
  readonly id: string;
  /** When it last gave the password: at its beginning, or later again. */
  readonly provedAt: Date;
}

/**
 * Refuses an actor whose session gave the password too long ago. Without a session there is no proof.
 *
 * @throws AppError `password-again`
 */
export function requireRecentPassword(actor: Actor, now: Date): void {
  const oldest = now.getTime() - proofMinutes * 60_000;
  if (actor.session !== undefined && actor.session.provedAt.getTime() >= oldest) return;
  throw new AppError(
    "password-again",
    `This asks for your password again, since it was last given more than ${proofMinutes} minutes ago. Nothing was done yet.`,
  );
}

/** Proof that a person may do an action in a study; made here and nowhere else. */
export interface StudyAccess {
  readonly studyId: StudyId;
  readonly actor: Actor;
  /** What counts: an observer's for a lead investigator whose second factor is missing where the study asks for it. */
  readonly role: Role;
  /** Whether that is so. */
  readonly leadWithoutSecondFactor: boolean;
}

const leadNeedsSecondFactor = (action: StudyAction) =>
  new AppError(
    "not-allowed",
    "This study asks its lead investigators for a second factor when they sign in. Until you set one up on the page “Your account”, you can look at the study as an observer can.",
    { details: { action, why: "second factor" } },
  );

/**
 * The role is read from the database at every call, so that a change of the team is in force at once. A study in which
 * the person has no role answers exactly like one that does not exist.
 */
export async function enterStudy(
  prisma: PrismaClient,
  actor: Actor,
  studyId: string,
  action: StudyAction,
  now: Date,
): Promise<StudyAccess> {
  const membership = await prisma.membership.findUnique({
    where: { studyId_userId: { studyId, userId: actor.userId } },
    select: {
      role: true,
      study: { select: { leadsNeedSecondFactor: true } },
      user: { select: { secondFactor: { select: { confirmedAt: true } } } },
    },
  });
  if (membership === null) throw notFound("study or record");
  const leadWithoutSecondFactor =
    membership.role === "lead_investigator" &&
    membership.study.leadsNeedSecondFactor &&
    (membership.user.secondFactor?.confirmedAt ?? null) === null;
  const role = leadWithoutSecondFactor ? "observer" : membership.role;
  if (!mayDo(role, action)) {
    if (leadWithoutSecondFactor) throw leadNeedsSecondFactor(action);
    throw new AppError(
      "not-allowed",
      `As ${roleNames[membership.role]} you cannot do this. A lead investigator of the study can, or can change your role on the Team screen.`,
      { details: { action } },
    );
  }
  if (asksForPasswordAgain(action)) requireRecentPassword(actor, now);
  return { studyId: studyId as StudyId, actor, role, leadWithoutSecondFactor };
}
