import { expect, type Locator, type Page } from "@playwright/test";

/** The Quality screen of a study. */
export class QualityPage {
  constructor(
    private readonly page: Page,
    private readonly studyId: string,
  ) {}

  async open(): Promise<void> {
    await this.page.goto(`/studies/${this.studyId}/quality`);
    await expect(this.page.getByRole("heading", { name: "Quality", level: 1 })).toBeVisible();
  }

  rows(): Locator {
    return this.page.getByRole("region", { name: "Quality of the trials" }).locator("tbody tr");
  }

  /** The row of a volunteer who has one trial. */
  row(code: string): Locator {
    return this.rows().filter({ has: this.page.getByRole("link", { name: code, exact: true }) });
  }

  figure(): Locator {
    return this.page.getByRole("region", { name: "By day of recording" }).getByRole("figure");
  }

  async only(standing: "open" | "adjusted" | "accepted" | "dismissed"): Promise<void> {
    await this.page.getByLabel("Findings that are").selectOption(standing);
  }
}
