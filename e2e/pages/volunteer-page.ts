import { expect, type Locator, type Page } from "@playwright/test";

export interface ConsentEntry {
  readonly nameAsSigned: string;
  /** By the label of the permission; every other one is permitted. */
  readonly refused?: readonly string[];
  /** As a field for date and time holds it; absent keeps what the screen offers, which is now. */
  readonly signedAt?: string;
}

/** The page of one volunteer: details, consent, body measures and identity. */
export class VolunteerPage {
  constructor(private readonly page: Page) {}

  section(name: "Details" | "Consent" | "Body measures" | "Identity" | "Trials"): Locator {
    return this.page.getByRole("region", { name, exact: true });
  }

  async openConsent(): Promise<void> {
    await this.page.getByRole("link", { name: /Record (a new )?consent/ }).click();
    await expect(this.page.getByRole("heading", { name: /^Record consent of/ })).toBeVisible();
  }

  /** Decides every permission of the form and fills in the signature. */
  async fillConsent(entry: ConsentEntry): Promise<void> {
    const decisions = this.page.getByRole("group").filter({ has: this.page.getByRole("radio") });
    await expect(decisions.first()).toBeVisible();
    for (const decision of await decisions.all()) {
      const label = (await decision.textContent()) ?? "";
      const refused = entry.refused?.some((text) => label.includes(text)) ?? false;
      await decision.getByRole("radio", { name: refused ? "Refused" : "Permitted" }).check();
    }
    if (entry.signedAt !== undefined) await this.page.getByLabel("Signed on").fill(entry.signedAt);
    await this.page.getByLabel("Name as signed").fill(entry.nameAsSigned);
  }

  async submitConsent(): Promise<void> {
    await this.page.getByRole("button", { name: "Record consent" }).click();
  }

  async recordConsent(entry: ConsentEntry): Promise<void> {
    await this.openConsent();
    await this.fillConsent(entry);
    await this.submitConsent();
    await expect(this.page.getByText(/^Taking part:/)).toBeVisible();
  }

  permission(label: string): Locator {
    return this.section("Consent").getByRole("row").filter({ hasText: label });
  }

  /** Without a label, all permissions; what is stored is excluded unless said otherwise. */
  async withdraw(
    label?: string,
    effect: "Stop only" | "Stop, and exclude" = "Stop, and exclude",
  ): Promise<void> {
    await this.section("Consent").getByRole("button", { name: "Withdraw" }).click();
    const dialog = this.page.getByRole("dialog");
    await dialog.getByRole("radio", { name: label ?? "All permissions" }).check();
    await dialog.getByRole("radio", { name: effect }).check();
    await dialog.getByRole("button", { name: "Record the withdrawal" }).click();
    await expect(dialog).toBeHidden();
  }

  async enterIdentity(identity: {
    readonly name: string;
    readonly contact: string;
    readonly dateOfBirth?: string;
  }): Promise<void> {
    const section = this.section("Identity");
    await section.getByRole("button", { name: "Enter identity" }).click();
    await section.getByLabel("Name").fill(identity.name);
    await section.getByLabel("Contact").fill(identity.contact);
    if (identity.dateOfBirth !== undefined)
      await section.getByLabel("Date of birth").fill(identity.dateOfBirth);
    await section.getByRole("button", { name: "Save identity" }).click();
    await expect(section.getByRole("button", { name: "Show identity" })).toBeVisible();
  }

  async showIdentity(reason: string): Promise<void> {
    await this.section("Identity").getByRole("button", { name: "Show identity" }).click();
    const dialog = this.page.getByRole("dialog");
    await dialog.getByLabel("Why you need to see it").fill(reason);
    await dialog.getByRole("button", { name: "Show identity" }).click();
  }

  async editDetails(change: { readonly birthYear: number }): Promise<void> {
    const section = this.section("Details");
    await section.getByRole("button", { name: "Edit details" }).click();
    await section.getByLabel("Birth year").fill(String(change.birthYear));
  }

  async saveDetails(): Promise<void> {
    await this.section("Details").getByRole("button", { name: "Save", exact: true }).click();
  }

  conflict(): Locator {
    return this.page.getByRole("alert", { name: "Two versions" });
  }
}
