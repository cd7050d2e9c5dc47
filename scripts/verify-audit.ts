import { existsSync } from "node:fs";
import { join } from "node:path";
import { parseArgs } from "node:util";
import {
  type Anchor,
  anchorSchema,
  anchorText,
  type Environment,
  EnvironmentError,
  readEnvironment,
  type VerifiedChain,
  verifyChains,
} from "@acral/api";
import { type Database, FolderInUseError, openDatabase } from "@acral/db";

/**
 * `npm run audit:verify` walks along every chain of the audit trail and names each entry that was changed, removed or
 * inserted. Ends with 0 when all is well, 1 when something was found, 2 when it could not look.
 */

class CannotLookError extends Error {}

const usage =
  "Usage: npm run audit:verify -- [--expect <study>:<number>:<hash>] …, each as an earlier verification, the audit screen or a release prints it.";

function readAnchors(): Anchor[] {
  let given: string[];
  try {
    const { values } = parseArgs({ options: { expect: { type: "string", multiple: true } } });
    given = values.expect ?? [];
  } catch (cause) {
    throw new CannotLookError(usage, { cause });
  }
  return given.map((text) => {
    const anchor = anchorSchema.safeParse(text.trim());
    if (!anchor.success) throw new CannotLookError(`${text} ${anchor.error.issues[0]?.message}.\n${usage}`);
    return anchor.data;
  });
}

async function open({ databaseUrl, dataDir }: Environment): Promise<Database> {
  if (databaseUrl !== null) return openDatabase({ url: databaseUrl });
  // Opening a folder that is not there would make an empty database, and call it sound.
  if (!existsSync(join(dataDir, "database"))) {
    throw new CannotLookError(
      `There is no embedded database in ${dataDir}. Name its folder with ACRAL_DATA_DIR, or the server with DATABASE_URL.`,
    );
  }
  try {
    return await openDatabase({ dataDir });
  } catch (cause) {
    if (!(cause instanceof FolderInUseError)) throw cause;
    throw new CannotLookError(
      `Acral is running on the embedded database in ${dataDir}, which bears one owner at a time. Stop it, verify, and start it again. (${cause.message})`,
      { cause },
    );
  }
}

async function requireChain(database: Database): Promise<void> {
  const [row] = await database.query("select to_regclass('audit_chain_head') is not null as there");
  if (row?.there !== true) {
    throw new CannotLookError(
      "The audit trail of this database is not chained yet: an older version wrote it last. Start Acral once; it chains the entries that are there, and verifies from then on.",
    );
  }
}

function nameOf(chain: string, title: string | null): string {
  if (title !== null) return `study “${title}” (${chain})`;
  return chain === "outside" ? "what happens outside studies" : `study ${chain}, which does not exist`;
}

function lineOf({ chain, title, entries, faults, head }: VerifiedChain): string {
  const what = `${nameOf(chain, title)}: ${entries} ${entries === 1 ? "entry" : "entries"}`;
  const note = head === null ? "no head" : `head ${anchorText(head)}`;
  return faults === 0 ? `OK     ${what}, ${note}` : `FAULTY ${what}, ${faults} found, ${note}`;
}

async function main(): Promise<number> {
  const anchors = readAnchors();
  const database = await open(readEnvironment(process.env));
  try {
    await requireChain(database);
    let faults = 0;
    let chains = 0;
    await verifyChains(database, anchors, {
      onFault(chain, { kind, sequence, at, problem }) {
        faults++;
        const when = at === null ? "" : ` of ${at}`;
        console.log(`FOUND  study ${chain}, entry ${sequence}${when}, ${kind}: ${problem}`);
      },
      onChain(chain) {
        chains++;
        console.log(lineOf(chain));
      },
    });
    console.log(
      faults === 0
        ? `The audit trail is whole: ${chains} ${chains === 1 ? "chain" : "chains"}. Keep the heads outside of this machine; --expect finds later whether an end was cut.`
        : `The audit trail was tampered with: ${faults} ${faults === 1 ? "finding" : "findings"}. Keep this output and a copy of the database as it is, and compare with a backup.`,
    );
    return faults === 0 ? 0 : 1;
  } finally {
    await database.close();
  }
}

try {
  process.exitCode = await main();
} catch (error) {
  const inWords = error instanceof CannotLookError || error instanceof EnvironmentError;
  console.error(inWords ? error.message : error);
  process.exitCode = 2;
}
