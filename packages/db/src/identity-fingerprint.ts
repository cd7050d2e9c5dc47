import { createHmac, hkdfSync } from "node:crypto";
import { type FieldPlace, IdentityEncryptionError, type IdentityKeys } from "./identity-encryption";

/**
 * A keyed hash of an identity field: HMAC-SHA-256 (RFC 2104) under a key that is derived from the current identity key for
 * this purpose alone (HKDF, RFC 5869). It tells whether a field changed and whether two entries meant the same value, to
 * nobody what the value is; without the key it cannot be guessed either. The place is hashed with it, so that two
 * people of one name have different ones.
 *
 * @returns `<key version>:<64 hexadecimal digits>`, or null for an empty text
 */
export function identityFingerprint(text: string, place: FieldPlace, keys: IdentityKeys): string | null {
  if (text === "") return null;
  const key = keys.byVersion.get(keys.current);
  if (key === undefined)
    throw new IdentityEncryptionError(`identity key version ${keys.current} is not at hand`);
  const own = hkdfSync("sha256", key, new Uint8Array(0), "acral audit trail fingerprint 1", 32);
  const message = JSON.stringify([place.table, place.field, place.rowId, text]);
  return `${keys.current}:${createHmac("sha256", new Uint8Array(own)).update(message, "utf8").digest("hex")}`;
}
