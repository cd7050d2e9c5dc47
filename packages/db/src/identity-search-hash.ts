import { createHmac, hkdfSync } from "node:crypto";
import { IdentityEncryptionError, type IdentityKeys } from "./identity-encryption";

/**
 * What an identity is found by: HMAC-SHA-256 (RFC 2104) under a key of its own, derived from the identity key for this
 * purpose alone (HKDF, RFC 5869). The study is hashed with it, so that nobody sees that two studies know the same person.
 *
 * Unicode is brought to NFKC (UAX #15), letters to lower case, white space to single spaces; of a telephone number only its
 * digits and a leading plus count.
 */

/** A telephone number and nothing else: digits, and what people write between them. */
const telephone = /^\+?[\d\s()./-]{5,}$/;

export function normalisedForSearch(text: string): string {
  const plain = text.normalize("NFKC").toLowerCase().replace(/\s+/gu, " ").trim();
  if (!telephone.test(plain)) return plain;
  const digits = plain.replace(/\D/g, "");
  return plain.startsWith("+") ? `+${digits}` : digits;
}

/** What a name and a contact can be found by: each as a whole, and each part of a contact that holds several. */
export function searchTerms(name: string, contact: string): string[] {
  const terms = [name, contact, ...contact.split(/[,;\n]/)].map(normalisedForSearch);
  return [...new Set(terms)].filter((term) => term !== "");
}

/** @returns 32 bytes */
export function identitySearchHash(
  term: string,
  studyId: string,
  keys: IdentityKeys,
): Uint8Array<ArrayBuffer> {
  const key = keys.byVersion.get(keys.current);
  if (key === undefined) {
    throw new IdentityEncryptionError(`identity key version ${keys.current} is not at hand`);
  }
  const own = hkdfSync("sha256", key, new Uint8Array(0), "acral identity search 1", 32);
  const message = JSON.stringify([studyId, normalisedForSearch(term)]);
  return new Uint8Array(createHmac("sha256", new Uint8Array(own)).update(message, "utf8").digest());
}
