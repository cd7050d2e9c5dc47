import { IdentityEncryptionError, type IdentityKeys } from "./identity-encryption";
import { type KeyVersions, parseKeyVersions, readKeyFile } from "./identity-key-file";

/** Where the identity keys come from; a rotation by another process adds versions while this one runs. */
export interface IdentityKeyring {
  /** The keys, to read what was written with this version and to write with it. Looks again where they are kept when it is new. */
  at(version: number): IdentityKeys;
  /** All versions that are at hand now, looked up anew. */
  versions(): KeyVersions;
  /** The file that a rotation can change; null when the keys come from the environment. */
  readonly file: string | null;
}

/** @param stated the keys as the environment states them; null for those of the file */
export function identityKeyring(stated: string | null, file: string): IdentityKeyring {
  const read = () => (stated === null ? readKeyFile(file) : parseKeyVersions(stated, "ACRAL_IDENTITY_KEY"));
  let known = read();
  return {
    file: stated === null ? file : null,
    at(version) {
      if (!known.has(version)) known = read();
      if (!known.has(version)) {
        throw new IdentityEncryptionError(
          `identity key version ${version} is not at hand: restore ${stated === null ? `the key file ${file}` : "ACRAL_IDENTITY_KEY"} as it was after the last rotation`,
        );
      }
      return { current: version, byVersion: known };
    },
    versions() {
      known = read();
      return known;
    },
  };
}
