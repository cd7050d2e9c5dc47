import { readFileSync } from "node:fs";
import type { FileChooser } from "@playwright/test";
import { settled, testFile } from "./every-screen";
import { goThroughDialog, tabTo, walk } from "./keyboard-walk";
import { readyTrial } from "./ready-trial";
import { expect, test } from "./server";

const file = "visit-bare-one.csv";

test("a volunteer is registered, consents, and is recorded, and every screen is walked through, with the keyboard alone", async ({
  page,
  server,
}) => {
  const { studyId } = await readyTrial(page, server);
  const study = `/studies/${studyId}`;
  const { keyboard } = page;
  const studyNavigation = page.getByRole("navigation", { name: "Study" });
  const faults: string[] = [];
  // Listened for from the start: the browser is told of a listener beside the keys, and could hear of one that waits later than of Enter.
  const choosers: FileChooser[] = [];
  page.on("filechooser", (chooser) => choosers.push(chooser));

  await test.step("register a volunteer", async () => {
    await page.goto(`${study}/volunteers`);
    await settled(page);
    await keyboard.press("Tab");
    await expect(page.getByRole("link", { name: "Skip to the content" })).toBeFocused();
    await keyboard.press("Enter");
    await tabTo(page, page.getByRole("link", { name: "Register a volunteer" }));
    await keyboard.press("Enter");
    await expect(page.getByRole("button", { name: "Register", exact: true })).toBeEnabled();
    await tabTo(page, page.getByLabel("Sex"));
    await keyboard.type("fem");
    await tabTo(page, page.getByLabel("Birth year"));
    await keyboard.type("1991");
    await keyboard.press("Enter");
    await expect(page.getByText(/^Taking part:/)).toBeVisible();
  });
  const code = (await page.getByRole("heading", { level: 1 }).textContent()) ?? "";

  await test.step("record the consent", async () => {
    await tabTo(page, page.getByRole("link", { name: /^Record consent/ }));
    await keyboard.press("Enter");
    await expect(page.getByRole("heading", { name: /^Record consent of/ })).toBeVisible();
    const questions = page.getByRole("group").filter({ has: page.getByRole("radio") });
    await expect(questions.first()).toBeVisible();
    for (const question of await questions.all()) {
      await tabTo(page, question.getByRole("radio").first());
      await keyboard.press("Space");
    }
    await tabTo(page, page.getByLabel("Name as signed"));
    await keyboard.type("Solveig Testvik");
    await tabTo(page, page.getByRole("button", { name: "Record consent" }));
    await keyboard.press("Enter");
    await expect(page.getByText("Taking part: permitted")).toBeVisible();
  });

  await test.step("plan a trial", async () => {
    await tabTo(page, studyNavigation.getByRole("link", { name: "Trials" }), "Shift+Tab");
    await keyboard.press("Enter");
    await expect(page.getByRole("heading", { name: "Trials", level: 1 })).toBeVisible();
    await tabTo(page, page.getByRole("link", { name: "Plan a trial" }));
    await keyboard.press("Enter");
    await tabTo(page, page.getByRole("combobox", { name: "Volunteer" }));
    await keyboard.type(code);
    await expect(page.getByRole("option", { name: code, exact: true })).toBeVisible();
    await keyboard.press("ArrowDown");
    await keyboard.press("Enter");
    await tabTo(page, page.getByLabel("Condition"));
    await keyboard.type("bare");
    await tabTo(page, page.getByRole("button", { name: "Plan this trial" }));
    await keyboard.press("Enter");
    await expect(page.getByRole("heading", { name: `${code} · bare hands · occasion 1` })).toBeVisible();
  });

  await test.step("upload, read, place the phases and accept", async () => {
    await tabTo(page, page.getByRole("button", { name: "Choose files" }));
    await keyboard.press("Enter");
    await expect.poll(() => choosers.length).toBe(1);
    await choosers[0]?.setFiles({ name: file, mimeType: "text/csv", buffer: readFileSync(testFile(file)) });
    const read = page.getByRole("button", { name: /^Read the file/ });
    await expect(read).toBeEnabled();
    await tabTo(page, read, "Shift+Tab");
    await keyboard.press("Enter");
    await expect(page.getByText(/^read, \d+ traces?$/)).toBeVisible();
    await tabTo(page, page.getByRole("button", { name: "Place the phases by the protocol's durations" }));
    await keyboard.press("Enter");
    await tabTo(page, page.getByRole("button", { name: "Save the markers" }));
    await keyboard.press("Enter");
    await expect(page.getByRole("region", { name: "Measures by region" })).toBeVisible();
    faults.push(
      ...(await goThroughDialog(page, page.getByRole("button", { name: "Make an adjustment" }))),
      ...(await goThroughDialog(page, page.getByRole("button", { name: "Set aside", exact: true }))),
    );
    await tabTo(page, page.getByRole("button", { name: "Accept", exact: true }));
    await keyboard.press("Enter");
    await tabTo(page, page.getByRole("dialog").getByRole("button", { name: "Accept" }));
    await keyboard.press("Enter");
    await expect(page.getByText(/^accepted since/)).toBeVisible();
  });
  const trial = new URL(page.url()).pathname;

  await test.step("every screen", async () => {
    await page.goto(`${study}/volunteers`);
    const volunteer =
      (await page.getByRole("link", { name: code, exact: true }).getAttribute("href")) ?? "no volunteer";
    const screens = [
      "/studies",
      "/studies/new",
      "/account",
      study,
      ...[
        "protocol",
        "consent",
        "volunteers",
        "volunteers/new",
        "retention",
        "trials",
        "trials/new",
        "quality",
        "column-maps",
        "comparisons",
        "comparisons/new",
        "methods",
        "releases",
        "team",
        "audit",
      ].map((path) => `${study}/${path}`),
      volunteer,
      `${volunteer}/consent`,
      trial,
    ];
    let elements = 0;
    for (const path of screens) {
      await page.goto(path);
      await settled(page);
      const walked = await walk(page);
      elements += walked.elements;
      faults.push(...walked.faults.map((fault) => `${path.replace(studyId, "…")}: ${fault}`));
    }
    expect(elements).toBeGreaterThan(screens.length * 10);
  });

  await test.step("dialogs and menus", async () => {
    await page.goto(trial.replace(/\/trials\/.*/, "/team"));
    for (const name of [/^Account of/, /^Light or dark$/]) {
      const button = page.getByRole("button", { name });
      await tabTo(page, button);
      await keyboard.press("Enter");
      await expect(page.getByRole("menu")).toBeVisible();
      await keyboard.press("ArrowDown");
      await expect(page.getByRole("menu").locator(":focus")).toHaveCount(1);
      await keyboard.press("Escape");
      await expect(page.getByRole("menu")).toBeHidden();
      await expect(button).toBeFocused();
    }
    await page.goto(`${study}/volunteers`);
    await tabTo(page, page.getByRole("link", { name: code, exact: true }));
    await keyboard.press("Enter");
    faults.push(
      ...(await goThroughDialog(page, page.getByRole("button", { name: "Erase this volunteer" }))),
      ...(await goThroughDialog(page, page.getByRole("button", { name: /^Withdraw/ }))),
    );
    const history = page.getByText(/^History \(/);
    await tabTo(page, history);
    await keyboard.press("Enter");
    await expect(page.getByRole("button", { name: "Countersign" })).toBeVisible();
  });
  expect(faults).toEqual([]);
});
