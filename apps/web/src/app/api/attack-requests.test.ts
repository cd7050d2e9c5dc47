import { readdirSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { openTestCore, type TestCore, testDatabaseKinds } from "@acral/api/testing";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { type ReadyStudy, readyStudy } from "../../../../../packages/api/test/ready-study";

/**
 * Requests that another site makes a browser send, and bodies without end, against every route that there is: a route
 * without a line here fails.
 */
interface Line {
  readonly method: "GET" | "POST";
  /** Where it stands below `/api`, for the study at hand. */
  readonly path: (study: Places) => string;
  readonly headers?: Readonly<Record<string, string>>;
  /** What it answers to a request of another site; null: it says nothing of anybody, and may be asked from anywhere. */
  readonly fromElsewhere: RegExp | null;
  /** What it answers to a body without end, and with which status; absent for what takes no body. */
  readonly endless?: readonly [number, RegExp];
}

interface Places {
  readonly studyId: string;
  readonly trialId: string;
  readonly recordId: string;
  readonly volunteerId: string;
}

const another = /came from another site/;
const lines: Readonly<Record<string, Line>> = {
  "auth/[...all]": {
    method: "POST",
    path: () => "auth/change-password",
    headers: { "content-type": "application/json" },
    fromElsewhere: another,
    endless: [413, /more than the server takes at once/],
  },
  "for-you/copy": {
    method: "POST",
    path: () => "for-you/copy",
    fromElsewhere: another,
    // It asks how long the body is before it reads any of it.
    endless: [400, /does not say which copy/],
  },
  "for-you/own-data": {
    method: "POST",
    path: () => "for-you/own-data",
    fromElsewhere: another,
    endless: [400, /does not say by which link/],
  },
  health: { method: "GET", path: () => "health", fromElsewhere: null },
  "studies/[studyId]/audit": {
    method: "GET",
    path: ({ studyId }) => `studies/${studyId}/audit?format=csv`,
    fromElsewhere: another,
  },
  "studies/[studyId]/consent-records/[recordId]/scan": {
    method: "POST",
    path: ({ studyId, recordId }) => `studies/${studyId}/consent-records/${recordId}/scan`,
    fromElsewhere: another,
    endless: [422, /MB/],
  },
  "studies/[studyId]/volunteers/[volunteerId]/own-data": {
    method: "GET",
    path: ({ studyId, volunteerId }) => `studies/${studyId}/volunteers/${volunteerId}/own-data`,
    fromElsewhere: another,
  },
  "studies/[studyId]/signed-papers/[paperId]": {
    method: "GET",
    path: ({ studyId }) => `studies/${studyId}/signed-papers/any`,
    fromElsewhere: another,
  },
  "studies/[studyId]/releases/[releaseId]": {
    method: "GET",
    path: ({ studyId }) => `studies/${studyId}/releases/any`,
    fromElsewhere: another,
  },
  "studies/[studyId]/trials/[trialId]/files": {
    method: "POST",
    path: ({ studyId, trialId }) => `studies/${studyId}/trials/${trialId}/files`,
    // A name, and a length that is not the true one.
    headers: { "x-file-name": "endless.csv", "x-file-size": "100" },
    fromElsewhere: another,
    endless: [422, /More bytes arrived than the 100 that were announced/],
  },
  "studies/[studyId]/trials/[trialId]/files/[fileId]": {
    method: "GET",
    path: ({ studyId, trialId }) => `studies/${studyId}/trials/${trialId}/files/any`,
    fromElsewhere: another,
  },
  "trpc/[trpc]": {
    method: "POST",
    path: () => "trpc/study.create",
    headers: { "content-type": "application/json" },
    fromElsewhere: another,
    endless: [413, /more than the server takes at once/],
  },
};

const root = fileURLToPath(new URL(".", import.meta.url));
const home = "http://127.0.0.1:3000";
const password = "a heron under the pier";
const shared: typeof globalThis & { acralCore?: Promise<unknown> } = globalThis;

describe("the routes tried below", () => {
  it("are all that there are", () => {
    const folders = readdirSync(root, { recursive: true, encoding: "utf8" })
      .filter((path) => path.endsWith("route.ts"))
      .map((path) => path.replaceAll("\\", "/").replace(/\/route\.ts$/, ""));
    expect(Object.keys(lines).sort()).toEqual(folders.sort());
  });
});

describe("every route", () => {
  let test: TestCore;
  let study: ReadyStudy;
  let places: Places;
  let cookie: string;

  type Handler = (
    request: Request,
    context: { params: Promise<Record<string, string>> },
  ) => Promise<Response>;

  async function ask(folder: string, init: RequestInit & { duplex?: "half" }): Promise<Response> {
    const line = lines[folder];
    if (line === undefined) throw new Error(`no line for ${folder}`);
    const handlers = (await import(join(root, folder, "route.ts"))) as Record<string, Handler>;
    const path = line.path(places);
    // What stands in the address in the places that the folder names.
    const parts = path.split("?")[0]?.split("/") ?? [];
    const params = Object.fromEntries(
      folder.split("/").flatMap((part, at) => {
        const name = /^\[(\w+)\]$/.exec(part)?.[1];
        return name === undefined ? [] : [[name, parts[at] ?? ""]];
      }),
    );
    const request = new Request(`${home}/api/${path}`, {
      ...init,
      method: line.method,
      headers: { host: "127.0.0.1:3000", cookie, ...line.headers, ...init.headers },
    });
    const answer = await handlers[line.method]?.(request, { params: Promise.resolve(params) });
    if (answer === undefined) throw new Error(`${folder} answers no ${line.method}`);
    return answer;
  }

  /** What is in every table, and in the files: counted. */
  async function everything(): Promise<string> {
    const { database } = test.core;
    const tables = await database.query(
      "select table_name as name from information_schema.tables where table_schema = 'public' and table_name <> 'sign_in_throttle' order by 1",
    );
    const counts = [];
    for (const { name } of tables) {
      const [row] = await database.query(`select count(*)::int as n from "${name}"`);
      counts.push(`${name} ${row?.n}`);
    }
    return counts.join("\n");
  }

  beforeAll(async () => {
    const kind = testDatabaseKinds()[0];
    if (kind === undefined) throw new Error("no kind of database");
    test = await openTestCore(kind);
    shared.acralCore = Promise.resolve(test.core);
    study = await readyStudy(test);
    const { studyId, call } = study;
    const { volunteerId } = await study.volunteer();
    const { history } = await call.consent.ofVolunteer({ studyId, volunteerId });
    places = {
      studyId,
      volunteerId,
      trialId: await study.plan(volunteerId),
      recordId: history[0]?.id ?? "",
    };
    const email = "lead@example.org";
    const { token } = await call.team.invite({ studyId, email, role: "lead_investigator" });
    await test.caller(null).account.acceptInvitation({ token, name: "Wader", password });
    const { POST: authenticate } = await import("./auth/[...all]/route");
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

  const origins = [
    { "sec-fetch-site": "cross-site", origin: "https://elsewhere.example" },
    { origin: "null" },
  ];
  const guarded = Object.keys(lines).filter((folder) => lines[folder]?.fromElsewhere !== null);

  it.each(guarded)("refuses what another site sends to %s with the cookie of a lead", async (folder) => {
    const before = await everything();
    for (const headers of origins) {
      const body = lines[folder]?.method === "POST" ? { body: "{}" } : {};
      const answer = await ask(folder, { headers, ...body });
      expect(answer.status).toBe(403);
      expect(await answer.text()).toMatch(lines[folder]?.fromElsewhere ?? /never/);
    }
    expect(await everything()).toBe(before);
  });

  it("says nothing of anybody where it may be asked from anywhere", async () => {
    expect(await (await import("./health/route")).GET.length).toBe(0);
  });

  const open = Object.entries(lines).flatMap(([folder, { endless }]) =>
    endless === undefined ? [] : [{ folder, status: endless[0], words: endless[1] }],
  );

  it.each(open)(
    "ends a body without end that is sent to $folder, in words",
    async ({ folder, status, words }) => {
      const before = await everything();
      let taken = 0;
      const most = 64 * 1024 * 1024;
      const chunk = new Uint8Array(256 * 1024).fill(0x20);
      const body = new ReadableStream<Uint8Array>({
        pull(controller) {
          taken += chunk.length;
          if (taken > most) controller.close();
          else controller.enqueue(chunk);
        },
      });
      const answer = await ask(folder, {
        headers: { origin: home, "sec-fetch-site": "same-origin" },
        body,
        duplex: "half",
      });
      expect({ status: answer.status, text: await answer.text() }).toEqual({
        status,
        text: expect.stringMatching(words),
      });
      // Not read to its end: what the server holds is bounded, whatever is sent.
      expect(taken).toBeLessThan(most);
      expect(await everything()).toBe(before);
    },
  );
});
