import { existsSync, readdirSync } from "node:fs";
import { join } from "node:path";
import type { Page } from "@playwright/test";
import { breakableLine } from "./breakable-line";
import { hostileFiles } from "./hostile-files";
import { ColumnMapsPage } from "./pages/column-maps-page";
import { TrialPage } from "./pages/trial-page";
import { TrialsPage } from "./pages/trials-page";
import { readyTrial } from "./ready-trial";
import { expect, test } from "./server";

/** What two instruments saw, in °C; invented. */
const seen = (t: number) =>
  33 + 0.3 * Math.sin(t / 31) + 0.4 * Math.sin(t / 17.3 + 2) + 0.3 * Math.sin(t / 71);

function csv(name: string, head: string, rows: number, row: (i: number) => string) {
  const text = `${head}\n${Array.from({ length: rows }, (_, i) => row(i)).join("\n")}\n`;
  return { name, mimeType: "text/csv", buffer: Buffer.from(text) };
}

/** Two sites under names that nobody can guess for the second one. */
const twoSites = (name: string, salt: number) =>
  csv(name, "time (s),left forearm anterior (mean °C),site B (mean °C)", 80, (i) =>
    [i, (33 + ((i + salt) % 40) / 100).toFixed(2), (31 + (i % 30) / 100).toFixed(2)].join(","),
  );

test("a wrong column map is corrected, proposed for the next file, and the file that was read by it is read again", async ({
  page,
  server,
}) => {
  const { studyId, code } = await readyTrial(page, server);
  const trial = new TrialPage(page);
  const maps = new ColumnMapsPage(page, studyId);

  await trial.chooseFile(twoSites("first.csv", 0));
  await expect(trial.upload("first.csv")).toContainText("has arrived");
  await trial.openColumnMap("first.csv");
  // The guess that nobody can make is marked as doubtful in words, not by colour alone.
  await expect(trial.columnMap("first.csv").getByRole("row").filter({ hasText: "site B" })).toContainText(
    /doubtful, \d+ %/,
  );
  await expect(
    trial.columnMap("first.csv").getByRole("row").filter({ hasText: "left forearm" }),
  ).toContainText(/sure, \d+ %|doubtful, \d+ %/);
  await trial.setRegion("first.csv", "site B", "Left calf, posterior");
  await trial.setUnit("first.csv", "site B", "°C");

  await test.step("what was entered is still there after a reload", async () => {
    await page.reload();
    await trial.openColumnMap("first.csv");
    await expect(trial.columnMap("first.csv")).toContainText("is here again");
    await expect(
      trial
        .columnMap("first.csv")
        .getByRole("row")
        .filter({ hasText: "site B" })
        .getByLabel(/^Region of/),
    ).toHaveValue("Left calf, posterior");
  });
  await trial.nameColumnMap("first.csv", "Two sites");
  await trial.readFile("first.csv");

  await new TrialsPage(page, studyId).plan({ volunteer: code, condition: "gloves" });
  await trial.chooseFile(twoSites("second.csv", 1));
  await trial.openColumnMap("second.csv");
  await expect(trial.columnMap("second.csv")).toContainText("A file of this layout was read before");
  await trial.setRegion("second.csv", "site B", "Left hand, dorsal");
  await trial.readFile("second.csv");
  await expect(trial.file("second.csv")).toContainText(
    "1 other file of this layout was read by an earlier map",
  );

  await test.step("the earlier file is read again from the list of column maps", async () => {
    await maps.open();
    await expect(maps.map("Two sites")).toContainText("1 file read by an earlier map");
    await maps.openFiles("Two sites");
    const row = maps.file("Two sites", "first.csv");
    await expect(row).toContainText("Left calf, posterior (mean), °C → Left hand, dorsal (mean), °C");
    await maps.readAgain("Two sites");
    await expect(row).toContainText(/Read again; changed: site B/);
    await expect(row).toContainText("by this map");
    await expect(maps.map("Two sites")).toContainText("2 files read by it");
  });
  await test.step("and reading it once more changes nothing, bit for bit", async () => {
    await row(page, "first.csv").getByRole("link").click();
    await trial.openColumnMap("first.csv");
    await trial.readFile("first.csv");
    await expect(trial.file("first.csv")).toContainText("the same as before, bit for bit");
  });
  await test.step("the map is renamed and removed", async () => {
    await maps.open();
    await maps.rename("Two sites", "Forearm and hand");
    await maps.remove("Forearm and hand");
    await expect(page.getByText("No column map is kept yet.")).toBeVisible();
  });
});

const row = (page: Page, name: string) => page.getByRole("row").filter({ hasText: name });

