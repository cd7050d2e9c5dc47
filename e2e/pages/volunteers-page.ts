import { expect, type Locator, type Page } from "@playwright/test";

export interface VolunteerEntry {
  /** Absent: the next free code is given. */
  readonly code?: string;
  readonly sex: "female" | "male" | "other" | "not stated";
  readonly birthYear?: number;
  readonly heightCm?: number;
  readonly massKg?: number;
}

/** The Volunteers screen: the list, and registering. */
export class VolunteersPage {
  constructor(
    private readonly page: Page,
    private readonly studyId: string,
  ) {}

  async open(): Promise<void> {
    await this.page.goto(`/studies/${this.studyId}/volunteers`);
    await expect(this.page.getByRole("heading", { name: "Volunteers", level: 1 })).toBeVisible();
  }

  async openRegistration(): Promise<void> {
    await this.page.goto(`/studies/${this.studyId}/volunteers/new`);
    await expect(this.page.getByRole("button", { name: "Register", exact: true })).toBeEnabled();
  }

  async fill(entry: VolunteerEntry): Promise<void> {
    const { page } = this;
    if (entry.code !== undefined) await page.getByLabel("Code").fill(entry.code);
    await page.getByLabel("Sex").selectOption({ label: entry.sex });
    if (entry.birthYear !== undefined) await page.getByLabel("Birth year").fill(String(entry.birthYear));
    if (entry.heightCm !== undefined) await page.getByLabel("Height").fill(String(entry.heightCm));
    if (entry.massKg !== undefined) await page.getByLabel("Mass", { exact: true }).fill(String(entry.massKg));
  }

  /** Shown while typing, from height and mass. */
  surfaceArea(): Locator {
    return this.page.getByRole("definition").filter({ hasText: "m²" });
  }

  /** Sends the form; what is refused stays on the page with its message. */
  async submit(): Promise<void> {
    await this.page.getByRole("button", { name: "Register", exact: true }).click();
  }

  /** Registers and returns the code that the volunteer was given. */
  async register(entry: VolunteerEntry): Promise<string> {
    await this.openRegistration();
    await this.fill(entry);
    await this.submit();
    await expect(this.page.getByText(/^Taking part:/)).toBeVisible();
    return (await this.page.getByRole("heading", { level: 1 }).textContent()) ?? "";
  }

  rows(): Locator {
    return this.page.getByRole("region", { name: "Volunteers" }).getByRole("row");
  }

  row(code: string): Locator {
    return this.rows().filter({ has: this.page.getByRole("link", { name: code, exact: true }) });
  }

  async filterByParticipation(state: string): Promise<void> {
    await this.page.getByLabel("Takes part").selectOption({ label: state });
  }

  async openVolunteer(code: string): Promise<void> {
    await this.page.getByRole("link", { name: code, exact: true }).click();
    await expect(this.page.getByRole("heading", { name: code, level: 1 })).toBeVisible();
  }
}
