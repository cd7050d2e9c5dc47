import { type ChildProcess, spawn } from "node:child_process";
import { createServer } from "node:net";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { type Environment, renewFirstAccountCode } from "@acral/api";
import { claimBlobFolder, migrate, openDatabase, readMigrations } from "@acral/db";
import { buildIfNeeded, root } from "./build";

/** A running server, and the code with which its first account can be created (null when there is one). */
export interface Server {
  readonly address: string;
  readonly firstAccountCode: string | null;
  readonly ended: Promise<number>;
  stop(): Promise<void>;
}

/** Builds what changed, brings the database up to date, starts the server and waits until it answers. */
export async function serve(environment: Environment): Promise<Server> {
  await assertPortIsFree(environment);
  await buildIfNeeded();
  const firstAccountCode = await prepareDatabase(environment);
  const server = startServer(environment);
  const ended = new Promise<number>((resolve) => server.on("close", (code) => resolve(code ?? 1)));
  await answering(environment, ended);
  return {
    address: environment.address,
    firstAccountCode,
    ended,
    async stop() {
      server.kill("SIGTERM");
      await ended;
    },
  };
}

async function prepareDatabase(environment: Environment): Promise<string | null> {
  const database = await openDatabase(
    environment.databaseUrl === null ? { dataDir: environment.dataDir } : { url: environment.databaseUrl },
  );
  try {
    await migrate(database, readMigrations(join(root, "prisma/migrations")));
    // Said here, in one line, and not by a server that ends while starting.
    await claimBlobFolder(join(environment.dataDir, "blobs"), database);
    return await renewFirstAccountCode({ database });
  } finally {
    await database.close();
  }
}

/**
 * Runs first in the server's process: however the process that started it ends, the server ends as well. One that was left
 * behind would keep the port, and the embedded database, which bears only one owner.
 */
const endWithStarter =
  'data:text/javascript,process.on("disconnect", () => process.kill(process.pid, "SIGTERM"))';

function startServer(environment: Environment): ChildProcess {
  const next = fileURLToPath(import.meta.resolve("next/dist/bin/next"));
  return spawn(
    process.execPath,
    [
      "--import",
      endWithStarter,
      next,
      "start",
      join(root, "apps/web"),
      "--hostname",
      environment.host,
      "--port",
      String(environment.port),
    ],
    {
      cwd: root,
      env: {
        ...process.env,
        NODE_ENV: "production",
        NEXT_TELEMETRY_DISABLED: "1",
        ACRAL_DATA_DIR: environment.dataDir,
        HOST: environment.host,
        PORT: String(environment.port),
      },
      stdio: ["ignore", "ignore", "inherit", "ipc"],
    },
  );
}

function assertPortIsFree({ host, port }: Environment): Promise<void> {
  return new Promise((resolve, reject) => {
    const probe = createServer();
    probe.once("error", (error: NodeJS.ErrnoException) => {
      const why = error.code === "EADDRINUSE" ? "another program uses it" : error.message;
      reject(
        new Error(
          `Acral cannot start on ${host}:${port}: ${why}. Choose another port, for instance PORT=3100 npm start.`,
        ),
      );
    });
    probe.listen(port, host, () => probe.close(() => resolve()));
  });
}

async function answering({ host, port }: Environment, ended: Promise<number>): Promise<void> {
  const deadline = Date.now() + 60_000;
  let over = false;
  void ended.then(() => {
    over = true;
  });
  for (;;) {
    if (over) throw new Error("The server ended while starting; what it said stands above.");
    const answer = await fetch(`http://${host}:${port}/api/health`).catch(() => null);
    if (answer?.ok) return;
    if (Date.now() > deadline) throw new Error("The server did not answer within a minute.");
    await new Promise((resolve) => setTimeout(resolve, 100));
  }
}

/** Ends the server with this process, and this process with the server. */
export async function untilStopped(server: Server): Promise<never> {
  let stopping = false;
  for (const signal of ["SIGINT", "SIGTERM"] as const) {
    process.on(signal, () => {
      if (stopping) return;
      stopping = true;
      void server.stop();
    });
  }
  const code = await server.ended;
  process.exit(stopping ? 0 : code);
}
