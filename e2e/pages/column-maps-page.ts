import { expect, type Locator, type Page } from "@playwright/test";

/** The column maps of a study: a section of the Trials screen. */
export class ColumnMapsPage {
  constructor(
    private readonly page: Page,
    private readonly studyId: string,
  ) {}

  async open(): Promise<void> {
    await this.page.goto(`/studies/${this.studyId}/column-maps`);
    await expect(this.page.getByRole("heading", { name: "Column maps", level: 1 })).toBeVisible();
  }

  map(name: string): Locator {
    return this.page.getByRole("listitem", { name: `Column map ${name}` });
  }

  async openFiles(name: string): Promise<void> {
    await this.map(name)
      .getByRole("button", { name: /^Its files/ })
      .click();
    await expect(this.map(name).getByRole("region", { name: "Files of this layout" })).toBeVisible();
  }

  file(map: string, name: string): Locator {
    return this.map(map).getByRole("row").filter({ hasText: name });
  }

  /** Reads every file again that is chosen, and waits until that has ended. */
  async readAgain(name: string): Promise<void> {
    await this.map(name)
      .getByRole("button", { name: /^Read \d+ files? again$/ })
      .click();
    await expect(this.map(name).getByRole("button", { name: "Stop after this file" })).toHaveCount(0);
  }

  async rename(name: string, to: string): Promise<void> {
    await this.map(name).getByRole("button", { name: "Rename" }).click();
    await this.map(name).getByLabel("Name of the column map").fill(to);
    await this.map(name).getByRole("button", { name: "Save the name" }).click();
    await expect(this.map(to)).toBeVisible();
  }

  async remove(name: string): Promise<void> {
    await this.map(name).getByRole("button", { name: "Remove" }).click();
    const dialog = this.page.getByRole("dialog");
    await expect(dialog).toContainText("Files that were read stay read as they are");
    await dialog.getByRole("button", { name: "Remove" }).click();
    await expect(this.map(name)).toHaveCount(0);
  }
}
