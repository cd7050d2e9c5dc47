import { createHash, createHmac, randomBytes, randomInt, timingSafeEqual } from "node:crypto";

/** Codes of an authenticator after RFC 6238, as every authenticator takes them: SHA-1, thirty seconds, six digits. */
const stepS = 30;
const digits = 6;
/** A clock may be wrong by one step to either side. */
const drift = [0, -1, 1] as const;

const base32Alphabet = "ABCDEFGHIJKLMNOPQRSTUVWXYZ234567";
/** Letters and digits that are not mistaken for one another when read from paper. */
const recoveryAlphabet = "ABCDEFGHJKMNPQRSTUVWXYZ23456789";
export const recoveryCodeCount = 8;

/** Which thirty seconds a moment is in, counted from 1970. */
export function stepAt(moment: Date): number {
  return Math.floor(moment.getTime() / 1000 / stepS);
}

/** The code of a step (RFC 4226, 5.3, over the step of RFC 6238). */
export function codeOf(secret: Uint8Array, step: number, length: number = digits): string {
  const counter = Buffer.alloc(8);
  counter.writeBigUInt64BE(BigInt(step));
  const mac = createHmac("sha1", secret).update(counter).digest();
  const offset = mac.readUInt8(mac.length - 1) & 0x0f;
  const number = (mac.readUInt32BE(offset) & 0x7fffffff) % 10 ** length;
  return String(number).padStart(length, "0");
}

/**
 * The step whose code this is, when it is one of now and is later than the last that was accepted; otherwise null. A code
 * that somebody read over a shoulder is worth nothing once it was used.
 */
export function stepOfCode(secret: Uint8Array, code: string, now: Date, lastStep: number): number | null {
  const given = Buffer.from(code);
  const here = stepAt(now);
  const found = drift
    .map((steps) => here + steps)
    .filter((step) => {
      const expected = Buffer.from(codeOf(secret, step));
      return step > lastStep && expected.length === given.length && timingSafeEqual(expected, given);
    });
  return found[0] ?? null;
}

/** As long as the digest, as RFC 4226 recommends. */
export function newSecret(): Uint8Array {
  return new Uint8Array(randomBytes(20));
}

/** RFC 4648, without padding: what authenticators take to be typed in. */
export function base32(bytes: Uint8Array): string {
  const bits = [...bytes].map((byte) => byte.toString(2).padStart(8, "0")).join("");
  return (bits.match(/.{1,5}/g) ?? [])
    .map((five) => base32Alphabet[Number.parseInt(five.padEnd(5, "0"), 2)])
    .join("");
}

/** What the square code holds: the address that authenticators read. */
export function authenticatorAddress(secret: Uint8Array, email: string): string {
  const parameters = `secret=${base32(secret)}&issuer=Acral&algorithm=SHA1&digits=${digits}&period=${stepS}`;
  return `otpauth://totp/Acral:${encodeURIComponent(email)}?${parameters}`;
}

/** 24 characters, 118 bits: too many to be tried even by somebody who has the hashes. */
function newRecoveryCode(): string {
  const groups = Array.from({ length: 6 }, () =>
    Array.from({ length: 4 }, () => recoveryAlphabet[randomInt(recoveryAlphabet.length)]).join(""),
  );
  return groups.join("-");
}

export function newRecoveryCodes(): string[] {
  return Array.from({ length: recoveryCodeCount }, newRecoveryCode);
}

export function hashOfRecoveryCode(userId: string, code: string): string {
  return createHash("sha256").update(`recovery code:${userId}:${code}`).digest("hex");
}

type TypedCode = { readonly kind: "authenticator" | "recovery"; readonly code: string };

/** As people type it: with blanks, hyphens and small letters. Null for what is neither of the two. */
export function readTypedCode(text: string): TypedCode | null {
  const plain = text.toUpperCase().replace(/[^A-Z0-9]/g, "");
  if (/^\d{6}$/.test(plain)) return { kind: "authenticator", code: plain };
  const groups = plain.match(/.{4}/g);
  return plain.length === 24 && groups !== null ? { kind: "recovery", code: groups.join("-") } : null;
}
