import { createHash, randomInt, timingSafeEqual } from "node:crypto";
import { isCommonPassword } from "../common-passwords";

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

/** Words of somebody's own that a password is not made of: of four letters or more. */
function wordsOf(context: readonly string[]): string[] {
  const words = ["acral", ...context].flatMap((text) => text.toLowerCase().split(/[^\p{L}\p{N}]+/u));
  return [...new Set(words)].filter((word) => word.length >= 4).sort((a, b) => b.length - a.length);
}

function isRun(text: string): boolean {
  const codes = [...text].map((sign) => sign.codePointAt(0) ?? 0);
  const steps = codes.slice(1).map((code, index) => code - (codes[index] ?? 0));
  return [1, -1].some((step) => steps.every((each) => each === step || each === -9 * step));
}

/**
 * Why a password is too easy to guess, in words; null when nothing speaks against it. Nothing is asked of its signs: length
 * and not being known or made of what is known are what counts (NIST SP 800-63B, on passwords). `context` are the person's name, the address,
 * the title of the study.
 */
export function passwordComplaint(password: string, context: readonly string[]): string | null {
  const text = password.normalize("NFKC").toLowerCase();
  const core = text.replace(/^[^\p{L}]+|[^\p{L}]+$/gu, "");
  if (isCommonPassword(text) || isCommonPassword(text.replace(/\s+/g, ""))) {
    return "This password is among the most common ones, which are tried first. Take a few words in a row that belong to nobody else.";
  }
  if (core.length >= 4 && isCommonPassword(core)) {
    return "This is one of the most common passwords with something added, which is tried first. Take a few words in a row instead.";
  }
  if (/^(.{1,6}?)\1+.{0,5}$/u.test(text) || isRun(text)) {
    return "This password repeats itself or counts on, which is tried first. Take a few words in a row instead.";
  }
  const rest = wordsOf(context).reduce((left, word) => left.replaceAll(word, ""), text);
  if (rest !== text && rest.replace(/[^\p{L}\p{N}]/gu, "").length < 8) {
    return "This password is made of your name, your address, the study or the name of this program, which are tried first. Add words that have nothing to do with them.";
  }
  return null;
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
