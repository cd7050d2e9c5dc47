import { type ChildProcess, spawn } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { expect, test } from "@playwright/test";
import { signIn } from "../scripts/demo-client";
import { freePort } from "../scripts/free-port";

const root = fileURLToPath(new URL("..", import.meta.url));

/** `npm run demo` in a process group of its own, and what its terminal shows. */
class Demo {
  #output = "";
  #waiting: (() => void)[] = [];
  readonly #process: ChildProcess;

  constructor(port: number, dataDir: string) {
    this.#process = spawn(process.execPath, ["--import", "tsx", "scripts/demo.ts"], {
      cwd: root,
      detached: true,
      env: {
        ...process.env,
        HOST: "127.0.0.1",
        PORT: String(port),
        ACRAL_DATA_DIR: dataDir,
        DATABASE_URL: "",
        ACRAL_ADDRESS: "",
      },
      stdio: ["ignore", "pipe", "pipe"],
    });
    const read = (chunk: Buffer) => {
      this.#output += chunk.toString();
      for (const look of this.#waiting) look();
    };
    this.#process.stdout?.on("data", read);
    this.#process.stderr?.on("data", read);
    this.#process.once("close", (code) => read(Buffer.from(`\nended with ${code}`)));
  }

  /** Until the terminal shows a text; fails when the process ends, or loading stops, before it does. */
  shows(text: string | RegExp): Promise<string> {
    return new Promise((resolve, reject) => {
      const look = () => {
        const found = typeof text === "string" ? this.#output.includes(text) : text.test(this.#output);
        if (!found && !/ended with|Loading the demo study stopped/.test(this.#output)) return;
        this.#waiting = this.#waiting.filter((other) => other !== look);
        if (found) resolve(this.#output);
        else reject(new Error(`The terminal never showed ${text}:\n${this.#output}`));
      };
      this.#waiting.push(look);
      look();
    });
  }

  end(signal: NodeJS.Signals): Promise<void> {
    const { pid, exitCode } = this.#process;
    if (pid === undefined || exitCode !== null) return Promise.resolve();
    const closed = new Promise<void>((resolve) => this.#process.once("close", () => resolve()));
    process.kill(-pid, signal);
    return closed;
  }
}

test("the demo can be used while it loads, goes on where a killed one stopped, and makes nothing twice", async ({
  page,
}) => {
  const dataDir = mkdtempSync(join(tmpdir(), "acral-demo-"));
  const port = await freePort();
  const shown = `http://127.0.0.1:${port}`;
  let demo = new Demo(port, dataDir);
  try {
    const printed = await demo.shows("Stop with Ctrl+C");
    const [, email = "", password = ""] = /(lead@\S+)\s+(\S+)/.exec(printed) ?? [];
    await page.goto(`${shown}/sign-in`);
    await page.locator("input[name=email]").fill(email);
    await page.locator("input[name=password]").fill(password);
    await page.getByRole("button", { name: "Sign in" }).click();
    await expect(page.getByText("Merrow Sands Rowing Club").first()).toBeVisible();

    await demo.shows("24 of 96 trials");
    await demo.end("SIGKILL");
    demo = new Demo(port, dataDir);
    const again = await demo.shows(/: \d+ of 96 trials/);
    expect(Number(/: (\d+) of 96/.exec(again)?.[1])).toBeGreaterThanOrEqual(24);
    await demo.shows("The demo study is complete (");

    const client = await signIn({ local: shown, shown }, email, password);
    if (client === null) throw new Error("The demo's lead investigator cannot sign in.");
    const [study, ...others] = await client.api.study.list.query();
    expect(others).toEqual([]);
    const studyId = study?.studyId ?? "";
    const overview = await client.api.study.overview.query({ studyId });
    expect(overview.volunteers).toEqual({ registered: 24, permitted: 22, withdrawn: 2 });
    expect(Object.fromEntries(overview.trials.map(({ state, count }) => [state, count]))).toEqual({
      planned: 0,
      recorded: 0,
      checked: 0,
      accepted: 91,
      set_aside: 5,
    });
    expect([overview.comparisons, overview.releases]).toEqual([3, 1]);
    const { members } = await client.api.team.list.query({ studyId });
    expect(members.map(({ role }) => role).sort()).toEqual([
      "analyst",
      "lead_investigator",
      "observer",
      "operator",
    ]);
    // Every upload, reading, acceptance and so on left one entry: had anything been done twice, there would be more.
    const counted = await Promise.all(
      [
        "file.upload",
        "sourceFile.read",
        "trial.plan",
        "trial.accept",
        "trial.setAside",
        "consent.record",
      ].map(async (action) => (await client.api.audit.list.query({ studyId, action })).total),
    );
    expect(counted).toEqual([93, 93, 96, 91, 5, 24]);

    await demo.end("SIGTERM");
    demo = new Demo(port, dataDir);
    await demo.shows("nothing was left to load");
  } finally {
    await demo.end("SIGTERM");
    rmSync(dataDir, { recursive: true, force: true });
  }
});
