import { expect, type Locator, type Page } from "@playwright/test";

/** The Consent forms section of the Volunteers screen. */
export class ConsentFormsPage {
  constructor(
    private readonly page: Page,
    private readonly studyId: string,
  ) {}

  async open(): Promise<void> {
    await this.page.goto(`/studies/${this.studyId}/consent`);
    await expect(this.page.getByRole("heading", { name: "Consent forms", level: 1 })).toBeVisible();
  }

  /** Begins the first version from the text that is offered, or the next one from the newest. */
  async startDraft(): Promise<void> {
    await this.page.getByRole("button", { name: /Write the consent form|Start a new version/ }).click();
    await expect(this.page.getByRole("heading", { name: /Consent form version \d+/ })).toBeVisible();
  }

  async write(form: { readonly title: string; readonly text: string }): Promise<void> {
    await this.page.getByLabel("Title", { exact: true }).fill(form.title);
    await this.page.getByLabel("Text of the consent form").fill(form.text);
  }

  permissions(): Locator {
    return this.page.getByRole("list", { name: "Permissions" }).getByRole("group");
  }

  async save(): Promise<void> {
    await this.page.getByRole("button", { name: "Save draft" }).click();
    await expect(this.page.getByText("Everything is saved.")).toBeVisible();
  }

  missing(): Locator {
    return this.page.getByRole("region", { name: "Before it can be put in force" }).getByRole("listitem");
  }

  async askToPutInForce(): Promise<Locator> {
    await this.page.getByRole("button", { name: "Put in force" }).click();
    const dialog = this.page.getByRole("dialog");
    await dialog.getByRole("button", { name: "Put in force" }).click();
    return dialog;
  }

  async putInForce(): Promise<void> {
    await this.askToPutInForce();
    await expect(this.page.getByText(/Version \d+, in force since/)).toBeVisible();
  }
}
