import { readdirSync, readFileSync } from "node:fs";
import { readFile } from "node:fs/promises";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import type { Page } from "@playwright/test";
import { strFromU8, unzipSync } from "fflate";
import { type DemoClient, signIn } from "../scripts/demo-client";
import { faultsOfScreen } from "./look-at-screen";
import { ConsentFormsPage } from "./pages/consent-forms-page";
import { EntryPages, leadPassword } from "./pages/entry-pages";
import { ProtocolPage } from "./pages/protocol-page";
import { ReleasesPage } from "./pages/releases-page";
import { TrialPage } from "./pages/trial-page";
import { TrialsPage } from "./pages/trials-page";
import { VolunteerPage } from "./pages/volunteer-page";
import { VolunteersPage } from "./pages/volunteers-page";
import { textOfPdf } from "./pdf-text";
import { expect, test } from "./server";

// Invented, and made of words and numbers that occur nowhere else.
const person = {
  name: "Thessaly Quornmere",
  contact: "thessaly@tarn-holm.example",
  dateOfBirth: "1991-10-29",
};
const signedAs = "Th. Quornmere-Vael";
const fileName = "xylographic-5519.csv";
const ownValue = "33.6071";
const visit = readFileSync(fileURLToPath(new URL("files/visit-bare-one.csv", import.meta.url)), "utf8");

/** A volunteer who stays, with one accepted trial: by the API, since nothing here is about them. */
async function volunteerWhoStays({ api, upload }: DemoClient, studyId: string, n: number): Promise<void> {
  const bodyMeasures = { measuredOn: "2026-01-15", heightCm: 172, massKg: 65, skinfoldsMm: null };
  const { volunteerId } = await api.volunteer.register.mutate({
    studyId,
    sex: "female",
    birthYear: 1991,
    bodyMeasures,
  });
  const form = (await api.consent.forms.query({ studyId })).find(({ state }) => state === "in_force");
  const formId = form?.formId ?? "";
  const { permissions } = await api.consent.form.query({ studyId, formId });
  await api.consent.record.mutate({
    studyId,
    volunteerId,
    formId,
    signedAt: new Date().toISOString(),
    nameAsSigned: `Ilkamoor Ferrantz ${n}`,
    decisions: Object.fromEntries(permissions.map(({ key }) => [key, true])),
  });
  const conditionKey = (await api.trial.list.query({ studyId })).conditions[0]?.key ?? "";
  const { trialId } = await api.trial.plan.mutate({ studyId, volunteerId, conditionKey, occasion: 1 });
  const bytes = new TextEncoder().encode(visit.replaceAll("33.60", `33.60${n}`));
  const { sourceFileId } = await upload(studyId, trialId, { name: `stays-${n}.csv`, bytes });
  const { proposal, revision } = await api.sourceFile.proposal.query({ studyId, sourceFileId });
  if (proposal === null) throw new Error("no column map was proposed");
  await api.sourceFile.read.mutate({ studyId, sourceFileId, revision, columnMap: proposal.columnMap });
  const read = await api.trial.get.query({ studyId, trialId });
  const markers = read.markersByDurations;
  await api.trial.saveMarkers.mutate({ studyId, trialId, revision: read.revision, markers });
  const marked = await api.trial.get.query({ studyId, trialId });
  await api.trial.accept.mutate({ studyId, trialId, revision: marked.revision });
}

async function drawSignature(page: Page): Promise<void> {
  const pad = page.getByRole("img", { name: /^Field for your signature/ });
  await pad.scrollIntoViewIfNeeded();
  const box = await pad.boundingBox();
  if (box === null) throw new Error("the field for the signature has no place");
  await page.mouse.move(box.x + box.width * 0.2, box.y + box.height * 0.6);
  await page.mouse.down();
  for (const [x, y] of [
    [0.35, 0.3],
    [0.5, 0.7],
    [0.75, 0.4],
  ] as const) {
    await page.mouse.move(box.x + box.width * x, box.y + box.height * y, { steps: 4 });
  }
  await page.mouse.up();
  await expect(page.getByRole("img", { name: "Field for your signature, signed" })).toBeVisible();
}

/** Where a text stands, in whatever encoding: in every file of the folder, byte by byte, and in what was printed. */
function placesOf(text: string, folder: string, printed: string): string[] {
  const swapped = Buffer.from(text, "utf16le").swap16();
  const wanted = [Buffer.from(text, "utf8"), Buffer.from(text, "utf16le"), swapped];
  const files = readdirSync(folder, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile())
    .map((entry) => join(entry.parentPath, entry.name))
    .filter((path) => {
      const bytes = readFileSync(path);
      return path.includes(text) || wanted.some((sought) => bytes.includes(sought));
    });
  return printed.includes(text) ? [...files, "what the server printed"] : files;
}

