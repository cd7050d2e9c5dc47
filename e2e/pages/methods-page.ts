import { readFile } from "node:fs/promises";
import { expect, type Locator, type Page } from "@playwright/test";

/** The Methods screen: the text, what is complete, and what is taken away from it. */
export class MethodsPage {
  constructor(
    private readonly page: Page,
    private readonly studyId: string,
  ) {}

  async open(): Promise<void> {
    await this.page.goto(`/studies/${this.studyId}/methods`);
    await expect(this.page.getByRole("heading", { name: "Methods", level: 1 })).toBeVisible();
  }

  text(): Locator {
    return this.page.getByRole("region", { name: "Methods text" });
  }

  /** The cells of one reporting item: recorded, missing, not applicable, what is missing. */
  async item(name: string): Promise<readonly string[]> {
    return this.page
      .getByRole("table", { name: "Reporting items" })
      .getByRole("row")
      .filter({ has: this.page.getByRole("rowheader", { name }) })
      .getByRole("cell")
      .allTextContents();
  }

  lacking(): Locator {
    return this.page.getByRole("table", { name: "Trials that lack something" });
  }

  async copy(): Promise<string> {
    await this.page.getByRole("button", { name: "Copy the text" }).click();
    await expect(this.page.getByText("Copied.")).toBeVisible();
    return this.page.evaluate(() => navigator.clipboard.readText());
  }

  async markdown(): Promise<string> {
    const waiting = this.page.waitForEvent("download");
    await this.page.getByRole("button", { name: "Save as Markdown" }).click();
    const download = await waiting;
    expect(download.suggestedFilename()).toBe("methods.md");
    return readFile(await download.path(), "utf8");
  }
}
