import { longNames, lookAround } from "./every-screen";
import { ConsentFormsPage } from "./pages/consent-forms-page";
import { EntryPages } from "./pages/entry-pages";
import { VolunteerPage } from "./pages/volunteer-page";
import { VolunteersPage } from "./pages/volunteers-page";
import { expect, test } from "./server";

test("volunteers, their consent, their own pages, what is kept of them and what is left after erasure: every screen is within reach of everybody", async ({
  page,
  server,
  browser,
}) => {
  // Some twenty states at three widths: on a busy machine that is more than the usual limit.
  test.setTimeout(720_000);
  const { look, watch, holds } = lookAround(page, [
    "400 .*/volunteer.register",
    "400 .*/retention.savePlan",
    "409 .*/forYou.read",
    "404 .*/forYou.read",
    "410 .*/forYou.read",
  ]);
  const entry = new EntryPages(page);
  await entry.createFirstAccount(server.firstAccountCode(), longNames.lead);
  const studyId = await entry.createStudy(longNames.title);
  const study = `/studies/${studyId}`;
  const forms = new ConsentFormsPage(page, studyId);
  await forms.open();
  await forms.startDraft();
  await forms.write({ title: "Consent to a test", text: "# Invented\n\nYou may stop at any time." });
  await forms.save();
  await forms.putInForce();

  const volunteers = new VolunteersPage(page, studyId);
  await volunteers.openRegistration();
  await look("new volunteer");
  await volunteers.fill({ sex: "male", birthYear: 1850, heightCm: 17, massKg: 70 });
  await volunteers.submit();
  await expect(page.getByLabel("Birth year")).toHaveAttribute("aria-invalid", "true");
  await look("new volunteer, refused");
  const code = await volunteers.register({ sex: "female", birthYear: 1990, heightCm: 168, massKg: 61 });
  await look("volunteer, without consent");
  const volunteerPage = page.url();
  const volunteer = new VolunteerPage(page);
  await volunteer.openConsent();
  await look("record consent");
  await volunteer.fillConsent({ nameAsSigned: "Solveig Testvik" });
  await volunteer.submitConsent();
  await volunteer.enterIdentity({ name: "Solveig Testvik", contact: "solveig@example.org" });
  await look("volunteer, with consent");
  await volunteer.section("Consent").getByRole("button", { name: "Withdraw" }).click();
  await look("withdrawal");
  await page.keyboard.press("Escape");
  await volunteer.section("Identity").getByRole("button", { name: "Show identity" }).click();
  await look("show identity");
  await page.keyboard.press("Escape");
  await page.getByRole("button", { name: "Make a link to sign" }).click();
  const toSign = await page.getByLabel(`Link for ${code}, to sign`, { exact: true }).inputValue();
  await page.getByRole("button", { name: "Make a link to the own page" }).click();
  const toOwn = await page.getByLabel(`Link for ${code}, to the own page`, { exact: true }).inputValue();
  await look("volunteer, links");

  await page.goto(`${study}/invitation`);
  await expect(page.getByText("Nothing is kept until you save")).toBeVisible();
  await look("invitation, draft");
  await page.getByLabel("How do I say no?").fill("Say no, or say nothing.");
  await page.getByRole("button", { name: "Save invitation" }).click();
  await expect(page.getByText("Still to fill in")).toBeVisible();
  await page.getByRole("link", { name: "Page to print" }).click();
  await expect(page.getByRole("heading", { name: "How do I say no?" })).toBeVisible();
  await look("invitation, sheet");
  await page.emulateMedia({ media: "print" });
  await expect(page.getByRole("button", { name: "Print" })).toBeHidden();
  await expect(page.getByRole("navigation")).toHaveCount(0);
  await expect(page.getByText("Say no, or say nothing.")).toBeVisible();
  await page.emulateMedia({ media: null });
  await page.goto(volunteerPage);
  await page.getByRole("button", { name: "Make a link to the invitation" }).click();
  const toInvitation = await page
    .getByLabel(`Link for ${code}, to the invitation`, { exact: true })
    .inputValue();

  // Volunteers open their links on a device of their own, where nobody is signed in.
  const phone = await browser.newContext();
  const theirs = await phone.newPage();
  watch(theirs);
  await theirs.goto(toSign);
  await look("for you, to sign", theirs);
  await theirs.getByRole("button", { name: "Sign", exact: true }).click();
  await look("for you, still open", theirs);
  await theirs.goto(toOwn);
  await expect(theirs.getByRole("heading", { name: "Your page", level: 1 })).toBeVisible();
  await look("for you, own page", theirs);
  await theirs.goto(toInvitation);
  await theirs.getByLabel("a woman").check();
  await theirs.getByLabel("Clothing").fill("A long shirt.");
  await theirs.getByRole("button", { name: "Save preferences" }).click();
  await expect(theirs.getByText("What you prefer is saved.")).toBeVisible();
  await look("for you, invitation", theirs);
  await theirs.goto("/for-you/not-a-link");
  await look("for you, no such link", theirs);
  await phone.close();

  await page.reload();
  await expect(page.getByText("The one who runs the trial shall be a woman.")).toBeVisible();
  await page.getByRole("button", { name: "Change preferences" }).click();
  await look("volunteer, preferences");

  await volunteers.open();
  await look("volunteers");

  await page.goto(`${study}/retention`);
  await page.getByLabel("The study ended on").fill("2020-01-31");
  const afterEnd = page.getByRole("group", { name: "After the end of the study" });
  await afterEnd.getByLabel("identity").fill("12");
  await afterEnd.getByLabel("files and recordings").fill("120");
  await look("retention, filled in");
  await page.getByRole("button", { name: "Save", exact: true }).click();
  const remove = page.getByRole("button", { name: `Remove the identity of ${code}` });
  await expect(remove).toBeVisible();
  await look("retention, due");
  await remove.click();
  await look("remove what is due");
  await page.keyboard.press("Escape");

  await page.goto(volunteerPage);
  await page.getByRole("button", { name: "Erase this volunteer" }).click();
  await look("erase a volunteer");
  const erasure = page.getByRole("dialog");
  await erasure.getByLabel(`Type ${code} to confirm`).fill(code);
  await erasure.getByLabel("Why it is erased").fill("The volunteer asked for it.");
  await erasure.getByRole("button", { name: "Erase for good" }).click();
  await expect(page.getByRole("heading", { name: "Erased", exact: true })).toBeVisible();
  await look("volunteer, erased");
  await volunteers.open();
  await look("volunteers, one erased");
  await page.goto(`${study}/audit`);
  await look("audit trail");
  holds();
});
