import { createHash, randomInt, timingSafeEqual } from "node:crypto";

/** Letters and digits that are not mistaken for one another when read from a terminal. */
const codeAlphabet = "ABCDEFGHJKMNPQRSTUVWXYZ23456789";

/** A code of 12 characters (59 bits) in three groups, to be typed by hand. */
export function newFirstAccountCode(): string {
  const characters = Array.from({ length: 12 }, () => codeAlphabet[randomInt(codeAlphabet.length)]).join("");
  return `${characters.slice(0, 4)}-${characters.slice(4, 8)}-${characters.slice(8)}`;
}

/** As people type it: in any case, with or without hyphens. */
export function hashOfCode(code: string): string {
  const plain = code.toUpperCase().replace(/[^A-Z0-9]/g, "");
  return createHash("sha256").update(`first account:${plain}`).digest("hex");
}

export function hashOfToken(token: string): string {
  return createHash("sha256").update(`invitation:${token}`).digest("hex");
}

export function sameHash(a: string, b: string): boolean {
  const left = Buffer.from(a, "hex");
  const right = Buffer.from(b, "hex");
  return left.length === right.length && timingSafeEqual(left, right);
}

export type InvitationState = "open" | "accepted" | "revoked" | "expired";

export function invitationState(
  invitation: { acceptedAt: Date | null; revokedAt: Date | null; expiresAt: Date },
  now: Date,
): InvitationState {
  if (invitation.acceptedAt !== null) return "accepted";
  if (invitation.revokedAt !== null) return "revoked";
  return invitation.expiresAt <= now ? "expired" : "open";
}
