import { expect, type Locator, type Page } from "@playwright/test";

/** The Audit trail screen. */
export class AuditPage {
  constructor(
    private readonly page: Page,
    private readonly studyId: string,
  ) {}

  async open(): Promise<void> {
    await this.page.goto(`/studies/${this.studyId}/audit`);
    await expect(this.page.getByRole("heading", { name: "Audit trail", level: 1 })).toBeVisible();
  }

  async filterByAction(name: string): Promise<void> {
    await this.page.getByLabel("What was done").selectOption({ label: name });
  }

  entries(): Locator {
    return this.page.getByRole("region", { name: "Entries of the audit trail" }).locator("tbody tr");
  }
}
