import { expect, type Locator, type Page } from "@playwright/test";

/** The Overview screen of a study. */
export class OverviewPage {
  constructor(
    private readonly page: Page,
    private readonly studyId: string,
  ) {}

  async open(): Promise<void> {
    await this.page.goto(`/studies/${this.studyId}`);
    await expect(this.page.getByRole("list", { name: "What to do next" })).toBeVisible();
  }

  step(text: string): Locator {
    return this.page
      .getByRole("list", { name: "What to do next" })
      .getByRole("listitem")
      .filter({ hasText: text });
  }
}
