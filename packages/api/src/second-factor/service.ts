import { type Database, openSecret, type SecondFactorKey, sealSecret } from "@acral/db";
import { type Actor, requireRecentPassword } from "../access/service";
import { AppError } from "../app-error";
import type { Core } from "../core";
import { type Transaction, writeOutsideStudies } from "../scope";
import { type SignInThrottle, waitInWords } from "../sign-in-throttle";
import {
  authenticatorAddress,
  base32,
  hashOfRecoveryCode,
  newRecoveryCodes,
  newSecret,
  readTypedCode,
  stepOfCode,
} from "./policy";

/** What checking a code stands on; signing in has this much before there is a core. */
export interface SecondFactorGround {
  readonly database: Database;
  readonly now: () => Date;
  readonly throttle: SignInThrottle;
  readonly secondFactorKey: SecondFactorKey;
}

const subjectOf = (actor: Actor) => ({ kind: "account", id: actor.userId, label: actor.name });

const wrongCode = () =>
  new AppError(
    "invalid",
    "This code is not right, or was used already. Take the one that the authenticator shows now, or a recovery code that is not crossed out; each works once.",
    { field: "code" },
  );

/** While it is set up there are no recovery codes yet, and what mostly goes wrong is a clock. */
const wrongFirstCode = () =>
  new AppError(
    "invalid",
    "This code is not right. Take the six digits that the authenticator shows now; if they are refused again, set the clock of the device that it runs on.",
    { field: "code" },
  );

const noneInForce = () => new AppError("wrong-state", "There is no second factor on your account.");

export async function secondFactorState(core: Core, actor: Actor) {
  const factor = await core.database.prisma.secondFactor.findUnique({
    where: { userId: actor.userId },
    include: { recoveryCodes: { where: { usedAt: null }, select: { codeHash: true } } },
  });
  return {
    inForceSince: factor?.confirmedAt?.toISOString() ?? null,
    recoveryCodesLeft: factor?.recoveryCodes.length ?? 0,
  };
}

/** A new secret, shown here and never again; not in force before one of its codes was right. */
export function beginSecondFactor(core: Core, actor: Actor) {
  requireRecentPassword(actor, core.now());
  return writeOutsideStudies(core, async (db, now) => {
    const { userId } = actor;
    const secret = newSecret();
    const sealedSecret = sealSecret(core.secondFactorKey, userId, secret);
    const existing = await db.secondFactor.findUnique({ where: { userId } });
    if (existing !== null && existing.confirmedAt !== null) {
      throw new AppError(
        "wrong-state",
        "There is a second factor on your account already. Take it off before you set up another.",
      );
    }
    await db.secondFactor.upsert({
      where: { userId },
      create: { userId, sealedSecret, createdAt: now },
      update: { sealedSecret, createdAt: now },
    });
    return {
      result: { secret: base32(secret), address: authenticatorAddress(secret, actor.email) },
      actor,
      studyId: null,
      audit: [{ action: "secondFactor.begin", subject: subjectOf(actor) }],
    };
  });
}

/** Counts a try of a code before it is looked at, and forgets the tries before it when it was right. */
async function throttled<T>(ground: SecondFactorGround, userId: string, work: () => Promise<T>): Promise<T> {
  const counted = { kind: "code", what: userId } as const;
  const waitS = await ground.throttle.begin(counted);
  if (waitS !== null) throw new AppError("not-allowed", waitInWords(waitS), { field: "code" });
  const result = await work();
  await ground.throttle.succeed(counted);
  return result;
}

/**
 * Uses up a code, and says of which kind it was; null when it is not right. Each is used in one statement, so
 * that of two who send the same code one alone is let through.
 */
async function useCode(
  ground: SecondFactorGround,
  db: Transaction,
  userId: string,
  text: string,
): Promise<"authenticator" | "recovery" | null> {
  const factor = await db.secondFactor.findUnique({ where: { userId } });
  const typed = readTypedCode(text);
  if (factor === null || typed === null) return null;
  if (typed.kind === "recovery") {
    const { count } = await db.recoveryCode.updateMany({
      where: { userId, codeHash: hashOfRecoveryCode(userId, typed.code), usedAt: null },
      data: { usedAt: ground.now() },
    });
    return count === 1 ? "recovery" : null;
  }
  const secret = openSecret(ground.secondFactorKey, userId, factor.sealedSecret);
  const step = stepOfCode(secret, typed.code, ground.now(), factor.lastStep);
  if (step === null) return null;
  const { count } = await db.secondFactor.updateMany({
    where: { userId, lastStep: { lt: step } },
    data: { lastStep: step },
  });
  return count === 1 ? "authenticator" : null;
}

async function makeRecoveryCodes(db: Transaction, userId: string): Promise<string[]> {
  const codes = newRecoveryCodes();
  await db.recoveryCode.deleteMany({ where: { userId } });
  await db.recoveryCode.createMany({
    data: codes.map((code) => ({ userId, codeHash: hashOfRecoveryCode(userId, code) })),
  });
  return codes;
}

