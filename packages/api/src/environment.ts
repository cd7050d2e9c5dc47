import { resolve } from "node:path";
import { z } from "zod";

/**
 * What the server takes from its environment, checked before anything starts. Nothing else in the project reads the
 * environment of the process.
 */

const hexKey = z.string().regex(/^[0-9a-fA-F]{64}$/, "must be 64 hexadecimal digits (32 bytes)");

/** One key, or one for each version while a rotation is under way: `1:<key>,2:<key>`. */
const identityKeys = z
  .string()
  .regex(
    /^\s*([1-9]\d{0,5}:)?[0-9a-fA-F]{64}\s*(,\s*[1-9]\d{0,5}:[0-9a-fA-F]{64}\s*)*$/,
    "must be 64 hexadecimal digits (32 bytes), or version:digits for each version, parted by commas",
  );

const environmentSchema = z.object({
  DATABASE_URL: z
    .string()
    .regex(/^postgres(ql)?:\/\//, "must begin with postgresql:// (leave it out to use the embedded database)")
    .optional(),
  ACRAL_DATA_DIR: z.string().min(1).prefault("./.data"),
  ACRAL_IDENTITY_KEY: identityKeys.optional(),
  ACRAL_SIGN_IN_SECRET: hexKey.optional(),
  ACRAL_ADDRESS: z
    .url({ protocol: /^https?$/, error: "must be a web address such as https://acral.example.org" })
    .optional(),
  // A file's size is held as a 32-bit integer.
  ACRAL_UPLOAD_LIMIT_MB: z.coerce.number().int().min(1).max(2047).prefault(2047),
  HOST: z.string().min(1).prefault("127.0.0.1"),
  PORT: z.coerce.number().int().min(1).max(65_535).prefault(3000),
});

export interface Environment {
  readonly databaseUrl: string | null;
  readonly dataDir: string;
  /** As stated, for `identityKeyring`; null for the key file. */
  readonly identityKeyHex: string | null;
  readonly signInSecretHex: string | null;
  /** The address that people type, without a trailing slash. */
  readonly address: string;
  readonly uploadLimitBytes: number;
  readonly host: string;
  readonly port: number;
}

export class EnvironmentError extends Error {
  override readonly name = "EnvironmentError";
}

/** Throws an `EnvironmentError` whose message says in one line which settings are wrong. */
export function readEnvironment(variables: Readonly<Record<string, string | undefined>>): Environment {
  // An empty value means "not set": compose files pass unset variables on as empty ones.
  const given = Object.fromEntries(Object.entries(variables).filter(([, value]) => value !== ""));
  const result = environmentSchema.safeParse(given);
  if (!result.success) {
    const what = result.error.issues.map((issue) => `${issue.path.join(".")} ${issue.message}`).join("; ");
    throw new EnvironmentError(`Acral cannot start: ${what}.`);
  }
  const value = result.data;
  return {
    databaseUrl: value.DATABASE_URL ?? null,
    dataDir: resolve(value.ACRAL_DATA_DIR),
    identityKeyHex: value.ACRAL_IDENTITY_KEY ?? null,
    signInSecretHex: value.ACRAL_SIGN_IN_SECRET ?? null,
    address: (value.ACRAL_ADDRESS ?? `http://${value.HOST}:${value.PORT}`).replace(/\/+$/, ""),
    uploadLimitBytes: value.ACRAL_UPLOAD_LIMIT_MB * 1024 * 1024,
    host: value.HOST,
    port: value.PORT,
  };
}
