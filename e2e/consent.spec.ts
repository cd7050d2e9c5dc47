import { readFileSync } from "node:fs";
import { faultsOfScreen } from "./look-at-screen";
import { ConsentFormsPage } from "./pages/consent-forms-page";
import { EntryPages } from "./pages/entry-pages";
import { VolunteersPage } from "./pages/volunteers-page";
import { expect, test } from "./server";

const script = "<script>document.title='taken over'</script>";
const name = "Solveig Testvik";

test("a volunteer reads, decides and signs on a phone by a link, keeps the copy, and a used link opens nothing", async ({
  page,
  server,
  browser,
}) => {
  const entry = new EntryPages(page);
  await entry.createFirstAccount(server.firstAccountCode());
  const studyId = await entry.createStudy(`Hands ${script}`);
  const forms = new ConsentFormsPage(page, studyId);
  await forms.open();
  await forms.startDraft();
  await forms.write({ title: `Consent ${script}`, text: `Invented. ${script} You may stop at any time.` });
  await forms.save();
  await forms.putInForce();
  const code = await new VolunteersPage(page, studyId).register({ sex: "female", birthYear: 1990 });
  await page.getByRole("button", { name: "Make a link to sign" }).click();
  const address = await page.getByLabel(`Link for ${code}, to sign`, { exact: true }).inputValue();
  expect(await faultsOfScreen(page, "links of a volunteer")).toEqual([]);

  const phone = await browser.newContext({ viewport: { width: 390, height: 844 } });
  const volunteer = await phone.newPage();
  const opened = await volunteer.goto(address);
  expect(opened?.headers()["referrer-policy"]).toBe("no-referrer");
  expect(opened?.headers()["x-robots-tag"]).toContain("noindex");
  expect(opened?.headers()["cache-control"]).toBe("no-store");
  expect(opened?.headers()["content-security-policy"]).toContain("'nonce-");
  await expect(volunteer.getByRole("heading", { level: 1, name: `Consent ${script}` })).toBeVisible();
  await expect(volunteer).toHaveTitle(/Consent form/);
  await expect(volunteer.getByRole("link", { name: "Acral" })).toHaveCount(0);
  await expect(volunteer.getByRole("radio", { checked: true })).toHaveCount(0);
  expect(await faultsOfScreen(volunteer, "consent form by link")).toEqual([]);
  await volunteer.setViewportSize({ width: 390, height: 844 });

  // Nothing decided, nothing signed: each open point is named.
  await volunteer.getByRole("button", { name: "Sign", exact: true }).click();
  await expect(volunteer.getByRole("alert").filter({ hasText: "Still open" })).toContainText(
    "Please decide: yes or no.",
  );

  // By the keyboard alone: decisions, name, typed signature, confirmation.
  const questions = volunteer.getByRole("group");
  for (let index = 0; index < (await questions.count()); index++) {
    await questions.nth(index).getByRole("radio").first().focus();
    await volunteer.keyboard.press("Space");
    // The last is refused: it is no condition of taking part.
    if (index === (await questions.count()) - 1) await volunteer.keyboard.press("ArrowRight");
    await volunteer.keyboard.press("Tab");
  }
  await volunteer.getByLabel("Your name").focus();
  await volunteer.keyboard.type(name);
  await volunteer.getByRole("checkbox", { name: /typed name/ }).focus();
  await volunteer.keyboard.press("Space");
  await volunteer.getByRole("checkbox", { name: /my own decisions/ }).focus();
  await volunteer.keyboard.press("Space");
  // What was still open is named until the next try, with links; the button comes after them.
  await volunteer.getByRole("button", { name: "Sign", exact: true }).focus();
  await volunteer.keyboard.press("Enter");
  await expect(volunteer.getByRole("heading", { level: 1, name: "Thank you. It is signed." })).toBeVisible();
  expect(await faultsOfScreen(volunteer, "signed by link")).toEqual([]);
  const own = await volunteer.getByLabel("Link to your page", { exact: true }).inputValue();
  const download = volunteer.waitForEvent("download");
  await volunteer.getByRole("button", { name: "Save my copy (PDF)" }).click();
  expect(
    readFileSync(await (await download).path())
      .subarray(0, 5)
      .toString(),
  ).toBe("%PDF-");

  await volunteer.goto(address);
  await expect(volunteer.getByRole("heading", { name: "This link cannot be used" })).toBeVisible();
  await volunteer.goto(own);
  await expect(
    volunteer.getByRole("listitem").filter({ hasText: "I take part in this study." }),
  ).toContainText("Yes");
  expect(await faultsOfScreen(volunteer, "own page of a volunteer")).toEqual([]);
  await phone.close();

  await page.reload();
  await expect(page.getByText("Taking part: permitted")).toBeVisible();
  await page.getByText(/^History \(/).click();
  await page.getByRole("button", { name: "Countersign" }).click();
  await page.getByRole("dialog").getByRole("button", { name: "Countersign" }).click();
  await expect(page.getByText(/Countersigned by/)).toBeVisible();
  await expect(page.getByText(name)).toHaveCount(0);
  expect(server.output()).not.toContain(address.split("/").at(-1) ?? "");
});
