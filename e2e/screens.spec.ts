import { longNames, lookAround } from "./every-screen";
import { ConsentFormsPage } from "./pages/consent-forms-page";
import { EntryPages } from "./pages/entry-pages";
import { ProtocolPage } from "./pages/protocol-page";
import { TeamPage } from "./pages/team-page";
import { expect, test } from "./server";

// Beside this one, screens-people.spec.ts and screens-trials.spec.ts look at what stands in a study.
test("the ways in, a study with nothing in it, and what is written before its first volunteer: every screen is within reach of everybody", async ({
  page,
  server,
}) => {
  // Some twenty states at three widths: on a busy machine that is more than the usual limit.
  test.setTimeout(720_000);
  const { look, holds } = lookAround(page, [
    "404 .*/nowhere",
    "404 .*/studies/not-a-study",
    "409 .*/comparison.outcomes",
    "401 .*/sign-in/email",
  ]);

  const entry = new EntryPages(page);
  await page.goto("/first-account");
  await look("first account");
  await entry.createFirstAccount(server.firstAccountCode(), longNames.lead);
  await look("studies, empty");
  await page.goto("/studies/new");
  await look("new study");
  const studyId = await entry.createStudy(longNames.title);
  const study = `/studies/${studyId}`;
  await look("overview, empty");

  for (const path of [
    "protocol",
    "consent",
    "volunteers",
    "retention",
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
  await protocol.addCondition(longNames.conditions[0]);
  await protocol.addCondition(longNames.conditions[1], "Invented for a test.");
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

  const team = new TeamPage(page, studyId);
  await team.open();
  const invitation = await team.invite("somebody.with.a.long.address@department.example.org", "observer");
  await look("team");
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
  holds();
});
