import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { receiveScan } from "@acral/api";
import { openTestCore, type TestCore, testDatabaseKinds } from "@acral/api/testing";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { chunksOf, type ReadyStudy, readyStudy } from "../../../../../packages/api/test/ready-study";
import { POST as authenticate } from "./auth/[...all]/route";
import { GET as exportAudit } from "./studies/[studyId]/audit/route";
import { POST as addScan } from "./studies/[studyId]/consent-records/[recordId]/scan/route";
import { GET as downloadRelease } from "./studies/[studyId]/releases/[releaseId]/route";
import { GET as openPaper } from "./studies/[studyId]/signed-papers/[paperId]/route";
import { GET as downloadFile } from "./studies/[studyId]/trials/[trialId]/files/[fileId]/route";
import { POST as upload } from "./studies/[studyId]/trials/[trialId]/files/route";
import { GET as exportOwnData } from "./studies/[studyId]/volunteers/[volunteerId]/own-data/route";

/**
 * Every plain route below `app/api`, asked over HTTP by everybody there is, with real sessions: the four roles, somebody
 * without a role, nobody who is signed in; in their own study and in another. A route that is not named here fails.
 */
const roles = ["lead_investigator", "operator", "analyst", "observer"] as const;
type Role = (typeof roles)[number];

interface Places {
  readonly studyId: string;
  readonly trialId: string;
  readonly fileId: string;
  readonly releaseId: string;
  readonly recordId: string;
  readonly volunteerId: string;
  readonly paperId: string;
}

interface StudyRoute {
  /** Whom it answers, written down a second time on purpose. */
  readonly allowed: readonly Role[];
  /** What it names beside the study. */
  readonly objects: readonly (keyof Places)[];
  readonly ask: (places: Places, headers: Readonly<Record<string, string>>) => Promise<Response>;
}

const home = "http://127.0.0.1:3000";
const host = { host: "127.0.0.1:3000" };
let uploads = 0;

/** Routes of a study, by their folder. */
const ofStudies: Readonly<Record<string, StudyRoute>> = {
  "studies/[studyId]/audit": {
    allowed: ["lead_investigator", "observer"],
    objects: [],
    ask: ({ studyId }, headers) =>
      exportAudit(new Request(`${home}/api/studies/${studyId}/audit?format=csv`, { headers }), {
        params: Promise.resolve({ studyId }),
      }),
  },
  "studies/[studyId]/consent-records/[recordId]/scan": {
    allowed: ["lead_investigator", "operator"],
    objects: ["recordId"],
    ask: ({ studyId, recordId }, headers) =>
      addScan(
        new Request(`${home}/api/studies/${studyId}/consent-records/${recordId}/scan`, {
          method: "POST",
          headers,
          body: new TextEncoder().encode("%PDF-1.7 an invented scan"),
        }),
        { params: Promise.resolve({ studyId, recordId }) },
      ),
  },
  "studies/[studyId]/volunteers/[volunteerId]/own-data": {
    allowed: ["lead_investigator", "operator"],
    objects: ["volunteerId"],
    ask: ({ studyId, volunteerId }, headers) =>
      exportOwnData(
        new Request(`${home}/api/studies/${studyId}/volunteers/${volunteerId}/own-data`, { headers }),
        { params: Promise.resolve({ studyId, volunteerId }) },
      ),
  },
  "studies/[studyId]/signed-papers/[paperId]": {
    allowed: ["lead_investigator", "operator"],
    objects: ["paperId"],
    ask: ({ studyId, paperId }, headers) =>
      openPaper(new Request(`${home}/api/studies/${studyId}/signed-papers/${paperId}`, { headers }), {
        params: Promise.resolve({ studyId, paperId }),
      }),
  },
  "studies/[studyId]/releases/[releaseId]": {
    allowed: ["lead_investigator", "operator", "analyst"],
    objects: ["releaseId"],
    ask: ({ studyId, releaseId }, headers) =>
      downloadRelease(new Request(`${home}/api/studies/${studyId}/releases/${releaseId}`, { headers }), {
        params: Promise.resolve({ studyId, releaseId }),
      }),
  },
  "studies/[studyId]/trials/[trialId]/files/[fileId]": {
    allowed: ["lead_investigator", "operator", "analyst"],
    objects: ["trialId", "fileId"],
    ask: ({ studyId, trialId, fileId }, headers) =>
      downloadFile(
        new Request(`${home}/api/studies/${studyId}/trials/${trialId}/files/${fileId}`, { headers }),
        { params: Promise.resolve({ studyId, trialId, fileId }) },
      ),
  },
  "studies/[studyId]/trials/[trialId]/files": {
    allowed: ["lead_investigator", "operator"],
    objects: ["trialId"],
    ask: ({ studyId, trialId }, headers) => {
      uploads++;
      const body = new TextEncoder().encode(`time,left chest (mean °C)\n0,33.1\n1,${uploads}\n`);
      return upload(
        new Request(`${home}/api/studies/${studyId}/trials/${trialId}/files`, {
          method: "POST",
          headers: { ...headers, "x-file-name": "visit.csv", "x-file-size": String(body.length) },
          body,
        }),
        { params: Promise.resolve({ studyId, trialId }) },
      );
    },
  },
};

