import { createCipheriv, createDecipheriv, hkdfSync, randomBytes } from "node:crypto";

/** The key that secrets of authenticators are encrypted with: made of the sign-in secret, which stands outside the database. */
export type SecondFactorKey = Uint8Array & { readonly __brand: "SecondFactorKey" };

const nonceBytes = 12;
const tagBytes = 16;

export function secondFactorKey(signInSecret: Uint8Array): SecondFactorKey {
  return new Uint8Array(
    hkdfSync("sha256", signInSecret, new Uint8Array(), "acral second factor", 32),
  ) as SecondFactorKey;
}

/** AES-256-GCM, bound to the account: a row that is copied to another account cannot be read there. */
export function sealSecret(
  key: SecondFactorKey,
  userId: string,
  secret: Uint8Array,
): Uint8Array<ArrayBuffer> {
  const nonce = randomBytes(nonceBytes);
  const cipher = createCipheriv("aes-256-gcm", key, nonce, { authTagLength: tagBytes });
  cipher.setAAD(Buffer.from(userId));
  const sealed = Buffer.concat([cipher.update(secret), cipher.final()]);
  return new Uint8Array(Buffer.concat([nonce, cipher.getAuthTag(), sealed]));
}

/** @throws when the key is another, or the row was changed or belongs to another account */
export function openSecret(key: SecondFactorKey, userId: string, sealed: Uint8Array): Uint8Array {
  const nonce = sealed.subarray(0, nonceBytes);
  const decipher = createDecipheriv("aes-256-gcm", key, nonce, { authTagLength: tagBytes });
  decipher.setAAD(Buffer.from(userId));
  decipher.setAuthTag(sealed.subarray(nonceBytes, nonceBytes + tagBytes));
  return new Uint8Array(
    Buffer.concat([decipher.update(sealed.subarray(nonceBytes + tagBytes)), decipher.final()]),
  );
}
