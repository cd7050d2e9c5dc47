import { createHash, randomBytes } from "node:crypto";
import type { LinkPurpose } from "@acral/db";

/** 256 random bits: nobody guesses one, and no two are the same. */
export const newLinkToken = (): string => randomBytes(32).toString("base64url");

/** All that is kept of a token. */
export const hashOfLinkToken = (token: string): string =>
  createHash("sha256").update(`volunteer link:${token}`).digest("hex");

const hourMs = 60 * 60 * 1000;

/**
 * How long a link can be used: to sign a fortnight, on a device that is handed over now two hours, one's own a year, the invitation
 * two months, so that somebody can think it over.
 */
export function linkLifetimeMs(purpose: LinkPurpose, here: boolean): number {
  if (purpose === "own") return 365 * 24 * hourMs;
  if (purpose === "invitation") return 60 * 24 * hourMs;
  return here ? 2 * hourMs : 14 * 24 * hourMs;
}

export type LinkState = "open" | "used" | "revoked" | "expired";

export function linkState(
  link: { readonly usedAt: Date | null; readonly revokedAt: Date | null; readonly expiresAt: Date },
  now: Date,
): LinkState {
  if (link.usedAt !== null) return "used";
  if (link.revokedAt !== null) return "revoked";
  return link.expiresAt <= now ? "expired" : "open";
}

/** What people call the purposes. */
export const purposeNames = {
  sign: "to read the consent form, decide and sign",
  own: "the volunteer's own page: what was signed and what is kept, copies of both, taking back and erasing",
  invitation: "to read the invitation and to say what one prefers",
} as const;

/** So many links that cannot be used may one sender try within so long. */
export const attemptLimit = { tries: 30, withinMs: 15 * 60_000 } as const;
/** From so many of all senders on each answer to one that cannot be used is held back. */
export const attemptsOfAll = { tries: 300, holdMs: 1000 } as const;

export interface LinkAttempts {
  /** Whether the sender has tried too often. */
  refuses(sender: string): boolean;
  /** Counts one that could not be used; returns for how many ms to hold the answer back. */
  failed(sender: string): number;
}

/** So many senders are remembered: more would fill the memory. */
const mostSenders = 10_000;

export function linkAttempts(now: () => number): LinkAttempts {
  const bySender = new Map<string, number[]>();
  let all: number[] = [];
  const recent = (times: readonly number[]) => times.filter((at) => at > now() - attemptLimit.withinMs);
  return {
    refuses: (sender) => recent(bySender.get(sender) ?? []).length >= attemptLimit.tries,
    failed(sender) {
      const times = [...recent(bySender.get(sender) ?? []), now()];
      // Deleted first, so that the map is in order of the latest try and its first key is the oldest.
      bySender.delete(sender);
      bySender.set(sender, times);
      const oldest = bySender.keys().next().value;
      if (bySender.size > mostSenders && oldest !== undefined) bySender.delete(oldest);
      all = [...recent(all).slice(-attemptsOfAll.tries), now()];
      return all.length > attemptsOfAll.tries ? attemptsOfAll.holdMs : 0;
    },
  };
}
