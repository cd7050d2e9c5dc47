import { expect, type Locator, type Page } from "@playwright/test";

/** The quality part of a trial's page: findings, adjustments, and the figure that shows them. */
export class TrialQuality {
  constructor(private readonly page: Page) {}

  section(): Locator {
    return this.page.getByRole("region", { name: "Quality", exact: true });
  }

  /** Opened by its address, so that the list is there and not only its loading state. */
  async findings(): Promise<Locator> {
    const list = this.section().getByRole("list", { name: "Findings" });
    await expect(list).toBeVisible();
    return list;
  }

  /** A finding in the list, by its title. */
  finding(title: RegExp): Locator {
    return this.section()
      .getByRole("list", { name: "Findings" })
      .getByRole("listitem")
      .filter({ has: this.page.getByRole("heading", { name: title }) });
  }

  adjustments(): Locator {
    return this.section()
      .getByRole("list", { name: /^Adjustments of / })
      .getByRole("listitem");
  }

  dialog(): Locator {
    return this.page.getByRole("dialog");
  }

  /** What the preview says of the largest change. */
  change(): Locator {
    return this.dialog().getByRole("status").first();
  }

  async record(reason: string): Promise<void> {
    await this.dialog().getByLabel("Reason").fill(reason);
    await this.dialog().getByRole("button", { name: "Record the adjustment" }).click();
    await expect(this.dialog()).toBeHidden();
  }

  /** Which traces the figure shows. */
  async show(which: "Adjusted" | "As recorded" | "Both"): Promise<void> {
    await this.page
      .getByRole("radiogroup", { name: "Which traces" })
      .getByText(which, { exact: true })
      .click();
  }

  /** A measure in the table side by side: with adjustments, as recorded, difference. */
  async sideBySide(region: string, name: string): Promise<readonly string[]> {
    const table = this.section().getByRole("region", { name: "Measures with and without adjustments" });
    if (!(await table.isVisible())) {
      await this.section().getByText("Measures with and without adjustments", { exact: true }).click();
    }
    const row = table
      .getByRole("row")
      .filter({ has: this.page.getByRole("rowheader", { name: region, exact: true }) })
      .filter({ has: this.page.getByRole("cell", { name, exact: true }) });
    const cells = await row.getByRole("cell").allTextContents();
    return cells.slice(1).map((text) => text.replaceAll("\u00a0", " ").trim());
  }
}