test("uploads show how far they are, and are cancelled, cut off, tried again and queued without losing each other", async ({
  page,
  server,
}) => {
  const { studyId, trialId } = await readyTrial(page, server);
  const trial = new TrialPage(page);
  const incoming = join(server.dataDir, "blobs", "incoming");
  const underWay = () => (existsSync(incoming) ? readdirSync(incoming).length : 0);
  const long = csv(
    "long.csv",
    "time (s),left forearm anterior (mean °C)",
    400_000,
    (i) => `${i},${seen(i).toFixed(4)}`,
  );
  const line = await breakableLine(server.address);
  await page.goto(`${line.address}/studies/${studyId}/trials/${trialId}`);
  const browser = await page.context().newCDPSession(page);
  await browser.send("Network.enable");
  const throttle = (bytesPerS: number) =>
    browser.send("Network.emulateNetworkConditions", {
      offline: false,
      latency: 0,
      downloadThroughput: -1,
      uploadThroughput: bytesPerS,
    });

  await test.step("cancelled in the middle: nothing is kept", async () => {
    await throttle(400_000);
    await trial.chooseFile(long);
    await expect(trial.upload("long.csv")).toContainText(/of \d+\.\d MB.*\/s.*left/, { timeout: 60_000 });
    await expect.poll(underWay).toBe(1);
    await trial
      .upload("long.csv")
      .getByRole("button", { name: /^Cancel/ })
      .click();
    await expect(trial.upload("long.csv")).toContainText("The upload was cancelled. Nothing was kept.");
    await expect.poll(underWay, { timeout: 30_000 }).toBe(0);
    await expect(trial.file("long.csv")).toHaveCount(0);
  });

  await test.step("a connection that breaks: nothing is kept, and it says so", async () => {
    const cut = page.waitForRequest(new RegExp(`/trials/${trialId}/files$`));
    await trial
      .upload("long.csv")
      .getByRole("button", { name: /again$/ })
      .click();
    await cut;
    await expect.poll(underWay, { timeout: 60_000 }).toBe(1);
    line.cut();
    await expect(trial.upload("long.csv").getByRole("alert")).toContainText(
      /The connection broke before “long\.csv” had arrived/,
      { timeout: 60_000 },
    );
    line.mend();
    await expect.poll(underWay, { timeout: 30_000 }).toBe(0);
  });

  await test.step("a reload in the middle says which file did not arrive", async () => {
    await throttle(400_000);
    await trial
      .upload("long.csv")
      .getByRole("button", { name: /again$/ })
      .click();
    await expect(trial.upload("long.csv")).toContainText(/left/, { timeout: 60_000 });
    page.once("dialog", (dialog) => void dialog.accept());
    await page.reload();
    await throttle(-1);
    await expect(page.getByText(/“long\.csv” had not arrived when this page was left/)).toBeVisible();
    await expect.poll(underWay, { timeout: 30_000 }).toBe(0);
    await expect(trial.file("long.csv")).toHaveCount(0);
  });

  await test.step("tried again, among others, it arrives whole; one that fails does not stop the next", async () => {
    await trial.chooseFile([
      long,
      {
        name: "picture.csv",
        mimeType: "text/csv",
        buffer: Buffer.from("89504e470d0a1a0a0000000d49484452", "hex"),
      },
      csv("short.csv", "time (s),left hand dorsal (mean °C)", 100, (i) => `${i},${seen(i).toFixed(3)}`),
    ]);
    await expect(trial.upload("long.csv")).toContainText("has arrived", { timeout: 60_000 });
    await expect(trial.upload("picture.csv").getByRole("alert")).toContainText("PNG image");
    await expect(trial.upload("short.csv")).toContainText("has arrived");
    expect((await trial.download("long.csv")).equals(long.buffer)).toBe(true);
  });
  await line.close();
});

