export { BlobFolderOwnerError, claimBlobFolder } from "./blob-folder-owner";
export {
  type BlobStore,
  BlobTooLargeError,
  clearIncoming,
  folderBlobStore,
  type StoredBlob,
} from "./blob-store";
export { FolderInUseError } from "./folder-lock";
export { Prisma, type PrismaClient } from "./generated/client";
export * from "./generated/enums";
export {
  decryptBytes,
  decryptField,
  encryptBytes,
  encryptField,
  type FieldPlace,
  IdentityEncryptionError,
  type IdentityKey,
  type IdentityKeys,
  identityKey,
} from "./identity-encryption";
export { identityFingerprint } from "./identity-fingerprint";
export { addKeyVersion, type KeyVersions, keepOnlyKeyVersion, parseKeyVersions } from "./identity-key-file";
export { type IdentityKeyring, identityKeyring } from "./identity-keyring";
export { identityRole, identityTables, keepIdentityApart, usualRole } from "./identity-role";
export { identitySearchHash, normalisedForSearch, searchTerms } from "./identity-search-hash";
export { MigrationError, migrate, readMigrations } from "./migrate";
export { type Database, type DatabaseAddress, openDatabase } from "./open-database";
export { openSecret, type SecondFactorKey, sealSecret, secondFactorKey } from "./sealed-secret";
export { secretFromFile } from "./secret-file";
export { decodeFloat32, decodeFloat64, encodeFloat32, encodeFloat64 } from "./trace-encoding";
