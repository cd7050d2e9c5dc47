import { type Actor, type ActorSession, requireRecentPassword } from "../access/service";
import { AppError } from "../app-error";
import type { Core } from "../core";
import { writeOutsideStudies } from "../scope";
import { waitInWords } from "../sign-in-throttle";

const sessionGone = () =>
  new AppError("not-found", "There is no such session of yours. It may have ended meanwhile.");

/** Where and since when somebody is signed in. The tokens stay here. */
export async function listSessions(core: Core, actor: Actor) {
  const rows = await core.database.prisma.session.findMany({
    where: { userId: actor.userId, expiresAt: { gt: core.now() } },
    orderBy: [{ updatedAt: "desc" }, { id: "asc" }],
  });
  return rows.map((row) => ({
    sessionId: row.id,
    isThis: row.id === actor.session?.id,
    since: row.createdAt.toISOString(),
    lastSeen: row.updatedAt.toISOString(),
    until: row.expiresAt.toISOString(),
    /** As the connection told it: a proxy or the sender may have put another there. */
    address: row.ipAddress === "" ? null : row.ipAddress,
    device: row.userAgent === "" ? null : row.userAgent,
  }));
}

/** Ended in the database: its cookie is worth nothing from the next request on. */
export async function endSession(core: Core, actor: Actor, sessionId: string): Promise<null> {
  requireRecentPassword(actor, core.now());
  return writeOutsideStudies(core, async (db) => {
    const { count } = await db.session.deleteMany({ where: { id: sessionId, userId: actor.userId } });
    if (count === 0) throw sessionGone();
    return {
      result: null,
      actor,
      studyId: null,
      audit: [
        {
          action: "session.end",
          subject: { kind: "account", id: actor.userId, label: actor.name },
          after: { sessions: "one ended" },
        },
      ],
    };
  });
}

export async function endOtherSessions(core: Core, actor: Actor): Promise<{ ended: number }> {
  requireRecentPassword(actor, core.now());
  return writeOutsideStudies(core, async (db) => {
    const { count } = await db.session.deleteMany({
      where: { userId: actor.userId, id: { not: ownSession(actor).id } },
    });
    return {
      result: { ended: count },
      actor,
      studyId: null,
      audit: [
        {
          action: "session.endOthers",
          subject: { kind: "account", id: actor.userId, label: actor.name },
          after: { sessions: `${count} others ended` },
        },
      ],
    };
  });
}

function ownSession(actor: Actor): ActorSession {
  if (actor.session === undefined) throw sessionGone();
  return actor.session;
}

/** The password of somebody who is signed in, given once more: the proof holds for this session alone. */
export async function provePassword(core: Core, actor: Actor, password: string): Promise<null> {
  const session = ownSession(actor);
  const throttled = { kind: "again", what: actor.userId } as const;
  const waitS = await core.throttle.begin(throttled);
  if (waitS !== null) throw new AppError("not-allowed", waitInWords(waitS), { field: "password" });
  const account = await core.database.prisma.account.findFirst({
    where: { userId: actor.userId, providerId: "credential" },
    select: { password: true },
  });
  const hash = account?.password ?? null;
  const { password: passwords } = await core.auth.$context;
  if (hash === null || !(await passwords.verify({ hash, password }))) {
    throw new AppError("invalid", "This is not your password. It is case-sensitive.", { field: "password" });
  }
  await core.throttle.succeed(throttled);
  return writeOutsideStudies(core, async (db, now) => {
    const { count } = await db.session.updateMany({
      where: { id: session.id, userId: actor.userId },
      data: { provedAt: now },
    });
    if (count === 0) throw sessionGone();
    return {
      result: null,
      actor,
      studyId: null,
      audit: [
        {
          action: "session.prove",
          subject: { kind: "account", id: actor.userId, label: actor.name },
        },
      ],
    };
  });
}

export function requireProof(core: Core, actor: Actor): null {
  requireRecentPassword(actor, core.now());
  return null;
}
