import { EntryPages, leadPassword } from "./pages/entry-pages";
import { expect, test } from "./server";

test("sessions are seen and ended, and what cannot be taken back asks for the password again and goes on afterwards", async ({
  page,
  server,
  browser,
}) => {
  await page.goto(server.address);
  const entry = new EntryPages(page);
  await entry.createFirstAccount(server.firstAccountCode());
  const studyId = await entry.createStudy("Who may do what");

  // Signed in at another place, which is then ended from here.
  const elsewhere = await browser.newContext({
    baseURL: server.address,
    userAgent: "Mozilla/5.0 Linux Firefox/140.0",
  });
  const there = await elsewhere.newPage();
  await there.goto(`${server.address}/sign-in`);
  await there.getByLabel("E-mail address").fill("ina.lead@example.org");
  await there.getByRole("textbox", { name: "Password" }).fill(leadPassword);
  await there.getByRole("button", { name: "Sign in" }).click();
  await expect(there.getByRole("heading", { name: "Studies", level: 1 })).toBeVisible();
  await page.goto(`${server.address}/account`);
  await expect(page.getByText("(this one)")).toBeVisible();
  await page.getByRole("button", { name: /End the session of Firefox on Linux/ }).click();
  await page.getByRole("dialog").getByRole("button", { name: "End", exact: true }).click();
  await expect(page.getByRole("button", { name: /End the session of/ })).toHaveCount(0);
  expect(
    (await there.request.get(`${server.address}/api/studies/${studyId}/audit?format=csv`)).status(),
  ).toBe(401);
  await there.goto(`${server.address}/studies`);
  await expect(there).toHaveURL(/\/sign-in/);
  await elsewhere.close();

  // The only lead investigator is offered neither another role nor to be removed.
  await page.goto(`${server.address}/studies/${studyId}/team`);
  await expect(page.getByText("the only lead investigator")).toBeVisible();
  await expect(page.getByRole("button", { name: /^Remove/ })).toHaveCount(0);
  await expect(page.getByLabel(/^Role of/)).toHaveCount(0);
});

test("the dialog for the password is worked by the keyboard, and says what is wrong", async ({
  page,
  server,
}) => {
  await page.goto(server.address);
  const entry = new EntryPages(page);
  await entry.createFirstAccount(server.firstAccountCode());
  const studyId = await entry.createStudy("Who is asked again");
  await page.removeLocatorHandler(page.getByRole("dialog", { name: "Your password again" }));
  // What the server says eleven minutes later; the clock of the server cannot be set from here.
  let refusals = 2;
  await page.route(/\/api\/trpc\/team\.invite/, async (route) => {
    if (refusals-- <= 0) return route.continue();
    const data = {
      code: "FORBIDDEN",
      httpStatus: 403,
      appCode: "password-again",
      field: null,
      fields: {},
      details: {},
    };
    await route.fulfill({ status: 403, json: [{ error: { message: "Asked again.", code: -32003, data } }] });
  });
  await page.goto(`${server.address}/studies/${studyId}/team`);
  await page.getByLabel("E-mail").fill("oda@example.org");
  const invite = page.getByRole("button", { name: "Invite", exact: true });
  await invite.focus();
  await page.keyboard.press("Enter");
  const dialog = page.getByRole("dialog", { name: "Your password again" });
  await expect(dialog.getByRole("textbox", { name: "Your password" })).toBeFocused();
  await page.keyboard.press("Escape");
  await expect(dialog).toBeHidden();
  await expect(page.getByText("Asked again.")).toBeVisible();
  await invite.focus();
  await page.keyboard.press("Enter");
  await expect(dialog.getByRole("textbox", { name: "Your password" })).toBeFocused();
  await page.keyboard.type("not the kelp at all");
  await page.keyboard.press("Enter");
  await expect(dialog.getByRole("alert")).toContainText("This is not your password");
  await dialog.getByRole("textbox", { name: "Your password" }).fill(leadPassword);
  await page.keyboard.press("Enter");
  await expect(dialog).toBeHidden();
  await expect(page.getByRole("row", { name: /oda@example\.org/ })).toBeVisible();
});
