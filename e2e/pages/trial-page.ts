import { readFile } from "node:fs/promises";
import { expect, type Locator, type Page } from "@playwright/test";

export interface Room {
  readonly airTemperatureC: number;
  readonly meanRadiantTemperatureC?: number;
  readonly relativeHumidityPct?: number;
  readonly airSpeedMS?: number;
}

/** A path, or files made by a test. */
type ChosenFiles = Parameters<Locator["setInputFiles"]>[0];

/** A trial's page: room, source files with their column maps, markers, traces, measures, and what is decided. */
export class TrialPage {
  constructor(private readonly page: Page) {}

  async saveRoom(room: Room): Promise<void> {
    const { page } = this;
    const enter = async (label: string, value: number | undefined) => {
      if (value !== undefined) await page.getByLabel(label, { exact: true }).fill(String(value));
    };
    await enter("Air temperature", room.airTemperatureC);
    await enter("Mean radiant temperature", room.meanRadiantTemperatureC);
    await enter("Relative humidity", room.relativeHumidityPct);
    await enter("Air speed", room.airSpeedMS);
    const save = page.getByRole("button", { name: "Save the room" });
    await save.click();
    await expect(save).toBeDisabled();
  }

  /** What was done for the images of the trial, and what is missing for a report. */
  imaging(): Locator {
    return this.page.getByRole("region", { name: "Imaging record" });
  }

  saveImaging(): Locator {
    return this.imaging().getByRole("button", { name: "Save the imaging record" });
  }

  /** Chooses a file to be sent; the outcome is what `arrived` or `uploadFailure` waits for. */
  async chooseFile(files: ChosenFiles): Promise<void> {
    await this.page.getByLabel(/^Drop .*source files here$/).setInputFiles(files);
  }

  arrived(): Locator {
    return this.page.getByText(/has arrived\.$/);
  }

  /** Why the last file was not taken. */
  uploadFailure(): Locator {
    return this.uploads().getByRole("alert").last();
  }

  /** What was chosen to be sent, one entry per file. */
  uploads(): Locator {
    return this.page.getByRole("list", { name: "Uploads" });
  }

  upload(name: string): Locator {
    return this.uploads().getByRole("listitem").filter({ hasText: name });
  }

  file(name: string): Locator {
    return this.page.getByRole("article", { name: `Source file ${name}` });
  }

  /** Opens the column map of a file that is there; it opens by itself after an upload. */
  async openColumnMap(name: string): Promise<void> {
    await expect(this.file(name)).toBeVisible();
    const toggle = this.file(name).getByRole("button", { name: /^Column map/ });
    if (await toggle.isVisible()) await toggle.click();
    await expect(this.columnMap(name).getByRole("button", { name: /^Read the file/ })).toBeVisible();
  }

  /** Opens what is proposed for a file, also where nothing can be read. */
  async showColumnMap(name: string): Promise<void> {
    await expect(this.file(name)).toBeVisible();
    const toggle = this.file(name).getByRole("button", { name: /^Column map/ });
    if (await toggle.isVisible()) await toggle.click();
    await expect(this.file(name).getByRole("button", { name: "Close: column map" })).toBeVisible();
    await expect(this.file(name).getByText(/^Looking at the file/)).toHaveCount(0);
  }

  async nameColumnMap(file: string, name: string): Promise<void> {
    await this.columnMap(file).getByLabel("Name of the column map").fill(name);
  }

  /** Opens where a file lies on the trial's clock. */
  async openClock(name: string): Promise<Locator> {
    const open = this.file(name).getByRole("button", { name: "Place in time", exact: true });
    if (await open.isVisible()) await open.click();
    await expect(this.file(name).getByText("The file's own zero lies at")).toBeVisible();
    return this.file(name);
  }

  async closeClock(name: string): Promise<void> {
    await this.file(name).getByRole("button", { name: "Close: place in time" }).click();
  }

  /** Gives a new export the place of a file. */
  async replace(name: string, reason: string, files: ChosenFiles): Promise<void> {
    await this.file(name).getByRole("button", { name: "Replace", exact: true }).click();
    await this.file(name).getByLabel("Reason").fill(reason);
    await this.file(name).getByLabel("Drop the new export here").setInputFiles(files);
  }

  async removeFile(name: string, reason: string): Promise<void> {
    await this.file(name).getByRole("button", { name: "Remove" }).click();
    const dialog = this.page.getByRole("dialog");
    await dialog.getByLabel("Reason").fill(reason);
    await dialog.getByRole("button", { name: "Remove" }).click();
    await expect(this.file(name)).toHaveCount(0);
  }

