import { randomBytes } from "node:crypto";
import { closeSync, existsSync, fsyncSync, openSync, readFileSync, renameSync, writeSync } from "node:fs";
import { dirname } from "node:path";
import { IdentityEncryptionError, type IdentityKey, identityKey } from "./identity-encryption";
import { requirePrivate, secretFromFile } from "./secret-file";

/**
 * The identity keys of all versions that are in use. As text it is one line `<version> <64 hexadecimal digits>` each (in an
 * environment variable `<version>:<digits>`, parted by commas); 64 digits alone are version 1, as before there were versions.
 */
export type KeyVersions = ReadonlyMap<number, IdentityKey>;

/** @throws IdentityEncryptionError naming the place when the text holds anything else, or one version twice */
export function parseKeyVersions(text: string, place: string): KeyVersions {
  const lines = text
    .split(/[\n,]/)
    .map((line) => line.trim())
    .filter((line) => line !== "");
  const versions = new Map<number, IdentityKey>();
  for (const line of lines) {
    const match = /^(?:([1-9]\d{0,5})[\s:]+)?([0-9a-f]{64})$/i.exec(line);
    const version = Number(match?.[1] ?? 1);
    if (match?.[2] === undefined || versions.has(version)) {
      throw new IdentityEncryptionError(
        `${place} does not hold one identity key of 64 hexadecimal digits for each version. Restore it from your backup; a new key cannot read what the old one wrote.`,
      );
    }
    versions.set(version, identityKey(new Uint8Array(Buffer.from(match[2], "hex"))));
  }
  if (versions.size === 0) throw new IdentityEncryptionError(`${place} holds no identity key.`);
  return versions;
}

/** Reads the key file; the first use creates it with version 1, readable by its owner alone. */
export function readKeyFile(path: string): KeyVersions {
  if (!existsSync(/* turbopackIgnore: true */ path)) secretFromFile(path);
  requirePrivate(path);
  return parseKeyVersions(readFileSync(path, "utf8"), `The key file ${path}`);
}

/** Adds a version with a new random key, and returns its number. */
export function addKeyVersion(path: string): number {
  const versions = readKeyFile(path);
  const next = Math.max(...versions.keys()) + 1;
  replaceKeyFile(path, new Map([...versions, [next, identityKey(new Uint8Array(randomBytes(32)))]]));
  return next;
}

/** Leaves only the version, for good. */
export function keepOnlyKeyVersion(path: string, version: number): void {
  const key = readKeyFile(path).get(version);
  if (key === undefined) {
    throw new IdentityEncryptionError(`identity key version ${version} is not in ${path}`);
  }
  replaceKeyFile(path, new Map([[version, key]]));
}

/** Complete and on the disk under another name before it takes the place: a kill leaves the old file or the new one. */
function replaceKeyFile(path: string, versions: KeyVersions): void {
  const draft = `${path}.${process.pid}.${randomBytes(6).toString("hex")}`;
  const file = openSync(/* turbopackIgnore: true */ draft, "wx", 0o600);
  try {
    for (const [version, key] of versions)
      writeSync(file, `${version} ${Buffer.from(key).toString("hex")}\n`);
    fsyncSync(file);
  } finally {
    closeSync(file);
  }
  renameSync(draft, path);
  const folder = openSync(dirname(path), "r");
  try {
    fsyncSync(folder);
  } finally {
    closeSync(folder);
  }
}
