import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { TrialPage } from "./pages/trial-page";
import { VolunteerPage } from "./pages/volunteer-page";
import { VolunteersPage } from "./pages/volunteers-page";
import { readyTrial } from "./ready-trial";
import { expect, test } from "./server";

const file = (name: string) => join(fileURLToPath(new URL("./files/", import.meta.url)), name);

test("files that cannot be read say what, where and what to do, and nothing else is lost", async ({
  page,
  server,
}) => {
  const { studyId, code } = await readyTrial(page, server);
  const trial = new TrialPage(page);

  await test.step("an empty file", async () => {
    await trial.chooseFile(file("empty.csv"));
    await expect(trial.uploadFailure()).toContainText(/empty/i);
  });

  await test.step("a picture under a text name", async () => {
    await trial.chooseFile(file("picture.csv"));
    await expect(trial.uploadFailure()).toContainText(/not a text file|damaged/i);
  });

  await test.step("a file without a time column, kept as it is", async () => {
    await trial.chooseFile(file("no-time.csv"));
    await expect(trial.arrived()).toBeVisible();
    await expect(trial.file("no-time.csv")).toContainText(/time/i);
    // Nothing can be read before somebody says which column is the time: the file waits, with the reason beside it.
    await expect(
      trial.columnMap("no-time.csv").getByRole("button", { name: /^Read the file/ }),
    ).toBeDisabled();
  });

  await test.step("a unit that nobody knows, named with its column", async () => {
    await trial.chooseFile(file("unknown-unit.csv"));
    await trial.openColumnMap("unknown-unit.csv");
    await trial
      .columnMap("unknown-unit.csv")
      .getByRole("button", { name: /^Read the file/ })
      .click();
    await expect(trial.file("unknown-unit.csv").getByRole("alert").first()).toContainText("°X");
  });

  await test.step("a file that was cut off in the middle of a row is read up to there, and says so", async () => {
    await trial.chooseFile(file("cut-short.csv"));
    await trial.openColumnMap("cut-short.csv");
    // It has regions that the protocol does not ask for: said before the file is read, and no reason to refuse it.
    await expect(trial.file("cut-short.csv")).toContainText(/protocol/);
    await expect(trial.file("cut-short.csv")).toContainText("Left chest");
    await trial.readFile("cut-short.csv");
    await expect(trial.file("cut-short.csv")).toContainText(
      /breaks off in the middle of its last row \(line 14\)/,
    );
  });

  await test.step("the same bytes again, naming where they are", async () => {
    await trial.chooseFile(file("cut-short.csv"));
    await expect(trial.uploadFailure()).toContainText(code);
  });

  await test.step("and every file that arrived is still there", async () => {
    await page.goto(page.url());
    for (const name of ["no-time.csv", "unknown-unit.csv", "cut-short.csv"])
      await expect(trial.file(name)).toBeVisible();
    await expect(page).toHaveURL(new RegExp(`/studies/${studyId}/trials/`));
  });
});

test("a page that does not listen yet takes no entry, so that nothing chosen early is put back", async ({
  page,
  server,
}) => {
  const { studyId } = await readyTrial(page, server);
  let release = () => {};
  const held = new Promise<void>((resolve) => {
    release = resolve;
  });
  await page.route("**/_next/static/**/*.js*", async (route) => {
    await held;
    await route.continue();
  });
  await page.goto(`/studies/${studyId}/volunteers/new`, { waitUntil: "commit" });
  await expect(page.getByLabel("Sex")).toBeDisabled();
  await expect(page.getByLabel("Birth year")).toBeDisabled();
  release();
  await page.getByLabel("Sex").selectOption({ label: "female" });
  await page.getByLabel("Birth year").fill("1990");
  await expect(page.getByLabel("Sex").locator("option:checked")).toHaveText("female");
  await page.getByRole("button", { name: "Register", exact: true }).click();
  await expect(page.getByText(/^Taking part:/)).toBeVisible();
});

test("people and consents out of range are refused beside their field, with the text kept", async ({
  page,
  server,
}) => {
  const { studyId, code } = await readyTrial(page, server);
  const volunteers = new VolunteersPage(page, studyId);

  await test.step("a height and a birth year that no adult has", async () => {
    await volunteers.openRegistration();
    await volunteers.fill({ sex: "male", birthYear: 1850, heightCm: 17, massKg: 70 });
    await volunteers.submit();
    await expect(page.getByLabel("Height")).toHaveAttribute("aria-invalid", "true");
    await page.getByLabel("Height").fill("178");
    await volunteers.submit();
    await expect(page.getByLabel("Birth year")).toHaveAttribute("aria-invalid", "true");
    await expect(page.getByLabel("Birth year")).toHaveValue("1850");
    await expect(page.getByLabel("Mass", { exact: true })).toHaveValue("70");
  });

  await test.step("a code that exists", async () => {
    await volunteers.openRegistration();
    await volunteers.fill({ code, sex: "male", birthYear: 1990 });
    await volunteers.submit();
    await expect(page.getByLabel("Code")).toHaveAttribute("aria-invalid", "true");
    await expect(
      page.getByText(new RegExp(`${code}.*(exists|taken|used)|(exists|taken|used).*${code}`, "i")).first(),
    ).toBeVisible();
    await expect(page.getByLabel("Birth year")).toHaveValue("1990");
  });

  await test.step("a consent that is dated in the future", async () => {
    await volunteers.register({ sex: "male", birthYear: 1985 });
    const volunteer = new VolunteerPage(page);
    await volunteer.openConsent();
    await volunteer.fillConsent({ nameAsSigned: "Torvald Testvik", signedAt: "2099-01-01T10:00" });
    await volunteer.submitConsent();
    await expect(page.getByLabel("Signed on")).toHaveAttribute("aria-invalid", "true");
    await expect(page.getByText(/future/i).first()).toBeVisible();
    await expect(page.getByLabel("Name as signed")).toHaveValue("Torvald Testvik");
  });

  await test.step("two people editing the same volunteer: the second is told, and keeps the text", async () => {
    const other = await page.context().newPage();
    for (const tab of [page, other]) {
      await new VolunteersPage(tab, studyId).open();
      await new VolunteersPage(tab, studyId).openVolunteer(code);
    }
    await new VolunteerPage(page).editDetails({ birthYear: 1991 });
    await new VolunteerPage(other).editDetails({ birthYear: 1992 });
    await new VolunteerPage(page).saveDetails();
    await expect(new VolunteerPage(page).section("Details")).toContainText("1991");
    await new VolunteerPage(other).saveDetails();
    await expect(new VolunteerPage(other).conflict()).toContainText("1991");
    await expect(new VolunteerPage(other).conflict()).toContainText("1992");
    await other.close();
  });
});
