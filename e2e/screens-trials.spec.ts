import { longNames, lookAround, testFile } from "./every-screen";
import { ComparisonPage } from "./pages/comparison-page";
import { QualityPage } from "./pages/quality-page";
import { ReleasesPage } from "./pages/releases-page";
import { TrialPage } from "./pages/trial-page";
import { TrialQuality } from "./pages/trial-quality";
import { TrialsPage } from "./pages/trials-page";
import { readyTrial } from "./ready-trial";
import { expect, test } from "./server";

test("trials from the plan to the decision, and what a study makes of them: every screen is within reach of everybody", async ({
  page,
  server,
}) => {
  // Some twenty states at three widths: on a busy machine that is more than the usual limit.
  test.setTimeout(720_000);
  const { look, holds } = lookAround(page, ["409 .*/comparison.outcomes"]);
  const imaging = {
    camera: "An invented camera",
    warmUpMin: 45,
    distanceM: 1.5,
    notApplicable: { item: "Preparation of the skin", reason: "Nobody touches the skin." },
  };
  const { studyId, code } = await readyTrial(page, server, imaging, longNames);
  const study = `/studies/${studyId}`;
  const trials = new TrialsPage(page, studyId);
  const trial = new TrialPage(page);
  const quality = new TrialQuality(page);
  await look("trial, planned");
  await trial.saveRoom({ airTemperatureC: 23 });
  await trial.imaging().getByRole("button", { name: "Fill in the record" }).click();
  await trial.imaging().getByText("All reporting items, and where they are entered").click();
  await look("trial, imaging record");
  await trial.saveImaging().click();
  await expect(trial.imaging().getByText("45 min")).toBeVisible();
  await trial.chooseFile(testFile("visit-bare-one.csv"));
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
  await quality.record("To look at an adjusted trial.");
  await quality.show("Both");
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

  await page.goto(`${study}/trials/new`);
  await look("plan a trial");
  await trials.plan({ volunteer: code, condition: longNames.conditions[1] });
  await trial.chooseFile(testFile("step-and-drift.csv"));
  await expect(trial.arrived()).toBeVisible();
  await trial.readFile("step-and-drift.csv");
  await trial.placePhases(480);
  await expect(quality.finding(/^.*Step of .* in all regions$/)).toBeVisible();
  await look("trial, findings");
  const withFindings = page.url();
  await new QualityPage(page, studyId).open();
  await look("quality");
  await page.goto(withFindings);
  await trial.setAside("The camera stood still.");
  await look("trial, set aside");
  await trials.open();
  await look("trials");
  const findings = new QualityPage(page, studyId);
  await findings.open();
  await findings.only("dismissed");
  await expect(page.getByText("Nothing matches these filters.")).toBeVisible();
  await look("quality, nothing matches");
  await page.goto(`${study}/column-maps`);
  await page
    .getByRole("button", { name: /^Its files/ })
    .first()
    .click();
  await look("column maps");
  await page.goto(`${study}/methods`);
  await look("methods");

  const comparison = new ComparisonPage(page, studyId);
  await comparison.ask({
    region: "Left forearm, anterior",
    measure: "change, °C",
    reference: longNames.conditions[0],
    comparedWith: longNames.conditions[1],
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

  await page.goto(`${study}/audit`);
  await look("audit trail of trials");
  await page.goto(study);
  await look("overview");
  await page.goto("/studies");
  await look("studies");
  holds();
});
