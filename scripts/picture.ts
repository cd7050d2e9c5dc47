import { mkdirSync, mkdtempSync, rmSync, statSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { SimulatedTrial } from "@acral/simulator";
import { chromium, type Page } from "@playwright/test";
import { findOrInstallBrowser } from "./browser";
import { root } from "./build";
import { type ServerAddress, signIn } from "./demo-client";
import { leadSignIn } from "./demo-people";
import { trialProgress } from "./demo-progress";
import { codeOf, comparisons, demoStudy, keyOf } from "./demo-scenario";
import { readDemoEnvironment, serveDemo } from "./demo-server";
import { freePort } from "./free-port";

/**
 * `npm run picture` loads the demo into a new folder and takes the README's pictures of it;
 * `npm run picture <address>` takes them of a demo that runs already.
 */

const folder = join(root, "docs");

/** The first accepted trial that falls and rewarms, and that the camera recorded without a fault. */
function typicalTrial(): SimulatedTrial {
  const { trials, truth } = demoStudy;
  const typical = trials.find(
    ({ fate, volunteerIndex }, index) =>
      fate.kind === "accepted" &&
      truth.responses[volunteerIndex] === "falls then rewarms" &&
      truth.trial(index).cameraFaults.length === 0,
  );
  if (typical === undefined) throw new Error("The scenario has no typical trial.");
  return typical;
}

async function take(page: Page, url: string, file: string): Promise<void> {
  await page.goto(url, { waitUntil: "networkidle" });
  // The figure is drawn once it has a line; those of the grid are joined to nothing.
  const figure = page.locator("main figure").first();
  await figure.locator("svg path[stroke-linejoin]").first().waitFor();
  await figure.evaluate((element) => element.scrollIntoView({ block: "center" }));
  const path = join(folder, file);
  await page.screenshot({ path, animations: "disabled" });
  console.log(`docs/${file} (${Math.round(statSync(path).size / 1024)} kB)`);
}

/** Signs in as a person would, and takes a trial and the first comparison of the demo study. */
async function takeAll(address: ServerAddress): Promise<void> {
  const client = await signIn(address, leadSignIn.email, leadSignIn.password);
  if (client === null) throw new Error(`The demo does not run at ${address.local}.`);
  const studies = await client.api.study.list.query();
  const studyId = studies.find(({ title }) => title === demoStudy.title)?.studyId ?? "";
  const { rows } = await client.api.trial.list.query({ studyId, states: ["accepted"], pageSize: 200 });
  const saved = await client.api.comparison.list.query({ studyId });
  const shown = typicalTrial();
  const trial = rows.find(
    (row) =>
      row.volunteerCode === codeOf(shown.volunteerIndex) &&
      row.conditionKey === keyOf(shown.condition) &&
      row.occasion === shown.occasion,
  );
  const comparison = saved.find(({ name }) => name === comparisons.at(-1)?.name);
  if (trial === undefined || comparison === undefined) throw new Error("The demo lacks what is pictured.");

  const browser = await chromium.launch({
    executablePath: findOrInstallBrowser(),
    // Chromium refuses to run as root inside its sandbox.
    args: process.getuid?.() === 0 ? ["--no-sandbox"] : [],
  });
  try {
    const page = await browser.newPage({ viewport: { width: 1440, height: 900 }, colorScheme: "light" });
    await page.goto(`${address.local}/sign-in`);
    await page.locator("input[name=email]").fill(leadSignIn.email);
    await page.locator("input[name=password]").fill(leadSignIn.password);
    await page.getByRole("button", { name: "Sign in" }).click();
    await page.waitForURL("**/studies");
    mkdirSync(folder, { recursive: true });
    const study = `${address.local}/studies/${studyId}`;
    await take(page, `${study}/trials/${trial.trialId}`, "trial.png");
    await take(page, `${study}/comparisons/${comparison.comparisonId}`, "comparison.png");
  } finally {
    await browser.close();
  }
}

async function ofNewDemo(): Promise<void> {
  const dataDir = mkdtempSync(join(tmpdir(), "acral-picture-"));
  const { server, address, load } = await serveDemo(
    readDemoEnvironment({ HOST: "127.0.0.1", PORT: String(await freePort()), ACRAL_DATA_DIR: dataDir }),
  );
  try {
    await load({ ready: () => undefined, progress: trialProgress(process.stdout) });
    await takeAll(address);
  } finally {
    await server.stop();
    rmSync(dataDir, { recursive: true, force: true });
  }
}

const running = process.argv[2];
try {
  if (running === undefined) await ofNewDemo();
  else await takeAll({ local: running, shown: running });
} catch (error) {
  console.error(error instanceof Error ? error.message : error);
  process.exitCode = 1;
}
