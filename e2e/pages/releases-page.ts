import { readFile } from "node:fs/promises";
import { expect, type Locator, type Page } from "@playwright/test";

/** The Releases screen: assessing, making, the register. */
export class ReleasesPage {
  constructor(
    private readonly page: Page,
    private readonly studyId: string,
  ) {}

  async open(): Promise<void> {
    await this.page.goto(`/studies/${this.studyId}/releases`);
    await expect(this.page.getByRole("heading", { name: "Releases", level: 1 })).toBeVisible();
  }

  async assess(smallestGroup: number): Promise<void> {
    await this.page.getByLabel("Smallest group").fill(String(smallestGroup));
    await this.page.getByRole("button", { name: "Assess" }).click();
    await expect(this.page.getByRole("heading", { name: "What risk remains" })).toBeVisible();
  }

  refusal(): Locator {
    return this.page.getByText("This release cannot be made");
  }

  async make(reason: string): Promise<void> {
    await this.page.getByRole("button", { name: /^Make release \d+$/ }).click();
    const dialog = this.page.getByRole("dialog");
    await dialog.getByLabel("For what is it made?").fill(reason);
    await dialog.getByRole("button", { name: "Make the release" }).click();
    await expect(this.page.getByText(/stands in the register below/)).toBeVisible();
  }

  release(number: number): Locator {
    return this.page.getByRole("article", { name: `Release ${number}` });
  }

  async download(number: number): Promise<Buffer> {
    const waiting = this.page.waitForEvent("download");
    await this.release(number)
      .getByRole("link", { name: `Download release ${number}` })
      .click();
    return readFile(await (await waiting).path());
  }
}
