import { randomBytes } from "node:crypto";
import { mkdtempSync, statSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import {
  decryptField,
  encryptField,
  IdentityEncryptionError,
  type IdentityKeys,
  identityKey,
} from "../src/identity-encryption";
import { secretFromFile } from "../src/secret-file";

const keys = (): IdentityKeys => ({ current: 1, byVersion: new Map([[1, identityKey(randomBytes(32))]]) });
const place = { table: "identity", field: "name", rowId: "v1" };

describe("the encryption of identity", () => {
  it("gives the text back, and never writes it in the clear", () => {
    const ring = keys();
    const bytes = encryptField("Ásta Björk", place, ring);
    expect(Buffer.from(bytes).includes(Buffer.from("Björk"))).toBe(false);
    expect(decryptField(bytes, place, 1, ring)).toBe("Ásta Björk");
  });

  it("never writes the same bytes twice for the same text", () => {
    const ring = keys();
    expect(encryptField("same", place, ring)).not.toEqual(encryptField("same", place, ring));
  });

  it.each([
    ["another row", { ...place, rowId: "v2" }],
    ["another field", { ...place, field: "contact" }],
    ["another table", { ...place, table: "consent_record" }],
  ])("refuses a value that was moved to %s", (_, elsewhere) => {
    const ring = keys();
    const bytes = encryptField("moved", place, ring);
    expect(() => decryptField(bytes, elsewhere, 1, ring)).toThrow(IdentityEncryptionError);
  });

  it("refuses every single altered bit", () => {
    const ring = keys();
    const bytes = encryptField("x", place, ring);
    for (let bit = 0; bit < bytes.length * 8; bit++) {
      const altered = bytes.slice();
      altered[bit >> 3] = (altered[bit >> 3] ?? 0) ^ (1 << (bit & 7));
      expect(() => decryptField(altered, place, 1, ring)).toThrow(IdentityEncryptionError);
    }
  });

  it("refuses another key and a version that is not at hand", () => {
    const bytes = encryptField("x", place, keys());
    expect(() => decryptField(bytes, place, 1, keys())).toThrow(/cannot be decrypted/);
    expect(() => decryptField(bytes, place, 2, keys())).toThrow(/version 2/);
  });
});

describe("a key file", () => {
  it("is made once with mode 0600 and then read", () => {
    const path = join(mkdtempSync(join(tmpdir(), "acral-key-")), "keys", "identity.key");
    const first = secretFromFile(path);
    expect(first).toHaveLength(32);
    expect(statSync(path).mode & 0o777).toBe(0o600);
    expect(secretFromFile(path)).toEqual(first);
  });

  it("is refused when it is damaged or readable by others, and never replaced", () => {
    const folder = mkdtempSync(join(tmpdir(), "acral-key-"));
    writeFileSync(join(folder, "short"), "abc", { mode: 0o600 });
    expect(() => secretFromFile(join(folder, "short"))).toThrow(/64 hexadecimal/);
    writeFileSync(join(folder, "open"), "a".repeat(64), { mode: 0o644 });
    expect(() => secretFromFile(join(folder, "open"))).toThrow(/0600/);
  });
});
