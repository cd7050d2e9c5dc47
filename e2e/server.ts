import { type ChildProcess, spawn } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { test as base } from "@playwright/test";
import { freePort } from "../scripts/free-port";

const root = fileURLToPath(new URL("..", import.meta.url));

/** The product as `npm start` runs it: its own process, its own folder, an empty workspace. */
export interface RunningServer {
  readonly address: string;
  readonly dataDir: string;
  /** What the terminal has printed so far. */
  output(): string;
  /** The one-time code for the first account, as the terminal prints it. */
  firstAccountCode(): string;
  /** Ends the process at once, as a power cut would, and starts it again on the same folder. */
  killAndRestart(): Promise<void>;
  /** Ends it as Ctrl+C does; its folder stays until the test is over. */
  stop(): Promise<void>;
}

function start(
  port: number,
  dataDir: string,
): { process: ChildProcess; output: () => string; ready: Promise<void> } {
  let output = "";
  const child = spawn(process.execPath, ["--import", "tsx", "scripts/start.ts"], {
    cwd: root,
    // A process group of its own, so that the whole tree can be killed.
    detached: true,
    env: { ...process.env, PORT: String(port), HOST: "127.0.0.1", ACRAL_DATA_DIR: dataDir, DATABASE_URL: "" },
    stdio: ["ignore", "pipe", "pipe"],
  });
  const ready = new Promise<void>((resolve, reject) => {
    const read = (chunk: Buffer) => {
      output += chunk.toString();
      if (output.includes("Stop with Ctrl+C")) resolve();
    };
    child.stdout?.on("data", read);
    child.stderr?.on("data", read);
    child.once("close", (code) => reject(new Error(`The server ended with ${code}:\n${output}`)));
  });
  return { process: child, output: () => output, ready };
}

function kill(child: ChildProcess, signal: NodeJS.Signals): Promise<void> {
  if (child.exitCode !== null || child.signalCode !== null || child.pid === undefined)
    return Promise.resolve();
  const closed = new Promise<void>((resolve) => child.once("close", () => resolve()));
  process.kill(-child.pid, signal);
  return closed;
}

export const test = base.extend<{ server: RunningServer }>({
  server: [
    // biome-ignore lint/correctness/noEmptyPattern: Playwright reads the names of the fixtures from this pattern
    async ({}, use) => {
      const dataDir = mkdtempSync(join(tmpdir(), "acral-e2e-"));
      const port = await freePort();
      let running = start(port, dataDir);
      await running.ready;
      await use({
        address: `http://127.0.0.1:${port}`,
        dataDir,
        output: () => running.output(),
        firstAccountCode() {
          const code = /enter the code ([A-Z0-9-]+)/.exec(running.output())?.[1];
          if (code === undefined) throw new Error(`The terminal printed no code:\n${running.output()}`);
          return code;
        },
        async killAndRestart() {
          await kill(running.process, "SIGKILL");
          running = start(port, dataDir);
          await running.ready;
        },
        stop: () => kill(running.process, "SIGTERM"),
      });
      await kill(running.process, "SIGTERM");
      rmSync(dataDir, { recursive: true, force: true });
    },
    { timeout: 240_000 },
  ],
  baseURL: async ({ server }, use) => use(server.address),
});

export { expect } from "@playwright/test";
