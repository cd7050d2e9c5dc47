import { existsSync, readdirSync } from "node:fs";
import { request as httpRequest } from "node:http";
import { join } from "node:path";
import { EntryPages } from "./pages/entry-pages";
import { readyTrial } from "./ready-trial";
import { expect, test } from "./server";

test("a server that is killed in the middle of an upload leaves nothing of it, and the next try arrives whole", async ({
  page,
  server,
}) => {
  const { studyId, trialId } = await readyTrial(page, server);
  const cookie = (await page.context().cookies()).map(({ name, value }) => `${name}=${value}`).join("; ");
  const path = `/api/studies/${studyId}/trials/${trialId}/files`;
  const rows = Array.from({ length: 60_000 }, (_, i) => `${i},${(33 + (i % 100) / 100).toFixed(2)}`).join(
    "\n",
  );
  const bytes = Buffer.from(`time s,left forearm anterior mean °C\n${rows}\n`);

  const incoming = join(server.dataDir, "blobs", "incoming");
  const broken = httpRequest(`${server.address}${path}`, {
    method: "POST",
    headers: {
      cookie,
      origin: server.address,
      "content-length": bytes.length,
      "x-file-size": bytes.length,
      "x-file-name": "long.csv",
    },
  });
  const ended = new Promise<void>((resolve) => broken.once("error", () => resolve()));
  // Half of the bytes, then the power goes.
  broken.write(bytes.subarray(0, bytes.length / 2));
  await expect.poll(() => (existsSync(incoming) ? readdirSync(incoming).length : 0)).toBe(1);
  await server.killAndRestart();
  await ended;

  expect(readdirSync(incoming)).toEqual([]);
  await page.goto(`/studies/${studyId}/trials/${trialId}`);
  await expect(page.getByRole("heading", { level: 1 })).toContainText("bare hands");
  await expect(page.getByRole("article", { name: /^Source file/ })).toHaveCount(0);

  await page
    .getByLabel(/^Drop .*source files here$/)
    .setInputFiles({ name: "long.csv", mimeType: "text/csv", buffer: bytes });
  await expect(page.getByText(/has arrived\.$/)).toBeVisible();
  await expect(page.getByRole("article", { name: "Source file long.csv" })).toBeVisible();
});

test("a second start keeps the data", async ({ page, server }) => {
  const entry = new EntryPages(page);
  await entry.createFirstAccount(server.firstAccountCode());
  await entry.createStudy("Still here tomorrow");
  await server.killAndRestart();
  expect(server.output()).not.toContain("enter the code");
  // Sessions are kept as well: nobody has to sign in again.
  await page.goto("/studies");
  await expect(page.getByRole("link", { name: "Still here tomorrow" })).toBeVisible();
});
