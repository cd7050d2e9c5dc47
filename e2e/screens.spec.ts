import { join } from "node:path";
import { fileURLToPath } from "node:url";
import type { Page } from "@playwright/test";
import { faultsOfScreen, watchConsole } from "./look-at-screen";
import { ComparisonPage } from "./pages/comparison-page";
import { ConsentFormsPage } from "./pages/consent-forms-page";
import { EntryPages } from "./pages/entry-pages";
import { ProtocolPage } from "./pages/protocol-page";
import { ReleasesPage } from "./pages/releases-page";
import { TeamPage } from "./pages/team-page";
import { TrialPage } from "./pages/trial-page";
import { TrialQuality } from "./pages/trial-quality";
import { TrialsPage } from "./pages/trials-page";
import { VolunteerPage } from "./pages/volunteer-page";
import { VolunteersPage } from "./pages/volunteers-page";
import { expect, test } from "./server";

const file = (name: string) => join(fileURLToPath(new URL("./files/", import.meta.url)), name);

/** A title and a name as long as people write them: they must not push anything out of sight. */
const title =
  "Do the forearms of people who step on a bench with insulated gloves rewarm while they are still stepping?";
const leadName = "Wilhelmina-Charlotte von Ostertag-Lindqvist";

test("every screen, empty and with something in it, is within reach of everybody: no finding of WCAG 2.2 AA, no page wider than its window, no complaint of the browser", async ({
  page,
  server,
}) => {
  // Some fifty states at three widths: on a busy machine that is more than the usual limit.
  test.setTimeout(720_000);
  // The browser reports every answer that refuses something; these are asked for below, to see how they are shown.
  const refused = [
    "404 .*/nowhere",
    "404 .*/studies/not-a-study",
    "409 .*/comparison.outcomes",
    "400 .*/volunteer.register",
    "401 .*/sign-in/email",
  ].map((answer) => new RegExp(`responded with a status of ${answer}`));
  const complaints = watchConsole(page, (text) => refused.some((answer) => answer.test(text)));
  const faults: string[] = [];
  const look = async (name: string) => {
    await settled(page);
    faults.push(...(await faultsOfScreen(page, name)));
  };

  const entry = new EntryPages(page);
  await page.goto("/first-account");
  await look("first account");
  await entry.createFirstAccount(server.firstAccountCode(), leadName);
  await look("studies, empty");
  await page.goto("/studies/new");
  await look("new study");
  const studyId = await entry.createStudy(title);
  const study = `/studies/${studyId}`;
  await look("overview, empty");

  for (const path of [
    "protocol",
    "consent",
    "volunteers",
    "trials",
    "quality",
    "column-maps",
    "comparisons",
    "methods",
    "releases",
    "team",
  ]) {
    await page.goto(`${study}/${path}`);
    await look(`${path}, empty`);
  }
  for (const path of ["trials/new", "comparisons/new"]) {
    await page.goto(`${study}/${path}`);
    await look(`${path}, nothing to choose from`);
  }

  const protocol = new ProtocolPage(page, studyId);
  await protocol.open();
  await protocol.startDraft();
  await look("protocol, new draft");
  await protocol.addPhase({ name: "Sitting", kind: "rest", minutes: 2 });
  await protocol.addPhase({ name: "Stepping", kind: "exercise", minutes: 5 });
  await protocol.addPhase({ name: "Standing", kind: "recovery", minutes: 3 });
  await protocol.addCondition("bare hands");
  await protocol.addCondition("insulated gloves to the wrist", "Invented for a test.");
  await protocol.setOccasions(1);
  for (const region of [
    "Left chest",
    "Left upper arm, lateral",
    "Left forearm, anterior",
    "Left hand, dorsal",
    "Left thigh, anterior",
    "Left calf, posterior",
  ]) {
    await protocol.chooseRegion(region);
  }
  await protocol.setRoomLimits({ airTemperatureC: [22, 24] });
  await protocol.setImaging({
    camera: "An invented camera",
    warmUpMin: 45,
    distanceM: 1.5,
    notApplicable: { item: "Preparation of the skin", reason: "Nobody touches the skin." },
  });
  await protocol.setStopCriteria(["Dizziness, or looking unwell."]);
  await protocol.save();
  await look("protocol, filled draft");
  await protocol.putInForce();
  await look("protocol, in force");

  const forms = new ConsentFormsPage(page, studyId);
  await forms.open();
  await forms.startDraft();
  await forms.write({ title: "Consent to a test", text: "# Invented\n\nYou may stop at any time." });
  await forms.save();
  await look("consent form, draft");
  await forms.putInForce();
  await look("consent form, in force");

  const volunteers = new VolunteersPage(page, studyId);
  await volunteers.openRegistration();
  await volunteers.fill({ sex: "male", birthYear: 1850, heightCm: 17, massKg: 70 });
  await volunteers.submit();
  await expect(page.getByLabel("Birth year")).toHaveAttribute("aria-invalid", "true");
  await look("new volunteer, refused");
  const code = await volunteers.register({ sex: "female", birthYear: 1990, heightCm: 168, massKg: 61 });
  await look("volunteer, without consent");
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
  await volunteers.open();
  await look("volunteers");

  const trials = new TrialsPage(page, studyId);
  await page.goto(`${study}/trials/new`);
  await look("plan a trial");
  await trials.plan({ volunteer: code, condition: "bare hands" });
  await look("trial, planned");
  const trial = new TrialPage(page);
  await trial.saveRoom({ airTemperatureC: 23 });
  await trial.imaging().getByRole("button", { name: "Fill in the record" }).click();
  await trial.imaging().getByText("All reporting items, and where they are entered").click();
  await look("trial, imaging record");
  await trial.saveImaging().click();
  await expect(trial.imaging().getByText("45 min")).toBeVisible();
  await trial.chooseFile(file("visit-bare-one.csv"));
  await expect(trial.arrived()).toBeVisible();
  await trial.openColumnMap("visit-bare-one.csv");
  await expect(
    trial
      .columnMap("visit-bare-one.csv")
      .getByText(/33\.60/)
      .first(),
  ).toBeVisible();
  await look("trial, column map");
  await trial.readFile("visit-bare-one.csv");
  await trial.placePhases(0);
  await expect(page.getByRole("region", { name: "Measures by region" })).toBeVisible();
  await look("trial, recorded");
  await page.getByRole("button", { name: "Make an adjustment" }).click();
  await page.getByLabel("First moment after the step").fill("300");
  await page.getByLabel("Height, taken out from there on").fill("0.3");
  await expect(page.getByText(/The largest change is 0\.30 °C/)).toBeVisible();
  await look("make an adjustment");
  await new TrialQuality(page).record("To look at an adjusted trial.");
  await new TrialQuality(page).show("Both");
  await look("trial, adjusted");
  for (const panel of ["Place in time", "What was read", "Replace"]) {
    const file = trial.file("visit-bare-one.csv");
    await file.getByRole("button", { name: panel }).click();
    await look(`trial, ${panel.toLowerCase()}`);
    await file.getByRole("button", { name: /^Close: / }).click();
  }
  await page.getByRole("button", { name: "Accept", exact: true }).click();
  await look("accept the trial");
  await page.keyboard.press("Escape");
  await trial.accept();
  await look("trial, accepted");
  await trials.plan({ volunteer: code, condition: "insulated gloves to the wrist" });
  await trial.setAside("The camera stood still.");
  await look("trial, set aside");
  await trials.open();
  await look("trials");
  await page.goto(`${study}/quality`);
  await look("quality");
  await page.goto(`${study}/column-maps`);
  await page.getByRole("button", { name: /^Its files/ }).click();
  await look("column maps");

  await page.goto(`${study}/methods`);
  await look("methods");

  const comparison = new ComparisonPage(page, studyId);
  await comparison.ask({
    region: "Left forearm, anterior",
    measure: "change, °C",
    reference: "bare hands",
    comparedWith: "insulated gloves to the wrist",
  });
  await look("comparison, new");
  await comparison.save("Forearm");
  await look("comparison, saved");
  await page.goto(`${study}/comparisons`);
  await look("comparisons");

  const releases = new ReleasesPage(page, studyId);
  await releases.open();
  await releases.assess(5);
  await expect(releases.refusal()).toBeVisible();
  await look("release, refused");

  const team = new TeamPage(page, studyId);
  await team.open();
  const invitation = await team.invite("somebody.with.a.long.address@department.example.org", "observer");
  await look("team");
  await page.goto(`${study}/audit`);
  await look("audit trail");
  await page.goto(study);
  await look("overview");
  await page.goto("/studies");
  await look("studies");
  await page.goto("/account");
  await look("account");
  await page.goto("/nowhere");
  await look("not found");
  await page.goto("/studies/not-a-study");
  await look("study not found");

  await page.context().clearCookies();
  await page.goto(new URL(invitation).pathname);
  await look("invitation");
  await page.goto("/invitation/not-a-link");
  await look("invitation, not known");
  await page.goto("/sign-in");
  await look("sign in");
  await page.getByLabel("E-mail address").fill("nobody@example.org");
  await page.getByRole("textbox", { name: "Password" }).fill("not the password");
  await page.getByRole("button", { name: "Sign in" }).click();
  await expect(page.getByRole("alert").filter({ hasText: /./ })).toBeVisible();
  await look("sign in, refused");

  expect(faults).toEqual([]);
  expect(complaints).toEqual([]);
});

/** Nothing is being read any more. */
async function settled(page: Page): Promise<void> {
  await expect(page.locator("main")).toBeVisible();
  await expect(page.locator("[aria-busy=true]")).toHaveCount(0);
  await expect(page.getByRole("status").filter({ hasText: / …$/ })).toHaveCount(0);
}
