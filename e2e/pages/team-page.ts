import { expect, type Locator, type Page } from "@playwright/test";

/** The Team screen. */
export class TeamPage {
  constructor(
    private readonly page: Page,
    private readonly studyId: string,
  ) {}

  async open(): Promise<void> {
    await this.page.goto(`/studies/${this.studyId}/team`);
    await expect(this.page.getByRole("heading", { name: "Team", level: 1 })).toBeVisible();
  }

  /** Returns the address of the link, which is shown only now. */
  async invite(
    email: string,
    role: "lead investigator" | "operator" | "analyst" | "observer",
  ): Promise<string> {
    await this.page.getByLabel("E-mail").fill(email);
    await this.page.getByLabel("Role", { exact: true }).selectOption({ label: role });
    await this.page.getByRole("button", { name: "Invite", exact: true }).click();
    const link = this.page.getByLabel(`Link for ${email}`);
    await expect(link).toBeVisible();
    return link.inputValue();
  }

  member(name: string): Locator {
    return this.page.getByRole("table", { name: "Members" }).getByRole("row").filter({ hasText: name });
  }
}
