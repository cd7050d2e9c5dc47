import { expect, type Locator, type Page } from "@playwright/test";

export interface TrialPlan {
  readonly volunteer: string;
  readonly condition: string;
  readonly occasion?: number;
}

/** The Trials screen: the list, and planning. */
export class TrialsPage {
  constructor(
    private readonly page: Page,
    private readonly studyId: string,
  ) {}

  async open(): Promise<void> {
    await this.page.goto(`/studies/${this.studyId}/trials`);
    await expect(this.page.getByRole("heading", { name: "Trials", level: 1 })).toBeVisible();
  }

  rows(): Locator {
    return this.page.getByRole("region", { name: "Trials" }).getByRole("row");
  }

  async filterByState(state: string): Promise<void> {
    await this.page.getByLabel("State").selectOption({ label: state });
  }

  async filterByVolunteer(code: string): Promise<void> {
    await this.page.getByLabel("Volunteer code").fill(code);
  }

  /** Fills the plan and sends it; what is refused stays on the page with its message. */
  async submitPlan({ volunteer, condition, occasion = 1 }: TrialPlan): Promise<void> {
    const { page } = this;
    await page.goto(`/studies/${this.studyId}/trials/new`);
    const code = page.getByRole("combobox", { name: "Volunteer" });
    await code.click();
    await code.fill(volunteer);
    await page.getByRole("option", { name: volunteer, exact: true }).click();
    await page.getByLabel("Condition").selectOption({ label: condition });
    await page.getByLabel("Occasion").selectOption(String(occasion));
    await page.getByRole("button", { name: "Plan this trial" }).click();
  }

  /** Plans a trial and lands on its page. */
  async plan(plan: TrialPlan): Promise<void> {
    await this.submitPlan(plan);
    const title = `${plan.volunteer} · ${plan.condition} · occasion ${plan.occasion ?? 1}`;
    await expect(this.page.getByRole("heading", { name: title, level: 1 })).toBeVisible();
  }
}
