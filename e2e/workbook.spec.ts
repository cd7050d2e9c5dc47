import { readFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { TrialPage } from "./pages/trial-page";
import { readyTrial } from "./ready-trial";
import { expect, test } from "./server";

const folder = fileURLToPath(new URL("./files/", import.meta.url));
const name = "two sheets.xlsx";
const truth = JSON.parse(readFileSync(join(folder, "two sheets.truth.json"), "utf8"));

test("a workbook is taken in, its sheet with the recording is chosen, and its dates are the times", async ({
  page,
  server,
}) => {
  await readyTrial(page, server);
  const trial = new TrialPage(page);
  await trial.chooseFile(join(folder, name));
  await expect(trial.upload(name)).toContainText("has arrived");
  await trial.openColumnMap(name);
  const map = trial.columnMap(name);
  // The larger sheet is proposed; that there is another one is said.
  await expect(map).toContainText(
    'More than one sheet holds a recording: "Room", which holds most, and "Skin".',
  );
  await expect(map.getByRole("rowheader", { name: /Relative humidity/ })).toBeVisible();

  await map.getByLabel("Sheet of the workbook").selectOption("Skin");
  await expect(map.getByRole("rowheader", { name: /left forearm anterior/ })).toBeVisible();
  await expect(map).toContainText(`The file says that it began at ${truth.startedAt}`);
  await expect(map).toContainText("regions that the protocol does not ask for: Left hand, dorsal (mean)");
  await trial.readFile(name);
  expect(await trial.download(name)).toEqual(readFileSync(join(folder, name)));
});
