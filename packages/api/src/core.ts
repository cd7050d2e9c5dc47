import { mkdirSync } from "node:fs";
import { join } from "node:path";
import {
  type BlobStore,
  claimBlobFolder,
  clearIncoming,
  type Database,
  folderBlobStore,
  type IdentityKeyring,
  identityKeyring,
  keepIdentityApart,
  openDatabase,
  type SecondFactorKey,
  secondFactorKey,
  secretFromFile,
} from "@acral/db";
import { type Auth, createAuth } from "./auth";
import type { Environment } from "./environment";
import { admitToSession } from "./second-factor/service";
import { type SignInThrottle, signInThrottle } from "./sign-in-throttle";

/** What every use case stands on. One per process. */
export interface Core {
  readonly environment: Environment;
  readonly database: Database;
  readonly blobs: BlobStore;
  readonly identityKeys: IdentityKeyring;
  readonly auth: Auth;
  readonly throttle: SignInThrottle;
  readonly secondFactorKey: SecondFactorKey;
  readonly now: () => Date;
}

function secretOf(hex: string | null, file: string): Uint8Array {
  return hex === null ? secretFromFile(file) : new Uint8Array(Buffer.from(hex, "hex"));
}

export function identityKeysOf(environment: Environment): IdentityKeyring {
  return identityKeyring(environment.identityKeyHex, join(environment.dataDir, "keys", "identity.key"));
}

/** Opens the database (already migrated), the blobs and the keys. */
export async function openCore(environment: Environment): Promise<Core> {
  mkdirSync(environment.dataDir, { recursive: true });
  const database = await openDatabase(
    environment.databaseUrl === null ? { dataDir: environment.dataDir } : { url: environment.databaseUrl },
  );
  try {
    const blobFolder = join(environment.dataDir, "blobs");
    await claimBlobFolder(blobFolder, database);
    await clearIncoming(blobFolder);
    const missing = await keepIdentityApart(database);
    if (missing !== null) console.warn(missing);
    return buildCore(environment, database, folderBlobStore(blobFolder));
  } catch (error) {
    await database.close();
    throw error;
  }
}

/** The core over a database and a blob store that are open already. */
export function buildCore(
  environment: Environment,
  database: Database,
  blobs: BlobStore,
  now: () => Date = () => new Date(),
): Core {
  const signInSecret = secretOf(
    environment.signInSecretHex,
    join(environment.dataDir, "keys", "sign-in.key"),
  );
  const throttle = signInThrottle(database.prisma, now);
  const ground = { database, now, throttle, secondFactorKey: secondFactorKey(signInSecret) };
  return {
    ...ground,
    environment,
    blobs,
    identityKeys: identityKeysOf(environment),
    auth: createAuth({
      prisma: database.prisma,
      secret: Buffer.from(signInSecret).toString("hex"),
      address: environment.address,
      port: environment.port,
      now,
      throttle,
      admit: (userId, code) => admitToSession(ground, userId, code),
    }),
  };
}
