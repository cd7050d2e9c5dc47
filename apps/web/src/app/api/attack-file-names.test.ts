import { openTestCore, type TestCore, testDatabaseKinds } from "@acral/api/testing";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { type ReadyStudy, readyStudy } from "../../../../../packages/api/test/ready-study";
import { POST as authenticate } from "./auth/[...all]/route";
import { GET as download } from "./studies/[studyId]/trials/[trialId]/files/[fileId]/route";
import { POST as upload } from "./studies/[studyId]/trials/[trialId]/files/route";

const home = "http://127.0.0.1:3000";
const password = "a heron under the pier";
const shared: typeof globalThis & { acralCore?: Promise<unknown> } = globalThis;

/** Names that have broken headers, paths, screens or queries of somebody before. */
const names: readonly (readonly [string, string])[] = [
  ["a second header", "visit.csv\r\nSet-Cookie: acral.session_token=x\r\n\r\n<script>alert(1)</script>"],
  ["a way up", "../../../../keys/identity.key"],
  ["a way up by the other slash", "..\\..\\keys\\identity.key"],
  ["an absolute path", "/etc/passwd"],
  ["an end before its end", "visit.csv\u0000.exe"],
  ["a direction that turns round", "visit\u202Evsc.exe"],
  ["quotes that end the value", 'visit"; filename="evil.html'],
  ["a script", "<img src=x onerror=alert(1)>.csv"],
  ["a query", "'; drop table source_file; --.csv"],
  ["ten thousand signs", `${"x".repeat(10_000)}.csv`],
  ["nothing but dots", ".."],
  ["signs of a pattern", "%_%.csv"],
];

describe.each(testDatabaseKinds())("a source file, on $name,", (kind) => {
  let test: TestCore;
  let study: ReadyStudy;
  let trialId: string;
  let cookie: string;
  let sent = 0;

  beforeAll(async () => {
    test = await openTestCore(kind);
    shared.acralCore = Promise.resolve(test.core);
    study = await readyStudy(test);
    trialId = await study.plan((await study.volunteer()).volunteerId);
    const email = "operator@example.org";
    const { token } = await study.call.team.invite({ studyId: study.studyId, email, role: "operator" });
    await test.caller(null).account.acceptInvitation({ token, name: "Wader", password });
    const answer = await authenticate(
      new Request(`${home}/api/auth/sign-in/email`, {
        method: "POST",
        headers: { "content-type": "application/json", origin: home },
        body: JSON.stringify({ email, password }),
      }),
    );
    cookie = answer.headers
      .getSetCookie()
      .map((line) => line.split(";")[0])
      .join("; ");
  }, 120_000);
  afterAll(async () => {
    delete shared.acralCore;
    await test.close();
  });

  it.each(names)("whose name holds %s, is refused in words or handed out harmlessly", async (_, name) => {
    sent++;
    const body = new TextEncoder().encode(`time,left chest (mean °C)\n0,33.1\n1,${sent}\n`);
    const { studyId } = study;
    const answer = await upload(
      new Request(`${home}/api/studies/${studyId}/trials/${trialId}/files`, {
        method: "POST",
        headers: { cookie, "x-file-name": encodeURIComponent(name), "x-file-size": String(body.length) },
        body,
      }),
      { params: Promise.resolve({ studyId, trialId }) },
    );
    const said = (await answer.json()) as { sourceFileId?: string; message?: string };
    if (said.sourceFileId === undefined) {
      // Never a failure of the server: a sentence, and nothing kept.
      expect(answer.status).toBe(400);
      expect(said.message).toMatch(/Nothing was kept/);
      return;
    }
    const { sourceFileId: fileId } = said;
    const file = await download(
      new Request(`${home}/api/studies/${studyId}/trials/${trialId}/files/${fileId}`, {
        headers: { cookie },
      }),
      { params: Promise.resolve({ studyId, trialId, fileId }) },
    );
    expect(file.status).toBe(200);
    expect(new Uint8Array(await file.arrayBuffer())).toEqual(body);
    expect(file.headers.getSetCookie()).toEqual([]);
    expect(file.headers.get("content-type")).toBe("application/octet-stream");
    expect(file.headers.get("x-content-type-options")).toBe("nosniff");
    const disposition = file.headers.get("content-disposition") ?? "";
    // One value of each, of harmless signs: no quote ends it early, no slash leads anywhere, no letter turns round.
    expect(disposition).toMatch(/^attachment; filename="[\w.\- ]*"; filename\*=UTF-8''[A-Za-z0-9!%.~_-]*$/);
    const exact = decodeURIComponent(/UTF-8''(.*)$/.exec(disposition)?.[1] ?? "");
    expect(exact).not.toMatch(/[\p{Cc}\p{Bidi_Control}/\\]/u);
    expect(await test.core.database.prisma.sourceFile.count()).toBeGreaterThan(0);
  });
});