/** Routes outside of studies, and where they are held to what. */
const others: Readonly<Record<string, string>> = {
  "auth/[...all]": "the sign-in library's own; only what the product uses is open: trpc/[trpc]/route.test.ts",
  "for-you/copy":
    "opened by a volunteer's own link and by nobody signed in: packages/api/test/volunteer-link.test.ts",
  "for-you/own-data":
    "opened by a volunteer's own link and by nobody signed in: packages/api/test/withdrawal.test.ts",
  health: "says nothing but whether the server runs",
  "trpc/[trpc]": "the procedures, one by one: packages/api/test/access-matrix.test.ts",
};

const root = fileURLToPath(new URL(".", import.meta.url));
const folders = readdirSync(root, { recursive: true, encoding: "utf8" })
  .filter((path) => path.endsWith("route.ts"))
  .map((path) => path.replaceAll("\\", "/").replace(/\/route\.ts$/, ""));

describe("the routes asked below", () => {
  it("are all that there are", () => {
    expect([...Object.keys(ofStudies), ...Object.keys(others)].sort()).toEqual(folders.sort());
  });

  it("are asked by every method that they answer", () => {
    // A second method of a route would be a second door, with a line of its own above.
    for (const folder of Object.keys(ofStudies)) {
      const text = readFileSync(join(root, folder, "route.ts"), "utf8");
      const methods = text.match(/export (async )?function (GET|POST|PUT|PATCH|DELETE)\b/g) ?? [];
      expect(methods.length, folder).toBe(1);
    }
  });
});

const shared: typeof globalThis & { acralCore?: Promise<unknown> } = globalThis;

