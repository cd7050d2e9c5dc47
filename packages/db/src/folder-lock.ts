import { readFileSync, rmSync, writeFileSync } from "node:fs";
import { setTimeout as later } from "node:timers/promises";

/**
 * One process owns an embedded database: a second one on the same folder would destroy it. The lock file holds the
 * number of the process; one that a killed process left behind is taken over.
 */
export class FolderInUseError extends Error {
  override readonly name = "FolderInUseError";
}

interface Owner {
  readonly pid: number;
  /** When the process began, where the system tells (Linux): numbers of processes are used again. */
  readonly began: string | null;
}

function beganOf(pid: number): string | null {
  try {
    // Fields 3 and 22 of proc(5) stat; the name in field 2 may hold spaces, so counting starts behind its bracket.
    const fields = readFileSync(`/proc/${pid}/stat`, "utf8").split(") ").at(-1)?.split(" ") ?? [];
    // One that has ended and waits for its parent to notice holds nothing open any more.
    return fields[0] === "Z" || fields[0] === "X" ? null : (fields[19] ?? null);
  } catch {
    // No such process, or a system without /proc: the number alone has to decide.
    return null;
  }
}

function isRunning({ pid, began }: Owner): boolean {
  if (pid === process.pid) return beganOf(pid) === began;
  try {
    process.kill(pid, 0);
  } catch (error) {
    // The process exists and belongs to somebody else.
    if (!(error instanceof Error && "code" in error && error.code === "EPERM")) return false;
  }
  return began === null || beganOf(pid) === began;
}

function ownerOf(file: string): Owner | null {
  try {
    const [pid, began] = readFileSync(file, "utf8").split(" ");
    const number = Number(pid);
    return Number.isInteger(number) && number > 0 ? { pid: number, began: began || null } : null;
  } catch (error) {
    if (error instanceof Error && "code" in error && error.code === "ENOENT") return null;
    throw error;
  }
}

/** Takes the lock and returns what gives it back. */
export function lockFolder(file: string, folder: string): () => void {
  for (let attempt = 0; attempt < 3; attempt++) {
    try {
      writeFileSync(file, `${process.pid} ${beganOf(process.pid) ?? ""}`, { flag: "wx", mode: 0o600 });
      return () => rmSync(file, { force: true });
    } catch (error) {
      if (!(error instanceof Error && "code" in error && error.code === "EEXIST")) throw error;
    }
    const owner = ownerOf(file);
    if (owner !== null && isRunning(owner)) {
      throw new FolderInUseError(
        `Another Acral (process ${owner.pid}) is using the embedded database in ${folder}. Stop it first, choose another folder with ACRAL_DATA_DIR, or use a PostgreSQL server with DATABASE_URL.`,
      );
    }
    rmSync(file, { force: true });
  }
  throw new FolderInUseError(
    `The embedded database in ${folder} is being opened by several processes at once.`,
  );
}

const patience = { tries: 50, pauseMs: 100 } as const;

/**
 * The same, but gives a process that is just ending the time to end: a server that was killed and is started again at
 * once meets the last moments of the one before.
 */
export async function lockFolderWhenFree(file: string, folder: string): Promise<() => void> {
  for (let tried = 1; ; tried++) {
    try {
      return lockFolder(file, folder);
    } catch (error) {
      if (!(error instanceof FolderInUseError) || tried === patience.tries) throw error;
      await later(patience.pauseMs);
    }
  }
}
