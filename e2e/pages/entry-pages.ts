import { expect, type Page } from "@playwright/test";

export const leadPassword = "kelp on the third stair";

/** The way in: the first account, and the first study. */
export class EntryPages {
  constructor(private readonly page: Page) {}

  /** A journey that takes longer than ten minutes is asked for the password again, as anybody is. */
  private async answerPasswordAgain(password: string): Promise<void> {
    const { page } = this;
    const dialog = page.getByRole("dialog", { name: "Your password again" });
    await page.addLocatorHandler(dialog, async () => {
      await dialog.getByRole("textbox", { name: "Your password" }).fill(password);
      await dialog.getByRole("button", { name: "Go on" }).click();
    });
  }

  async createFirstAccount(code: string, name = "Ina Lead", email = "ina.lead@example.org"): Promise<void> {
    const { page } = this;
    await page.goto("/first-account");
    await page.getByLabel("One-time code").fill(code);
    await page.getByLabel("Your name").fill(name);
    await page.getByLabel("E-mail address").fill(email);
    await page.getByRole("textbox", { name: "Password" }).fill(leadPassword);
    await page.getByRole("button", { name: /Create/ }).click();
    await expect(page.getByRole("heading", { name: "Studies", level: 1 })).toBeVisible();
    await this.answerPasswordAgain(leadPassword);
  }

  async signIn(email: string, password = leadPassword): Promise<void> {
    const { page } = this;
    await page.goto("/sign-in");
    await page.getByLabel("E-mail address").fill(email);
    await page.getByRole("textbox", { name: "Password" }).fill(password);
    await page.getByRole("button", { name: "Sign in" }).click();
    await expect(page.getByRole("heading", { name: "Studies", level: 1 })).toBeVisible();
    await this.answerPasswordAgain(password);
  }

  /** Creates a study and returns its id, from the address of its page. */
  async createStudy(title: string): Promise<string> {
    const { page } = this;
    await page.goto("/studies/new");
    await page.getByLabel("Title").fill(title);
    await page.getByRole("button", { name: /Create/ }).click();
    await expect(page.getByRole("heading", { name: title, level: 1 })).toBeVisible();
    const id = /\/studies\/([^/]+)$/.exec(new URL(page.url()).pathname)?.[1];
    if (id === undefined) throw new Error(`the address ${page.url()} names no study`);
    return id;
  }
}