describe.each(testDatabaseKinds())("everybody, on $name", (kind) => {
  let test: TestCore;
  let own: Places;
  let other: Places;
  const cookies = new Map<string, string>();

  const password = "a heron under the pier";

  /** A person who came by an invitation and signed in: the cookie of that session. */
  async function signedIn(study: ReadyStudy, role: Role, email: string): Promise<string> {
    const { token } = await study.call.team.invite({ studyId: study.studyId, email, role });
    await test.caller(null).account.acceptInvitation({ token, name: email, password });
    const answer = await authenticate(
      new Request(`${home}/api/auth/sign-in/email`, {
        method: "POST",
        headers: { "content-type": "application/json", origin: home },
        body: JSON.stringify({ email, password }),
      }),
    );
    expect(answer.status).toBe(200);
    return (
      answer.headers.getSetCookie().find((line) => line.startsWith("acral.session_token=")) ?? ""
    ).split(";")[0] as string;
  }

  async function placesOf(study: ReadyStudy): Promise<Places> {
    const { studyId, call } = study;
    const { volunteerId } = await study.volunteer();
    const trialId = await study.plan(volunteerId);
    const bytes = new TextEncoder().encode("time,left chest (mean °C)\n0,33.0\n1,33.0\n");
    const { sourceFileId } = await study.upload(trialId, bytes);
    const releaseId = `release-of-${studyId}`;
    const file = await test.core.database.prisma.sourceFile.findUniqueOrThrow({
      where: { id: sourceFileId },
    });
    // Bytes that are there: what a release holds is no matter of who may fetch it.
    await test.core.database.prisma.release.create({
      data: {
        id: releaseId,
        studyId,
        number: 1,
        reason: "For the test.",
        rule: {},
        report: {},
        sha256: file.sha256,
        sizeBytes: bytes.length,
        madeById: study.lead.userId,
      },
    });
    await call.study.get({ studyId });
    const { history } = await call.consent.ofVolunteer({ studyId, volunteerId });
    const recordId = history[0]?.id ?? "";
    const { paperId } = await receiveScan(await study.scope("consent.addScan"), {
      recordId,
      body: chunksOf(new TextEncoder().encode("%PDF-1.7 an invented scan")),
    });
    return { studyId, trialId, fileId: sourceFileId, releaseId, recordId, volunteerId, paperId };
  }

  beforeAll(async () => {
    test = await openTestCore(kind);
    shared.acralCore = Promise.resolve(test.core);
    const ownStudy = await readyStudy(test);
    const otherStudy = await readyStudy(test);
    own = await placesOf(ownStudy);
    other = await placesOf(otherStudy);
    for (const role of roles) {
      cookies.set(`own ${role}`, await signedIn(ownStudy, role, `own.${role}@example.org`));
      cookies.set(`other ${role}`, await signedIn(otherStudy, role, `other.${role}@example.org`));
    }
    const guest = await readyStudy(test);
    cookies.set("no role", await signedIn(guest, "observer", "guest@example.org"));
    await test.core.database.prisma.membership.deleteMany({ where: { studyId: guest.studyId } });
  }, 240_000);
  afterAll(async () => {
    delete shared.acralCore;
    await test.close();
  });

  async function answerOf(response: Response): Promise<{ status: number; body: string }> {
    return { status: response.status, body: await response.text() };
  }

  const cells = Object.entries(ofStudies).map(([folder, route]) => ({ folder, ...route }));

  it.each(cells)("$folder", async ({ allowed, objects, ask }) => {
    const as = (who: string) => ({ ...host, cookie: cookies.get(who) ?? "" });
    const unknown = await answerOf(await ask({ ...own, studyId: "no-such-study" }, as("no role")));
    expect(unknown.status).toBe(404);
    expect(await answerOf(await ask(own, as("no role")))).toEqual(unknown);
    expect((await ask(own, host)).status, "nobody signed in").toBe(401);
    expect(
      (await ask(own, { ...host, cookie: "acral.session_token=forged.AAAA" })).status,
      "a forged cookie",
    ).toBe(401);
    for (const role of roles) {
      expect(await answerOf(await ask(own, as(`other ${role}`))), `${role} of another study`).toEqual(
        unknown,
      );
      const { status, body } = await answerOf(await ask(own, as(`own ${role}`)));
      expect({ role, status }).toEqual({ role, status: allowed.includes(role) ? 200 : 403 });
      if (status !== 200) expect(JSON.parse(body)).toMatchObject({ code: "not-allowed" });
      expect(
        (await ask(own, { ...as(`own ${role}`), "sec-fetch-site": "cross-site" })).status,
        "sent by another site",
      ).toBe(403);
    }
    // In their own study, with the name of another study's object.
    for (const object of objects) {
      for (const role of allowed) {
        const absent = await answerOf(await ask({ ...other, [object]: "no-such" }, as(`other ${role}`)));
        expect(absent.status, `${object}, as ${role}`).toBe(404);
        expect(await answerOf(await ask({ ...other, [object]: own[object] }, as(`other ${role}`)))).toEqual(
          absent,
        );
      }
    }
  });
});