test("two files are put on one clock by an estimate that is looked at first, and a file is replaced and put back", async ({
  page,
  server,
}) => {
  await readyTrial(page, server);
  const trial = new TrialPage(page);
  const camera = csv(
    "camera.csv",
    "time (s),left forearm anterior (mean °C)",
    500,
    (i) => `${i},${seen(i).toFixed(3)}`,
  );
  // The second instrument was started 42 s later, and says nothing of it.
  const second = csv("second.csv", "time (s),left hand dorsal (mean °C)", 380, (i) =>
    [i, (seen(i + 42) + 0.4).toFixed(3)].join(","),
  );
  await trial.chooseFile([camera, second]);
  await expect(trial.upload("second.csv")).toContainText("has arrived");
  for (const name of ["camera.csv", "second.csv"]) {
    await trial.openColumnMap(name);
    await trial.readFile(name);
  }

  await test.step("an estimate, shown before anything is moved", async () => {
    const clock = await trial.openClock("second.csv");
    await clock.getByLabel("By an estimate from what both saw").check();
    await clock.getByRole("button", { name: "Estimate the offset" }).click();
    const numbers = clock.getByLabel("Estimate", { exact: true });
    await expect(numbers).toContainText(/4[12](\.\d+)? s \(moved by \+/);
    await expect(numbers).toContainText(/(1\.00|0\.99) over \d+ s/);
    await expect(clock.getByRole("figure")).toBeVisible();
    await clock.getByRole("button", { name: /^Take this estimate/ }).click();
    await expect(trial.file("second.csv")).toContainText(
      /Its zero lies at 4[12](\.\d+)? s on the trial's clock. Estimated where/,
    );
  });
  await test.step("taken back, and placed by an event that both saw", async () => {
    const clock = await trial.openClock("second.csv");
    await clock.getByRole("button", { name: "Take this back: to 0 s" }).click();
    await expect(trial.file("second.csv")).not.toContainText("Its zero lies at");
    await clock.getByLabel("By an event that both saw").check();
    await clock.getByRole("textbox", { name: "What both saw" }).fill("the door opened");
    await clock.getByLabel("At, in this file").fill("58");
    await clock.getByLabel("At, in the other file").fill("100");
    await clock.getByRole("button", { name: "Place it at 42 s" }).click();
    await expect(trial.file("second.csv")).toContainText("By an event that both saw (the door opened)");
    await trial.closeClock("second.csv");
  });
  await test.step("a new export takes the place of the first one, with a reason", async () => {
    const again = csv(
      "camera-again.csv",
      "time (s),left forearm anterior (mean °C)",
      520,
      (i) => `${i},${seen(i).toFixed(3)}`,
    );
    await trial.replace("camera.csv", "The first export stopped early.", again);
    await expect(trial.file("camera-again.csv")).toContainText(/read, 1 trace/);
    await expect(trial.file("camera-again.csv")).toContainText("It has taken the place of camera.csv");
    await expect(trial.file("camera.csv")).toHaveCount(0);
    await trial.file("camera-again.csv").getByText("It has taken the place of camera.csv").click();
    await expect(trial.file("camera-again.csv")).toContainText("Reason: The first export stopped early.");
    await trial.chooseFile(camera);
    await expect(trial.upload("camera.csv").getByRole("alert")).toContainText(
      /were replaced in .* Put that file back/,
    );
    await trial.file("camera-again.csv").getByRole("button", { name: "Put back" }).click();
    const dialog = page.getByRole("dialog");
    await dialog.getByLabel("Reason").fill("It was the right one.");
    await dialog.getByRole("button", { name: "Put back" }).click();
    await expect(trial.file("camera.csv")).toContainText("It has taken the place of camera-again.csv");
    expect((await trial.download("camera.csv")).equals(camera.buffer)).toBe(true);
  });
});

test("every hostile file gets its own sentence, and the page goes on working", async ({ page, server }) => {
  test.setTimeout(480_000);
  const { trialId } = await readyTrial(page, server);
  const trial = new TrialPage(page);
  const complaints: string[] = [];
  page.on("pageerror", (error) => complaints.push(error.message));
  page.on("dialog", (dialog) => {
    complaints.push(`a dialog: ${dialog.message()}`);
    void dialog.dismiss();
  });
  const title = await page.title();
  for (const { name, bytes, outcome, says } of hostileFiles()) {
    await test.step(name, async () => {
      await trial.chooseFile({ name, mimeType: "text/csv", buffer: bytes });
      if (outcome === "refused") {
        await expect(trial.upload(name).getByRole("alert")).toContainText(says, { timeout: 60_000 });
        await expect(trial.file(name)).toHaveCount(0);
        await trial
          .upload(name)
          .getByRole("button", { name: /^Take off the list/ })
          .click();
        return;
      }
      await expect(trial.file(name)).toBeVisible({ timeout: 60_000 });
      await trial.showColumnMap(name);
      if (outcome === "read") await trial.readFile(name);
      await expect(trial.file(name)).toContainText(says);
      await trial.removeFile(name, "Made to break things.");
    });
  }
  // Nothing of a file ran, and nothing of it is left under way.
  expect(complaints).toEqual([]);
  expect(await page.title()).toBe(title);
  const usual = csv(
    "usual.csv",
    "time (s),left forearm anterior (mean °C)",
    60,
    (i) => `${i},${seen(i).toFixed(2)}`,
  );
  await trial.chooseFile(usual);
  await trial.openColumnMap("usual.csv");
  await trial.readFile("usual.csv");
  await expect(page).toHaveURL(new RegExp(`/trials/${trialId}$`));
});