  columnMap(name: string): Locator {
    return this.file(name)
      .locator("form")
      .filter({ has: this.page.getByText("Columns", { exact: true }) });
  }

  /** Corrects what a column is: by its name in the file. */
  async setRegion(file: string, column: string, region: string): Promise<void> {
    const row = this.columnMap(file).getByRole("row").filter({ hasText: column });
    await row.getByLabel(/^Use of/).selectOption({ label: "region" });
    const choice = row.getByRole("combobox", { name: /^Region of/ });
    await choice.click();
    await choice.fill(region);
    await this.page.getByRole("option", { name: region, exact: true }).click();
  }

  async setStatistic(file: string, column: string, statistic: string): Promise<void> {
    const row = this.columnMap(file).getByRole("row").filter({ hasText: column });
    await row.getByLabel(/^Statistic of/).selectOption(statistic);
  }

  async setUnit(file: string, column: string, unit: string): Promise<void> {
    const row = this.columnMap(file).getByRole("row").filter({ hasText: column });
    await row.getByLabel(/^Unit of/).selectOption(unit);
  }

  /** Confirms the column map and waits until the file is read. */
  async readFile(name: string): Promise<void> {
    await this.columnMap(name)
      .getByRole("button", { name: /^Read the file/ })
      .click();
    await expect(this.file(name).getByText(/^read, \d+ traces?$/)).toBeVisible();
  }

  /** The bytes that the server gives back. */
  async download(name: string): Promise<Buffer> {
    const waiting = this.page.waitForEvent("download");
    await this.file(name).getByRole("link", { name: "Download" }).click();
    const download = await waiting;
    expect(download.suggestedFilename()).toBe(name);
    return readFile(await download.path());
  }

  /** Places the phases by the protocol's durations and saves them. */
  async placePhases(startS: number): Promise<void> {
    const { page } = this;
    await page.getByLabel("The first phase begins at").fill(String(startS));
    await page.getByRole("button", { name: "Place the phases by the protocol's durations" }).click();
    await this.saveMarkers();
  }

  async saveMarkers(): Promise<void> {
    const save = this.page.getByRole("button", { name: "Save the markers" });
    await save.click();
    await expect(save).toBeDisabled();
  }

  async setMarkerTime(name: string, atS: number): Promise<void> {
    const rows = this.page.getByRole("table", { name: "Markers" }).getByRole("row");
    const count = await rows.count();
    for (let index = 1; index < count; index++) {
      const row = rows.nth(index);
      if ((await row.getByLabel(/^Name of marker/).inputValue()) === name) {
        await row.getByLabel(/^Time of marker/).fill(String(atS));
        return;
      }
    }
    throw new Error(`there is no marker "${name}"`);
  }

  figure(): Locator {
    return this.page.getByRole("figure");
  }

  /** A measure of the main table, as shown: "32.20 °C". Rows are regions, columns measures. */
  async measure(region: string, name: string): Promise<string> {
    const table = this.page.getByRole("region", { name: "Measures by region" });
    await expect(table).toBeVisible();
    const heads = await table.getByRole("columnheader").allTextContents();
    const row = table
      .getByRole("row")
      .filter({ has: this.page.getByRole("rowheader", { name: region, exact: true }) });
    const text = await row
      .getByRole("cell")
      .nth(heads.indexOf(name) - 1)
      .textContent();
    return (text ?? "").replaceAll("\u00a0", " ").trim();
  }

  async accept(): Promise<void> {
    await this.page.getByRole("button", { name: "Accept", exact: true }).click();
    await this.page.getByRole("dialog").getByRole("button", { name: "Accept" }).click();
    await expect(this.page.getByText(/^accepted since/)).toBeVisible();
  }

  async setAside(reason: string): Promise<void> {
    await this.decideWithReason("Set aside", reason);
    await expect(this.page.getByText(/^set aside since/)).toBeVisible();
  }

  async reopen(reason: string): Promise<void> {
    await this.decideWithReason("Reopen", reason);
    await expect(this.page.getByText(/^(recorded|planned) since/)).toBeVisible();
  }

  private async decideWithReason(button: string, reason: string): Promise<void> {
    await this.page.getByRole("button", { name: button, exact: true }).click();
    const dialog = this.page.getByRole("dialog");
    await dialog.getByLabel("Reason").fill(reason);
    await dialog.getByRole("button", { name: button }).click();
  }
}
