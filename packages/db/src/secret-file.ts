import { randomBytes } from "node:crypto";
import {
  closeSync,
  fsyncSync,
  linkSync,
  mkdirSync,
  openSync,
  readFileSync,
  statSync,
  unlinkSync,
  writeSync,
} from "node:fs";
import { dirname } from "node:path";

/**
 * Reads 32 secret bytes (64 hexadecimal digits) from a file, creating it with mode 0600 on first use.
 *
 * The file is complete under another name before it gets its own, so that two processes that start together agree on
 * one secret and a killed process leaves none that is half written.
 */
export function secretFromFile(path: string): Uint8Array {
  try {
    return parsed(path);
  } catch (error) {
    if (!(error instanceof Error && "code" in error && error.code === "ENOENT")) throw error;
  }
  mkdirSync(dirname(path), { recursive: true });
  const draft = `${path}.${process.pid}.${randomBytes(6).toString("hex")}`;
  const file = openSync(/* turbopackIgnore: true */ draft, "wx", 0o600);
  try {
    writeSync(file, `${randomBytes(32).toString("hex")}\n`);
    fsyncSync(file);
  } finally {
    closeSync(file);
  }
  try {
    linkSync(draft, path);
  } catch (error) {
    if (!(error instanceof Error && "code" in error && error.code === "EEXIST")) throw error;
  } finally {
    unlinkSync(draft);
  }
  return parsed(path);
}

function parsed(path: string): Uint8Array {
  const text = readFileSync(path, "utf8").trim();
  if (!/^[0-9a-f]{64}$/i.test(text)) {
    throw new Error(
      `The key file ${path} does not hold 64 hexadecimal digits. Restore it from your backup; a new one cannot read what the old one wrote.`,
    );
  }
  requirePrivate(path);
  return new Uint8Array(Buffer.from(text, "hex"));
}

/** Refuses a key file that others than its owner can read. */
export function requirePrivate(path: string): void {
  if (process.platform !== "win32" && (statSync(path).mode & 0o077) !== 0) {
    throw new Error(
      `The key file ${path} can be read by others. Set its mode to 0600 (chmod 600) and start again.`,
    );
  }
}
