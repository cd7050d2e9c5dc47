import { createHash } from "node:crypto";
import { Prisma, type PrismaClient } from "@acral/db";

/**
 * How often a password may be tried. Counted in the database, so that a restart forgets nothing, and by hashed keys, so that
 * the table tells of nobody. After a few free tries each further one has to wait, for twice as long each time and at most an
 * hour: guessing becomes hopeless, and nobody is shut out for ever. What is refused does not prolong the waiting.
 *
 * A known device (one that signed in to this account before, by its signed cookie) is counted on its own: whoever tries
 * passwords for an account from elsewhere does not keep its owner out. Codes of a second factor are counted by the account
 * alone, wherever they come from: only who has the password gets that far.
 */
export type ThrottleKind = "account" | "device" | "address" | "again" | "code";

interface Limit {
  /** Tries in a row before the first wait. An address is shared by whole offices. */
  readonly free: number;
  /** After so long without a try the count begins anew, in seconds. */
  readonly forgetS: number;
}

const limits: Readonly<Record<ThrottleKind, Limit>> = {
  account: { free: 10, forgetS: 24 * 3600 },
  device: { free: 10, forgetS: 24 * 3600 },
  address: { free: 50, forgetS: 3600 },
  again: { free: 10, forgetS: 24 * 3600 },
  code: { free: 5, forgetS: 24 * 3600 },
};
const firstWaitS = 60;
const longestWaitS = 3600;
const longestMemoryS = 24 * 3600;

export interface Throttled {
  readonly kind: ThrottleKind;
  readonly what: string;
}

export interface SignInThrottle {
  /** Counts a try before the password is looked at; null, or how many seconds to wait, and the password is not looked at. */
  begin(throttled: Throttled): Promise<number | null>;
  /** The password was right: the tries before it are forgotten. */
  succeed(throttled: Throttled): Promise<void>;
  /** The password was right: this one try does not count against others from the same place. */
  giveBack(throttled: Throttled): Promise<void>;
}

function keyOf({ kind, what }: Throttled): string {
  return createHash("sha256").update(`${kind}:${what.trim().toLowerCase()}`).digest("hex");
}

export function signInThrottle(prisma: PrismaClient, now: () => Date): SignInThrottle {
  const forgetOld = (at: Date) =>
    prisma.signInThrottle.deleteMany({
      where: { lastAt: { lt: new Date(at.getTime() - longestMemoryS * 1000) }, freeAt: { lt: at } },
    });
  return {
    async begin(throttled) {
      const { free, forgetS } = limits[throttled.kind];
      const key = keyOf(throttled);
      const at = now();
      const forgotten = new Date(at.getTime() - forgetS * 1000);
      // One statement, so that tries at the same moment are counted one after the other.
      const counted = await prisma.$queryRaw<{ failures: number }[]>(Prisma.sql`
        insert into sign_in_throttle as t (key, failures, last_at, free_at) values (${key}, 1, ${at}::timestamptz, ${at}::timestamptz)
        on conflict (key) do update set
          failures = case when t.last_at < ${forgotten}::timestamptz then 1 else t.failures + 1 end,
          last_at = ${at}::timestamptz,
          free_at = ${at}::timestamptz + interval '1 second' * case
            when t.last_at < ${forgotten}::timestamptz or t.failures + 1 < ${free}::int then 0
            else least(${longestWaitS}::float8, ${firstWaitS}::float8 * power(2::float8, least(t.failures + 1 - ${free}::int, 20)::float8)) end
        where t.free_at <= ${at}::timestamptz
        returning failures`);
      if (counted.length > 0) {
        // Along with a password that is about to be looked at, which takes much longer.
        if (throttled.kind !== "address") await forgetOld(at);
        return null;
      }
      const row = await prisma.signInThrottle.findUnique({ where: { key } });
      return Math.max(1, Math.ceil(((row?.freeAt ?? at).getTime() - at.getTime()) / 1000));
    },
    async succeed(throttled) {
      await prisma.signInThrottle.deleteMany({ where: { key: keyOf(throttled) } });
    },
    async giveBack(throttled) {
      await prisma.signInThrottle.updateMany({
        where: { key: keyOf(throttled), failures: { gt: 0 } },
        data: { failures: { decrement: 1 }, freeAt: now() },
      });
    },
  };
}

/** The same words for every account, known or not. */
export function waitInWords(waitS: number): string {
  const minutes = Math.ceil(waitS / 60);
  return `Too many attempts in a row. Try again in ${minutes === 1 ? "a minute" : `${minutes} minutes`}; earlier ones are not looked at.`;
}
