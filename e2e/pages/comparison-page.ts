import { expect, type Locator, type Page } from "@playwright/test";

export interface Question {
  readonly region: string;
  /** With its unit, as the list shows it: "change, °C". */
  readonly measure: string;
  readonly reference: string;
  readonly comparedWith: string;
}

/** A comparison: its question, its answer, saving. */
export class ComparisonPage {
  constructor(
    private readonly page: Page,
    private readonly studyId: string,
  ) {}

  async ask(question: Question): Promise<void> {
    const { page } = this;
    await page.goto(`/studies/${this.studyId}/comparisons/new`);
    await page.getByLabel("Region").selectOption({ label: question.region });
    await page.getByLabel("Measure").selectOption({ label: question.measure });
    await page.getByLabel("Reference condition").selectOption({ label: question.reference });
    await page.getByLabel("Compared with").selectOption({ label: question.comparedWith });
    await expect(page.locator("[aria-busy=false]").getByRole("heading", { name: "Answer" })).toBeVisible();
  }

  /** What stands beside a name in the list of the test: "n" gives "3 volunteers". */
  value(name: string): Locator {
    return this.page
      .locator("dl > div")
      .filter({ has: this.page.getByText(name, { exact: true }) })
      .locator("dd");
  }

  missing(): Locator {
    return this.page.getByRole("region", { name: "Missing trials" }).locator("tbody tr");
  }

  async save(name: string): Promise<void> {
    await this.page.getByLabel("Name").fill(name);
    await this.page.getByRole("button", { name: "Save comparison" }).click();
    await expect(this.page.getByRole("heading", { name, level: 1 })).toBeVisible();
  }
}