/** Sessions that began under the old way of signing in end with it; this one stays. */
async function endOthers(db: Transaction, actor: Actor): Promise<number> {
  const others = actor.session === undefined ? {} : { id: { not: actor.session.id } };
  return (await db.session.deleteMany({ where: { userId: actor.userId, ...others } })).count;
}

/** From here on it is asked for; the recovery codes are shown here and never again. */
export function confirmSecondFactor(core: Core, actor: Actor, code: string) {
  requireRecentPassword(actor, core.now());
  const { userId } = actor;
  return throttled(core, userId, () =>
    writeOutsideStudies(core, async (db, now) => {
      const factor = await db.secondFactor.findUnique({ where: { userId } });
      if (factor === null) throw new AppError("wrong-state", "Begin anew: no second factor is being set up.");
      if (factor.confirmedAt !== null) throw new AppError("wrong-state", "It is in force already.");
      if ((await useCode(core, db, userId, code)) === null) throw wrongFirstCode();
      await db.secondFactor.update({ where: { userId }, data: { confirmedAt: now } });
      const recoveryCodes = await makeRecoveryCodes(db, userId);
      const ended = await endOthers(db, actor);
      return {
        result: { recoveryCodes },
        actor,
        studyId: null,
        audit: [
          {
            action: "secondFactor.confirm",
            subject: subjectOf(actor),
            before: { inForce: false },
            after: { inForce: true, sessions: `${ended} others ended` },
          },
        ],
      };
    }),
  );
}

async function requireInForce(db: Transaction, userId: string): Promise<void> {
  const factor = await db.secondFactor.findUnique({ where: { userId }, select: { confirmedAt: true } });
  if (factor === null || factor.confirmedAt === null) throw noneInForce();
}

export function renewRecoveryCodes(core: Core, actor: Actor, code: string) {
  requireRecentPassword(actor, core.now());
  const { userId } = actor;
  return throttled(core, userId, () =>
    writeOutsideStudies(core, async (db) => {
      await requireInForce(db, userId);
      if ((await useCode(core, db, userId, code)) === null) throw wrongCode();
      return {
        result: { recoveryCodes: await makeRecoveryCodes(db, userId) },
        actor,
        studyId: null,
        audit: [
          {
            action: "secondFactor.renewRecoveryCodes",
            subject: subjectOf(actor),
            after: { recoveryCodes: "made anew" },
          },
        ],
      };
    }),
  );
}

export function removeSecondFactor(core: Core, actor: Actor, code: string): Promise<null> {
  requireRecentPassword(actor, core.now());
  const { userId } = actor;
  return throttled(core, userId, () =>
    writeOutsideStudies(core, async (db) => {
      await requireInForce(db, userId);
      if ((await useCode(core, db, userId, code)) === null) throw wrongCode();
      await db.secondFactor.delete({ where: { userId } });
      const ended = await endOthers(db, actor);
      return {
        result: null,
        actor,
        studyId: null,
        audit: [
          {
            action: "secondFactor.remove",
            subject: subjectOf(actor),
            before: { inForce: true },
            after: { inForce: false, sessions: `${ended} others ended` },
          },
        ],
      };
    }),
  );
}

/**
 * Whether somebody whose password was right may have a session: yes without a second factor; with one, only by a code,
 * which is used up. A recovery code leaves its entry, since it is there for what should not happen often.
 *
 * @throws AppError `not-allowed` when too many codes were tried
 */
export async function admitToSession(
  ground: SecondFactorGround,
  userId: string,
  code: string | null,
): Promise<"admitted" | "code needed" | "code wrong"> {
  const { prisma } = ground.database;
  const factor = await prisma.secondFactor.findUnique({
    where: { userId },
    select: { confirmedAt: true, user: { select: { name: true, email: true } } },
  });
  if (factor === null || factor.confirmedAt === null) return "admitted";
  if (code === null) return "code needed";
  const actor: Actor = { userId, name: factor.user.name, email: factor.user.email };
  const right = () => true;
  const wrong = (error: unknown) => {
    if (error instanceof AppError && error.code === "invalid") return false;
    throw error;
  };
  const admitted = await throttled(ground, userId, async () => {
    if (readTypedCode(code)?.kind !== "recovery") {
      const used = await prisma.$transaction((db) => useCode(ground, db, userId, code));
      if (used === null) throw wrongCode();
      return;
    }
    await writeOutsideStudies(ground, async (db) => {
      if ((await useCode(ground, db, userId, code)) === null) throw wrongCode();
      const left = await db.recoveryCode.count({ where: { userId, usedAt: null } });
      return {
        result: null,
        actor,
        studyId: null,
        audit: [
          {
            action: "secondFactor.useRecoveryCode",
            subject: subjectOf(actor),
            after: { recoveryCodesLeft: left },
          },
        ],
      };
    });
  }).then(right, wrong);
  return admitted ? "admitted" : "code wrong";
}