test("somebody is invited, signs, takes part, takes sharing back, and has everything erased: nothing is left but the code", async ({
  page,
  server,
  browser,
}) => {
  const entry = new EntryPages(page);
  await entry.createFirstAccount(server.firstAccountCode());
  const studyId = await entry.createStudy("People");
  const volunteerPage = new VolunteerPage(page);
  const phone = await browser.newContext({ viewport: { width: 390, height: 844 }, hasTouch: true });
  const volunteer = await phone.newPage();
  let code = "";
  let toSign = "";
  let ownPage = "";

  await test.step("a study with two who stay", async () => {
    const protocol = new ProtocolPage(page, studyId);
    await protocol.open();
    await protocol.startDraft();
    await protocol.addPhase({ name: "Sitting", kind: "rest", minutes: 2 });
    await protocol.addPhase({ name: "Stepping", kind: "exercise", minutes: 5 });
    await protocol.addPhase({ name: "Standing", kind: "recovery", minutes: 3 });
    await protocol.addCondition("bare hands");
    await protocol.chooseRegion("Left forearm, anterior");
    await protocol.setRoomLimits({ airTemperatureC: [22, 24] });
    await protocol.setStopCriteria(["Dizziness."]);
    await protocol.save();
    await protocol.putInForce();
    const forms = new ConsentFormsPage(page, studyId);
    await forms.open();
    await forms.startDraft();
    await forms.write({ title: "Consent", text: "Invented. You may stop at any time." });
    await forms.save();
    await forms.putInForce();
    const address = { local: server.address, shown: server.address };
    const client = await signIn(address, "ina.lead@example.org", leadPassword);
    if (client === null) throw new Error("the lead could not sign in");
    await volunteerWhoStays(client, studyId, 1);
    await volunteerWhoStays(client, studyId, 2);
  });

  await test.step("invited: registered, identity apart, a link to read and sign; no trial is possible yet", async () => {
    code = await new VolunteersPage(page, studyId).register({
      sex: "female",
      birthYear: 1991,
      heightCm: 172,
      massKg: 65,
    });
    await volunteerPage.enterIdentity(person);
    await page.getByRole("button", { name: "Make a link to sign" }).click();
    toSign = await page.getByLabel(`Link for ${code}, to sign`, { exact: true }).inputValue();
    const volunteerAddress = page.url();
    await page.goto(`/studies/${studyId}/trials/new`);
    const choice = page.getByRole("combobox", { name: "Volunteer" });
    await choice.click();
    await choice.fill(code);
    await expect(page.getByText("No volunteer with consent in force has this code.")).toBeVisible();
    await page.goto(volunteerAddress);
  });

  await test.step("the volunteer reads, decides, signs by hand, and keeps the copy", async () => {
    await volunteer.goto(toSign);
    await expect(volunteer.getByText("Invented. You may stop at any time.")).toBeVisible();
    const decisions = volunteer.getByRole("group").filter({ has: volunteer.getByRole("radio") });
    for (const decision of await decisions.all()) {
      const refused = ((await decision.textContent()) ?? "").includes("in public");
      await decision.getByRole("radio", { name: refused ? /^No/ : /^Yes/ }).check();
    }
    await volunteer.getByLabel("Your name").fill(signedAs);
    await drawSignature(volunteer);
    await volunteer.getByRole("checkbox", { name: /my own decisions/ }).check();
    await volunteer.getByRole("button", { name: "Sign", exact: true }).click();
    await expect(volunteer.getByRole("heading", { name: "Thank you. It is signed." })).toBeVisible();
    ownPage = await volunteer.getByLabel("Link to your page", { exact: true }).inputValue();
    const waiting = volunteer.waitForEvent("download");
    await volunteer.getByRole("button", { name: "Save my copy (PDF)" }).click();
    const copy = textOfPdf(await readFile(await (await waiting).path()));
    for (const said of [
      signedAs,
      code,
      "I take part in this study.",
      "Invented. You may stop at any time.",
    ]) {
      expect(copy).toContain(said);
    }
    expect(copy).toMatch(/may be given to other researchers/);
    expect(copy).not.toContain(person.name);
  });

  await test.step("the team countersigns, and a trial is possible: a file is taken in and accepted", async () => {
    await page.reload();
    await page.getByText(/^History \(/).click();
    await page.getByRole("button", { name: "Countersign" }).click();
    await page.getByRole("dialog").getByRole("button", { name: "Countersign" }).click();
    await expect(page.getByText(/Countersigned by/)).toBeVisible();
    const gates = page.getByRole("list", { name: "What may be done now" });
    await expect(gates.getByText("open", { exact: true })).toHaveCount(3);
    await new TrialsPage(page, studyId).plan({ volunteer: code, condition: "bare hands" });
    const trial = new TrialPage(page);
    const bytes = Buffer.from(visit.replaceAll("33.60", ownValue));
    await trial.chooseFile({ name: fileName, mimeType: "text/csv", buffer: bytes });
    await expect(trial.arrived()).toBeVisible();
    await trial.readFile(fileName);
    await trial.placePhases(0);
    await trial.accept();
  });

  await test.step("the volunteer takes sharing back on the own page; the next release leaves them out", async () => {
    await volunteer.goto(ownPage);
    const sharing = /may be given to other researchers/;
    await volunteer.getByRole("button", { name: "Take back", exact: true }).click();
    await expect(volunteer.getByText("Choose what is taken back.")).toBeVisible();
    await volunteer.getByRole("radio", { name: sharing }).check();
    await expect(volunteer.getByRole("radio", { name: /Stop only/ })).not.toBeChecked();
    await volunteer.getByRole("radio", { name: /Stop only/ }).check();
    expect(await faultsOfScreen(volunteer, "own page, taking back")).toEqual([]);
    await volunteer.setViewportSize({ width: 390, height: 844 });
    await volunteer.getByRole("button", { name: "Take back", exact: true }).click();
    await expect(volunteer.getByText(/^It is taken back/)).toBeVisible();
    await expect(
      volunteer.getByRole("list", { name: "What you permit now" }).getByRole("listitem").filter({
        hasText: sharing,
      }),
    ).toContainText("No");

    const releases = new ReleasesPage(page, studyId);
    await releases.open();
    await releases.assess(2);
    await releases.make("For a test.");
    const files = unzipSync(new Uint8Array(await releases.download(1)));
    const people = strFromU8(files["volunteers.csv"] ?? new Uint8Array())
      .trim()
      .split(/\r?\n/);
    expect(people).toHaveLength(3);
    for (const [path, bytes] of Object.entries(files)) expect(strFromU8(bytes), path).not.toContain(ownValue);
  });

  await test.step("the volunteer has everything erased by the own page", async () => {
    // The search itself works: what is not encrypted is found before.
    expect(placesOf(ownValue, server.dataDir, server.output())).not.toEqual([]);
    await volunteer.getByRole("radio", { name: "All permissions" }).check();
    await volunteer.getByRole("radio", { name: /Erase everything/ }).check();
    await volunteer.getByLabel(`Type ${code} to confirm`).fill("V999");
    await volunteer.getByRole("button", { name: "Erase everything for good" }).click();
    await expect(volunteer.getByText(/nothing was erased/)).toBeVisible();
    await volunteer.getByLabel(`Type ${code} to confirm`).fill(code);
    await volunteer.getByRole("button", { name: "Erase everything for good" }).click();
    await expect(volunteer.getByRole("heading", { name: "Everything is erased" })).toBeVisible();
    await expect(volunteer.getByText(/The bytes are gone/)).toBeVisible();
    expect(await faultsOfScreen(volunteer, "everything erased")).toEqual([]);
    await volunteer.goto(ownPage);
    await expect(volunteer.getByRole("heading", { name: "This link cannot be used" })).toBeVisible();
    await phone.close();
    const list = new VolunteersPage(page, studyId);
    await list.open();
    await expect(list.row(code)).toContainText("erased");
  });

  await test.step("nothing of the person is left in any file of the server, nor in what it printed, but the code", async () => {
    await server.stop();
    const printed = server.output();
    const sought = [
      ...Object.values(person),
      ...person.name.split(" "),
      "tarn-holm",
      signedAs,
      "Quornmere",
      fileName,
      ownValue,
      toSign.split("/").at(-1) ?? "",
      ownPage.split("/").at(-2) ?? "",
    ];
    for (const text of sought) expect(placesOf(text, server.dataDir, printed), text).toEqual([]);
    expect(placesOf(code, server.dataDir, printed)).not.toEqual([]);
  });
});
