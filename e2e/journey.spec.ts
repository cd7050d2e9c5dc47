import { readFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { Ajv } from "ajv";
import addFormats from "ajv-formats";
import { strFromU8, unzipSync } from "fflate";
import constraints from "../packages/release/test/fixtures/data-package-2.0-constraints.json" with {
  type: "json",
};
import { AuditPage } from "./pages/audit-page";
import { ComparisonPage } from "./pages/comparison-page";
import { ConsentFormsPage } from "./pages/consent-forms-page";
import { EntryPages } from "./pages/entry-pages";
import { OverviewPage } from "./pages/overview-page";
import { ProtocolPage } from "./pages/protocol-page";
import { ReleasesPage } from "./pages/releases-page";
import { TrialPage } from "./pages/trial-page";
import { TrialsPage } from "./pages/trials-page";
import { VolunteerPage } from "./pages/volunteer-page";
import { VolunteersPage } from "./pages/volunteers-page";
import { expect, test } from "./server";

const folder = fileURLToPath(new URL("./files/", import.meta.url));
const truth: Record<string, { timesS: number[]; "°C": Record<string, number[]> }> = JSON.parse(
  readFileSync(join(folder, "truth.json"), "utf8"),
);

/** Invented people; their files are worked out by hand (files/README.md). */
const people = [
  {
    identity: { name: "Ragnfrid Havåker", contact: "ragnfrid@example.org", dateOfBirth: "1991-02-17" },
    sex: "female",
    birthYear: 1991,
    heightCm: 168.3,
    massKg: 61.7,
    files: { "bare hands": "visit-bare-one.csv", gloves: "visit-gloves-one.csv" },
    forearm: { baseline: "32.20 °C", lowest: "31.00 °C", bare: "+1.00 °C" },
  },
  {
    identity: { name: "Yolotl Brandvik", contact: "+47 555 01 234", dateOfBirth: "1988-11-03" },
    sex: "female",
    birthYear: 1988,
    heightCm: 171.9,
    massKg: 64.2,
    files: {
      "bare hands": "Messung ohne Handschuhe zwei.txt",
      gloves: "Messung mit Handschuhen zwei.txt",
    },
    forearm: { baseline: "32.60 °C", lowest: "31.40 °C", bare: "+0.80 °C" },
  },
  {
    identity: { name: "Eskil Ptarmigan", contact: "Quay 9, Nowhere", dateOfBirth: "1995-07-29" },
    sex: "male",
    birthYear: 1995,
    heightCm: 179.4,
    massKg: 74.6,
    files: { "bare hands": "third bare.tsv", gloves: "third gloves.tsv" },
    forearm: { baseline: "31.90 °C", lowest: "30.70 °C", bare: "+1.30 °C" },
  },
] as const;

const regions = {
  "chest-left-anterior": "Left chest",
  "upper-arm-left-lateral": "Left upper arm, lateral",
  "forearm-left-anterior": "Left forearm, anterior",
  "hand-left-dorsal": "Left hand, dorsal",
  "thigh-left-anterior": "Left thigh, anterior",
  "calf-left-posterior": "Left calf, posterior",
} as const;

const forearm = regions["forearm-left-anterior"];

test("the whole job, from an empty workspace to an anonymised dataset that is read back", async ({
  browser,
  page,
  server,
}) => {
  const codes: string[] = [];
  let studyId = "";

  await test.step("1. start: the first visitor creates the first account with the terminal's code, and nobody else", async () => {
    const entry = new EntryPages(page);
    await entry.createFirstAccount(server.firstAccountCode());
    studyId = await entry.createStudy("Do forearms rewarm under gloves?");
    const stranger = await browser.newPage({ baseURL: server.address });
    await stranger.goto("/first-account");
    // Sent on to where people with an account enter: the way of the first one is closed.
    await expect(stranger.getByRole("heading", { name: "Sign in", level: 1 })).toBeVisible();
    await expect(stranger.getByLabel("One-time code")).toHaveCount(0);
    await stranger.close();
  });

  await test.step("2. register: a protocol in force, volunteers with identity apart and surface area at once", async () => {
    const protocol = new ProtocolPage(page, studyId);
    await protocol.open();
    await protocol.startDraft();
    await protocol.addPhase({ name: "Sitting", kind: "rest", minutes: 2 });
    await protocol.addPhase({ name: "Stepping", kind: "exercise", minutes: 5 });
    await protocol.addPhase({ name: "Standing", kind: "recovery", minutes: 3 });
    await protocol.addCondition("bare hands");
    await protocol.addCondition("gloves", "Insulated, to the wrist.");
    await protocol.setOccasions(1);
    for (const label of Object.values(regions)) await protocol.chooseRegion(label);
    await protocol.setRoomLimits({ airTemperatureC: [22, 24] });
    await protocol.setStopCriteria(["Dizziness, or looking unwell."]);
    await protocol.save();
    await protocol.putInForce();

    for (const person of people) {
      const list = new VolunteersPage(page, studyId);
      await list.openRegistration();
      await list.fill(person);
      await expect(list.surfaceArea()).toBeVisible();
      if (person === people[0]) {
        // Du Bois & Du Bois 1916: 0.007184 · 168.3^0.725 · 61.7^0.425 = 1.7027 m².
        await expect(list.surfaceArea()).toContainText("1.70");
      }
      await list.submit();
      await expect(page.getByText(/^Taking part:/)).toBeVisible();
      codes.push((await page.getByRole("heading", { level: 1 }).textContent()) ?? "");
      await new VolunteerPage(page).enterIdentity(person.identity);
    }
    expect(new Set(codes).size).toBe(3);
  });

  await test.step("3. consent: a form in force, decided permission by permission; without it no trial", async () => {
    await page.goto(`/studies/${studyId}/trials/new`);
    await expect(page.getByText("No volunteer permits taking part.")).toBeVisible();

    const forms = new ConsentFormsPage(page, studyId);
    await forms.open();
    await forms.startDraft();
    await forms.write({
      title: "Consent to a test",
      text: "An invented study for a test. You may stop at any time.",
    });
    await forms.save();
    await forms.putInForce();
    for (const [index, person] of people.entries()) {
      const list = new VolunteersPage(page, studyId);
      await list.open();
      await list.openVolunteer(codes[index] ?? "");
      await new VolunteerPage(page).recordConsent({ nameAsSigned: person.identity.name });
    }
  });

  await test.step("4 and 5. upload and look: every dialect is read to its truth, and its measures are the hand-worked ones", async () => {
    for (const [index, person] of people.entries()) {
      for (const condition of ["bare hands", "gloves"] as const) {
        const name = person.files[condition];
        await new TrialsPage(page, studyId).plan({ volunteer: codes[index] ?? "", condition });
        const trial = new TrialPage(page);
        await trial.saveRoom({
          airTemperatureC: 23,
          meanRadiantTemperatureC: 23,
          relativeHumidityPct: 45,
          airSpeedMS: 0.1,
        });
        await trial.chooseFile(join(folder, name));
        await expect(trial.arrived()).toBeVisible();
        await trial.readFile(name);
        expect((await trial.download(name)).equals(readFileSync(join(folder, name)))).toBe(true);
        await trial.placePhases(0);
        expect(await trial.measure(forearm, "baseline")).toBe(person.forearm.baseline);
        expect(await trial.measure(forearm, "lowest point")).toBe(person.forearm.lowest);
        if (condition === "bare hands")
          expect(await trial.measure(forearm, "change")).toBe(person.forearm.bare);
        await expect(trial.figure().first()).toBeVisible();
        await trial.accept();
      }
    }
  });

  await test.step("6. compare: the paired difference is R's, and nobody is missing", async () => {
    const comparison = new ComparisonPage(page, studyId);
    await comparison.ask({
      region: forearm,
      measure: "change, °C",
      reference: "bare hands",
      comparedWith: "gloves",
    });
    // R 4: t.test(c(0.4, 0.3, 0.5), c(1.0, 0.8, 1.3), paired = TRUE): t = -7.1813, df = 2, p-value = 0.01884,
    // 95 percent interval -1.0127922 to -0.2538745, mean difference -0.6333333; dz = -7.1813 / sqrt(3) = -4.15.
    await expect(comparison.value("n")).toContainText("3 volunteers");
    await expect(comparison.value("Mean difference")).toContainText("−0.63 [−1.01, −0.25] °C");
    await expect(comparison.value("t")).toContainText("−7.181 (2 degrees of freedom)");
    await expect(comparison.value("p, two-sided")).toContainText("0.019");
    await expect(comparison.value("Effect size dz")).toContainText("−4.15");
    await expect(page.getByText("6 of 6 expected trials are used; 0 are missing.")).toBeVisible();
    await expect(page.getByRole("figure")).toHaveCount(3);
    await comparison.save("Forearm");

    // Three of three people, six trials: the overview says so.
    await new OverviewPage(page, studyId).open();
    await expect(page.getByText("6", { exact: true }).first()).toBeVisible();
  });

  await test.step("7. release: the ZIP is valid, holds the true values, and no name, contact, date or code", async () => {
    const releases = new ReleasesPage(page, studyId);
    await releases.open();
    await releases.assess(4);
    await expect(releases.refusal()).toBeVisible();
    await releases.assess(3);
    await releases.make("For a test.");
    const zip = await releases.download(1);
    const files = unzipSync(new Uint8Array(zip));
    readBack(files, zip, codes);
  });

  await test.step("a withdrawal takes a volunteer out of the comparison at once", async () => {
    const list = new VolunteersPage(page, studyId);
    await list.open();
    await list.openVolunteer(codes[2] ?? "");
    const volunteer = new VolunteerPage(page);
    await volunteer.withdraw();
    await page.goto(`/studies/${studyId}/comparisons`);
    await page.getByRole("link", { name: "Forearm" }).click();
    const comparison = new ComparisonPage(page, studyId);
    await expect(comparison.value("n")).toContainText("2 volunteers");
    await expect(comparison.missing()).toHaveCount(2);
    await expect(page.getByText(/^Out of date:/)).toBeVisible();
    await new ReleasesPage(page, studyId).open();
    await expect(page.getByText(new RegExp(`Holds data of ${codes[2]}`))).toBeVisible();
    const audit = new AuditPage(page, studyId);
    await audit.open();
    await expect(
      audit
        .entries()
        .filter({ hasText: codes[2] ?? "" })
        .first(),
    ).toBeVisible();
  });
});

/** The dataset as a stranger gets it: checked against its descriptor, the truth, and everything that must not be in it. */
function readBack(files: Record<string, Uint8Array>, zip: Buffer, codes: readonly string[]): void {
  const descriptor: { resources: { path: string; schema?: { fields: { name: string }[] } }[] } = JSON.parse(
    strFromU8(files["datapackage.json"] ?? new Uint8Array()),
  );
  const ajv = new Ajv({ allErrors: true, strict: false });
  addFormats.default(ajv);
  const validate = ajv.compile(constraints);
  expect(validate(descriptor), JSON.stringify(validate.errors)).toBe(true);
  for (const { path, schema } of descriptor.resources) {
    const bytes = files[path];
    expect(bytes, path).toBeDefined();
    const header = strFromU8(bytes ?? new Uint8Array()).split(/\r?\n/)[0];
    if (schema !== undefined) expect(header, path).toBe(schema.fields.map(({ name }) => name).join(","));
  }

  const tables = Object.entries(files)
    .filter(([path]) => path.startsWith("traces/"))
    .map(([, bytes]) => {
      const [header = "", ...rows] = strFromU8(bytes).trim().split(/\r?\n/);
      const cells = rows.map((row) => row.split(","));
      return new Map(header.split(",").map((name, index) => [name, cells.map((row) => Number(row[index]))]));
    });
  expect(tables).toHaveLength(6);
  const same = (wanted: readonly number[], written: readonly number[]) =>
    wanted.length === written.length &&
    wanted.every((value, i) => Math.fround(value) === Math.fround(written[i] ?? Number.NaN));
  const taken = new Set<unknown>();
  for (const [file, { timesS, "°C": series }] of Object.entries(truth)) {
    // A release counts time from the start of exercise, which is 120 s into every file.
    const fromExercise = timesS.map((time) => time - 120);
    const own = tables.find(
      (table) =>
        !taken.has(table) &&
        [fromExercise, ...Object.values(series)].every((wanted) =>
          [...table.values()].some((written) => same(wanted, written)),
        ),
    );
    expect(own, `the times and values of ${file}`).toBeDefined();
    taken.add(own);
  }

  const [header = "", ...rows] = strFromU8(files["measures.csv"] ?? new Uint8Array())
    .trim()
    .split(/\r?\n/);
  const at = (name: string) => header.split(",").indexOf(name);
  const changes = rows
    .map((row) => row.split(","))
    .filter((cells) => cells[at("measure")] === "change" && cells[at("region")] === "forearm-left-anterior")
    .map((cells) => Number(cells[at("value")]).toFixed(2));
  expect(changes.sort()).toEqual(["0.30", "0.40", "0.50", "0.80", "1.00", "1.30"]);

  const everything = `${zip.toString("latin1")}\n${Object.entries(files)
    .map(([path, bytes]) => `${path}\n${strFromU8(bytes)}`)
    .join("\n")}`;
  const secrets = people.flatMap(({ identity, files: own, heightCm, massKg, birthYear }) => [
    ...identity.name.split(" "),
    identity.contact,
    identity.dateOfBirth,
    String(heightCm),
    String(massKg),
    String(birthYear),
    ...Object.values(own),
  ]);
  for (const secret of [...secrets, ...codes, "2026-03", "Ina Lead"]) {
    // A number is looked for as a whole: 168.3 is a height, 1168.33 is not.
    const whole = secret.replace(/[.*+?^${}()|[\]\\]/g, "\\$&");
    expect(everything).not.toMatch(new RegExp(`(?<![\\d.])${whole}(?!\\d)`));
  }
}
