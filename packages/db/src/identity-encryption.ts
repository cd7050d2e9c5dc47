import { createCipheriv, createDecipheriv, randomBytes } from "node:crypto";

/**
 * Identity is encrypted field by field with AES-256-GCM (NIST SP 800-38D): 12 bytes of nonce, 16 of tag, then the
 * text. The place where a field stands (table, field, row) is authenticated with it, so that a value moved to another
 * row or field does not decrypt.
 */

declare const keyBrand: unique symbol;
/** 32 random bytes. */
export type IdentityKey = Uint8Array & { readonly [keyBrand]: true };

export interface IdentityKeys {
  /** The version that new values are written with. */
  readonly current: number;
  readonly byVersion: ReadonlyMap<number, IdentityKey>;
}

export interface FieldPlace {
  readonly table: string;
  readonly field: string;
  readonly rowId: string;
}

export class IdentityEncryptionError extends Error {
  override readonly name = "IdentityEncryptionError";
}

const nonceBytes = 12;
const tagBytes = 16;

export function identityKey(bytes: Uint8Array): IdentityKey {
  if (bytes.length !== 32) {
    throw new IdentityEncryptionError(`an identity key requires 32 bytes, got ${bytes.length}`);
  }
  return bytes as IdentityKey;
}

const associatedData = (place: FieldPlace) =>
  Buffer.from(JSON.stringify([place.table, place.field, place.rowId]), "utf8");

function keyOf(keys: IdentityKeys, version: number): IdentityKey {
  const key = keys.byVersion.get(version);
  if (key === undefined) throw new IdentityEncryptionError(`identity key version ${version} is not at hand`);
  return key;
}

export function encryptField(text: string, place: FieldPlace, keys: IdentityKeys): Uint8Array<ArrayBuffer> {
  return encryptBytes(Buffer.from(text, "utf8"), place, keys);
}

/** The same for bytes, as a signature or a scan has them. */
export function encryptBytes(
  bytes: Uint8Array,
  place: FieldPlace,
  keys: IdentityKeys,
): Uint8Array<ArrayBuffer> {
  const nonce = randomBytes(nonceBytes);
  const cipher = createCipheriv("aes-256-gcm", keyOf(keys, keys.current), nonce);
  cipher.setAAD(associatedData(place));
  const body = Buffer.concat([cipher.update(bytes), cipher.final()]);
  return new Uint8Array(Buffer.concat([nonce, cipher.getAuthTag(), body]));
}

export function decryptField(
  bytes: Uint8Array,
  place: FieldPlace,
  keyVersion: number,
  keys: IdentityKeys,
): string {
  return Buffer.from(decryptBytes(bytes, place, keyVersion, keys)).toString("utf8");
}

export function decryptBytes(
  bytes: Uint8Array,
  place: FieldPlace,
  keyVersion: number,
  keys: IdentityKeys,
): Uint8Array<ArrayBuffer> {
  const key = keyOf(keys, keyVersion);
  if (bytes.length < nonceBytes + tagBytes) {
    throw new IdentityEncryptionError(`${place.table}.${place.field} is too short to be an encrypted value`);
  }
  const decipher = createDecipheriv("aes-256-gcm", key, bytes.subarray(0, nonceBytes), {
    authTagLength: tagBytes,
  });
  decipher.setAAD(associatedData(place));
  decipher.setAuthTag(bytes.subarray(nonceBytes, nonceBytes + tagBytes));
  try {
    const body = decipher.update(bytes.subarray(nonceBytes + tagBytes));
    return new Uint8Array(Buffer.concat([body, decipher.final()]));
  } catch (cause) {
    throw new IdentityEncryptionError(
      `${place.table}.${place.field} cannot be decrypted: the key is another one, or the value was altered`,
      { cause },
    );
  }
}
