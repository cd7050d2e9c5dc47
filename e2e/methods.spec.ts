import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { MethodsPage } from "./pages/methods-page";
import { TrialPage } from "./pages/trial-page";
import { readyTrial } from "./ready-trial";
import { expect, test } from "./server";

const file = join(fileURLToPath(new URL("./files/", import.meta.url)), "visit-bare-one.csv");

test("what a trial did for its images is recorded in one press or by hand, two people at once are told, and the study writes its methods text from it", async ({
  page,
  server,
  context,
}) => {
  await context.grantPermissions(["clipboard-read", "clipboard-write"]);
  const { studyId, code, trialId } = await readyTrial(page, server, {
    camera: "An invented camera",
    warmUpMin: 45,
    distanceM: 1.5,
    notApplicable: { item: "Preparation of the skin", reason: "Nobody touches the skin." },
  });
  const methods = new MethodsPage(page, studyId);
  await methods.open();
  await expect(page.getByText("There is nothing to report yet.")).toBeVisible();

  await page.goto(`/studies/${studyId}/trials/${trialId}`);
  const trial = new TrialPage(page);
  await expect(trial.imaging().getByText("Nothing is recorded of the images of this trial.")).toBeVisible();
  await trial.imaging().getByRole("button", { name: "As the protocol says" }).click();
  await expect(trial.imaging().getByText("45 min")).toBeVisible();
  await expect(trial.imaging().getByText("1.5 m", { exact: true })).toBeVisible();

  // Another operator opens the same record, and this one saves first.
  const other = await context.newPage();
  await other.goto(`/studies/${studyId}/trials/${trialId}`);
  const theirs = new TrialPage(other);
  await theirs.imaging().getByRole("button", { name: "Change the imaging record" }).click();
  await trial.imaging().getByRole("button", { name: "Change the imaging record" }).click();
  await trial.imaging().getByLabel("Distance").fill("150");
  await trial.saveImaging().click();
  await expect(trial.imaging().getByText(/lies between 0.1 and 20 m/)).toBeVisible();
  await trial.imaging().getByLabel("Distance").fill("1.4");
  await trial.imaging().getByLabel("Outside factors that the volunteer named").fill("Nothing named.");
  await trial.saveImaging().click();
  await expect(trial.imaging().getByText("1.4 m", { exact: true })).toBeVisible();
  await expect(trial.imaging().getByText("The protocol says 1.5 m.")).toBeVisible();

  await theirs.imaging().getByLabel("Camera used").fill("Camera 2");
  await theirs.saveImaging().click();
  const conflict = other.getByRole("alert", { name: "Two versions" });
  await expect(conflict.getByRole("row", { name: /Distance/ })).toContainText("1.4 m");
  await conflict.getByRole("button", { name: "Keep what was saved, drop mine" }).click();
  await expect(theirs.imaging().getByLabel("Distance")).toHaveValue("1.4");
  await theirs.imaging().getByLabel("Camera used").fill("Camera 2");
  await theirs.saveImaging().click();
  await expect(theirs.imaging().getByText("Camera 2")).toBeVisible();
  await other.close();

  await page.reload();
  await expect(trial.imaging().getByText("Camera 2")).toBeVisible();
  await expect(trial.imaging().getByText(/of 15 reporting items recorded, 1 not applicable/)).toBeVisible();
  await trial.saveRoom({ airTemperatureC: 23, relativeHumidityPct: 40 });
  await expect(trial.imaging().getByText(/Missing: .*surroundings/)).toBeVisible();
  await trial.chooseFile(file);
  await expect(trial.arrived()).toBeVisible();
  await trial.openColumnMap("visit-bare-one.csv");
  await trial.readFile("visit-bare-one.csv");
  await trial.placePhases(0);
  await trial.accept();
  // An accepted trial says what was recorded, and is not changed.
  await expect(trial.imaging().getByRole("button", { name: "Change the imaging record" })).toHaveCount(0);

  await page.getByRole("link", { name: "Methods" }).click();
  await expect(methods.text()).toContainText("1 volunteer (1 female) took part in 1 trial.");
  await expect(methods.text()).toContainText("Maker and model: An invented camera.");
  await expect(methods.text()).toContainText("Distance: 1.4 m.");
  await expect(methods.text()).toContainText("Warm-up before the first image: 45 min.");
  await expect(methods.text()).toContainText("Emissivity set: not recorded.");
  await expect(methods.text()).toContainText(
    "Preparation of the skin: Nobody touches the skin (the one trial).",
  );
  expect(await methods.item("14. Preparation of the skin")).toEqual(["0", "0", "1", ""]);
  expect(await methods.item("9. Distance")).toEqual([
    "0",
    "1",
    "0",
    "the share of the image in the protocol (1 trial)",
  ]);
  // One trial alone: what it lacks, every trial lacks.
  await expect(page.getByText(/^Missing in every trial: /)).toContainText("Emissivity");

  const copied = await methods.copy();
  expect(copied).toContain("Position and skin. Distance: 1.4 m.");
  expect(copied).not.toContain("Nothing named");
  const markdown = await methods.markdown();
  expect(markdown).toContain("# Methods: One trial");
  expect(markdown).toContain("| 14 | Preparation of the skin | 0 | 0 | 1 |  |");
  expect(markdown).not.toContain(code);

  await page.emulateMedia({ media: "print" });
  await expect(methods.text()).toBeVisible();
  await expect(page.getByRole("button", { name: "Print" })).toBeHidden();
  await expect(page.getByRole("navigation", { name: "Study" })).toBeHidden();
});
