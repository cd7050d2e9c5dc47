/**
 * How often a password may be tried for one account. A limit by the sender's address alone stops nobody who sends from
 * many, or who writes another address into each request; this one counts by the account that is tried.
 */
export interface SignInAttempts {
  /** Counts a try; false when there were too many, and the password is not to be looked at. */
  begin(email: string): boolean;
  /** The password was right: the tries before it are forgotten. */
  succeed(email: string): void;
}

export const attemptLimit = { tries: 10, withinMs: 15 * 60_000 } as const;

/** Tries for addresses that nobody has are counted too; so many that memory fills are not kept. */
const mostAccounts = 10_000;

export function signInAttempts(now: () => number): SignInAttempts {
  const tries = new Map<string, number[]>();
  const keyOf = (email: string) => email.trim().toLowerCase();
  return {
    begin(email) {
      const key = keyOf(email);
      const since = now() - attemptLimit.withinMs;
      const recent = (tries.get(key) ?? []).filter((at) => at > since);
      if (recent.length >= attemptLimit.tries) return false;
      // Deleted first, so that the map is in order of the latest try and its first key is the oldest.
      tries.delete(key);
      tries.set(key, [...recent, now()]);
      const oldest = tries.keys().next().value;
      if (tries.size > mostAccounts && oldest !== undefined) tries.delete(oldest);
      return true;
    },
    succeed(email) {
      tries.delete(keyOf(email));
    },
  };
}
