import { createHmac } from "node:crypto";
import type { Page } from "@playwright/test";
import { lookAround } from "./every-screen";
import { EntryPages, leadPassword } from "./pages/entry-pages";
import { expect, test } from "./server";

/** What an authenticator shows (RFC 6238): written here once more, from the standard alone. */
function authenticatorCode(base32Secret: string, stepsLater = 0): string {
  const bits = [...base32Secret]
    .map((sign) => "ABCDEFGHIJKLMNOPQRSTUVWXYZ234567".indexOf(sign).toString(2).padStart(5, "0"))
    .join("");
  const secret = Buffer.from((bits.match(/.{8}/g) ?? []).map((byte) => Number.parseInt(byte, 2)));
  const counter = Buffer.alloc(8);
  counter.writeBigUInt64BE(BigInt(Math.floor(Date.now() / 30_000) + stepsLater));
  const mac = createHmac("sha1", secret).update(counter).digest();
  const at = (mac.at(-1) ?? 0) & 15;
  return String((mac.readUInt32BE(at) & 0x7fffffff) % 1_000_000).padStart(6, "0");
}

async function signOut(page: Page): Promise<void> {
  await page.getByRole("button", { name: /^Account of/ }).press("Enter");
  await page.getByRole("menuitem", { name: "Sign out" }).press("Enter");
  await expect(page.getByRole("button", { name: "Sign in" })).toBeVisible();
}

test("a second factor is set up, asked for, stood in for by a recovery code and taken off, by the keyboard alone", async ({
  page,
  server,
}) => {
  const { look, holds } = lookAround(page, [
    "401 .*/sign-in/email",
    "400 .*/secondFactor.confirm",
    "409 .*/study.requireSecondFactor",
  ]);
  const entry = new EntryPages(page);
  await page.goto(server.address);
  await entry.createFirstAccount(server.firstAccountCode());
  const studyId = await entry.createStudy("Who signs in how");
  const team = `/studies/${studyId}/team`;
  const ask = page.getByRole("button", { name: "Ask for a second factor" });
  const dialog = page.getByRole("dialog");

  // Whoever asks it of others has to have one.
  await page.goto(team);
  await ask.press("Enter");
  await dialog.getByRole("button", { name: "Ask for it" }).press("Enter");
  await expect(dialog.getByRole("alert")).toContainText(
    "Set up a second factor on the page “Your account” first",
  );
  await page.keyboard.press("Escape");

  await page.goto("/account");
  await look("account, no second factor");
  await page.getByRole("button", { name: "Set up a second factor" }).press("Enter");
  const secret = ((await page.locator("code").textContent()) ?? "").replaceAll(" ", "");
  expect(secret).toMatch(/^[A-Z2-7]{32}$/);
  const first = page.getByLabel("The first code");
  await first.fill("000000");
  await first.press("Enter");
  await expect(page.getByText("This code is not right")).toBeVisible();
  await look("account, second factor being set up");
  await first.fill(authenticatorCode(secret));
  await first.press("Enter");
  const codes = page.getByRole("list", { name: "Recovery codes" }).getByRole("listitem");
  await expect(codes).toHaveCount(8);
  const [recovery = "", another = ""] = await codes.allInnerTexts();
  await look("account, recovery codes");
  await page.getByRole("button", { name: "I have kept them" }).press("Enter");
  await expect(page.getByText("8 recovery codes are left.")).toBeVisible();
  await look("account, second factor in force");

  await page.goto(team);
  await ask.press("Enter");
  await dialog.getByRole("button", { name: "Ask for it" }).press("Enter");
  await expect(page.getByText(/^Asked for: a lead investigator without one/)).toBeVisible();
  await look("team, second factor asked for");

  // The password alone opens nothing; neither does a wrong code, and what was typed stays.
  await signOut(page);
  await page.getByLabel("E-mail address").fill("ina.lead@example.org");
  const password = page.getByRole("textbox", { name: "Password" });
  await password.fill(leadPassword);
  await password.press("Enter");
  const code = page.getByLabel("Code");
  await expect(code).toBeFocused();
  await look("sign in, code");
  expect((await page.context().cookies()).filter(({ name }) => name.includes("session"))).toEqual([]);
  await code.fill("not a code");
  await code.press("Enter");
  await expect(page.getByRole("alert").filter({ hasText: "This code is not right" })).toBeVisible();
  // The code of the present half minute may be the one that was used above; the next one is taken too.
  await code.fill(authenticatorCode(secret, 1));
  await code.press("Enter");
  await expect(page.getByRole("heading", { name: "Studies", level: 1 })).toBeVisible();

  await signOut(page);
  await page.getByLabel("E-mail address").fill("ina.lead@example.org");
  await password.fill(leadPassword);
  await password.press("Enter");
  await code.fill(recovery);
  await code.press("Enter");
  await expect(page.getByRole("heading", { name: "Studies", level: 1 })).toBeVisible();

  await page.goto("/account");
  await expect(page.getByText("7 recovery codes are left.")).toBeVisible();
  await page.getByRole("button", { name: "Take it off" }).press("Enter");
  await look("account, taking the second factor off");
  await dialog.getByLabel("Code").fill(another);
  await dialog.getByRole("button", { name: "Take it off" }).press("Enter");
  await expect(page.getByText("You have none: your password alone signs you in.")).toBeVisible();

  // Now the one lead of the study can only look.
  await page.goto(team);
  await expect(page.getByRole("complementary", { name: "Caution" })).toContainText(
    "you can look at the study as",
  );
  await expect(page.getByRole("button", { name: /Ask for it no more/ })).toHaveCount(0);
  await look("team, lead without the second factor");
  holds();
});
