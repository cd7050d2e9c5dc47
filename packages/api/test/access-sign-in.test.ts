import { APIError } from "better-auth/api";
import { afterAll, beforeAll, describe, expect, it, vi } from "vitest";
import type { Actor } from "../src/access/service";
import { buildCore } from "../src/core";
import { readEnvironment } from "../src/environment";
import { openTestCore, type TestCore, testDatabaseKinds } from "../src/testing";

const password = "a heron under the pier";
const email = "heron@example.org";

// Counting is the database's, so each of them is tried; the whole crowd takes most of a minute, so the last of them is.
const kinds = testDatabaseKinds();
const tries = kinds.map((kind, at) => ({
  kind,
  name: kind.name,
  crowd: at === kinds.length - 1 ? 10_000 : 2_000,
}));

describe.each(tries)("signing in, on $name", ({ kind, crowd }) => {
  let test: TestCore;
  let lead: Actor;
  let clock = new Date("2026-03-01T08:00:00Z");
  const later = (seconds: number) => {
    clock = new Date(clock.getTime() + seconds * 1000);
    test.setNow(clock);
  };

  beforeAll(async () => {
    test = await openTestCore(kind);
    test.setNow(clock);
    lead = await test.person("Lead");
    const studyId = await test.study(lead);
    const { token } = await test.caller(lead).team.invite({ studyId, email, role: "analyst" });
    await test.caller(null).account.acceptInvitation({ token, name: "Wader", password });
  });
  afterAll(() => test.close());

  interface Said {
    readonly status: number;
    readonly body: string;
    readonly cookies: readonly string[];
  }

  async function signIn(
    as: string,
    word: string,
    { from, cookie = "" }: { from?: string; cookie?: string } = {},
    core = test.core,
  ): Promise<Said> {
    const headers = new Headers({ cookie, ...(from === undefined ? {} : { "x-forwarded-for": from }) });
    try {
      const response = await core.auth.api.signInEmail({
        body: { email: as, password: word },
        headers,
        asResponse: true,
      });
      return {
        status: response.status,
        body: await response.text(),
        cookies: response.headers.getSetCookie().map((line) => line.split(";")[0] ?? ""),
      };
    } catch (error) {
      // What refuses before the password is looked at is thrown here, and answered with its status over HTTP.
      if (!(error instanceof APIError)) throw error;
      return { status: error.statusCode, body: JSON.stringify(error.body), cookies: [] };
    }
  }

  it("is answered in the same words, and with the same work, for an account that does not exist", async () => {
    const { password: passwords } = await test.core.auth.$context;
    const hash = vi.spyOn(passwords, "hash");
    const verify = vi.spyOn(passwords, "verify");
    const known = await signIn(email, "not the heron at all");
    const verified = verify.mock.calls.length;
    const unknown = await signIn("nobody@example.org", "not the heron at all");
    // One run of the slow function each: of the two nothing is quicker that would tell.
    expect([verified, hash.mock.calls.length]).toEqual([1, 1]);
    expect([unknown.status, unknown.body]).toEqual([known.status, known.body]);
    expect(known.status).toBe(401);
    vi.restoreAllMocks();
    expect((await signIn(email, password)).status).toBe(200);
  });

  it(`lets no more than a few of ${crowd} tries be looked at, and its owner in afterwards and meanwhile`, async () => {
    const known = (await signIn(email, password)).cookies.find((line) => line.includes("known_device")) ?? "";
    expect(known).toMatch(/^acral\.known_device=/);
    const { password: passwords } = await test.core.auth.$context;
    const verify = vi.spyOn(passwords, "verify");
    let refused = 0;
    for (let i = 0; i < crowd; i++) {
      later(1);
      // Another address each time, as from a rented crowd of machines.
      const from = `203.0.${i % 250}.${Math.floor(i / 250)}`;
      if ((await signIn(email, `guess number ${i}`, { from })).status === 429) refused++;
      if (i === crowd * 0.6) expect((await signIn(email, password, { cookie: known })).status).toBe(200);
    }
    // Ten free ones, then after 1, 2, 4 … 32 minutes and each hour: 17 within the 2¾ hours of 10,000, and the owner's own.
    expect(verify.mock.calls.length).toBeLessThanOrEqual(18);
    expect(verify.mock.calls.length).toBeGreaterThan(10);
    expect(refused).toBe(crowd - (verify.mock.calls.length - 1));
    vi.restoreAllMocks();

    // On a device that is not known the right password has to wait as well, an hour at most, and is let in then.
    const waiting = await signIn(email, password);
    expect(waiting.status).toBe(429);
    expect(waiting.body).toMatch(/Too many attempts in a row\. Try again in \d+ minutes/);
    later(3600);
    expect((await signIn(email, password)).status).toBe(200);
  }, 600_000);

  it("waits in the same words for an account that does not exist", async () => {
    const answers: Said[] = [];
    for (const as of ["another.nobody@example.org", email]) {
      for (let i = 0; i < 10; i++) await signIn(as, `guess ${i} of ten`);
      answers.push(await signIn(as, "one guess more"));
    }
    expect(answers[0]).toEqual(answers[1]);
    expect(answers[0]?.status).toBe(429);
    later(24 * 3600);
  });

  it("slows down one address that goes through many accounts, and forgets nothing when the server starts anew", async () => {
    const from = "198.51.100.7";
    const statuses: number[] = [];
    for (let i = 0; i < 52; i++)
      statuses.push((await signIn(`no.${i}@example.org`, "spring in the marsh", { from })).status);
    expect(statuses.filter((status) => status === 401)).toHaveLength(50);
    expect(statuses.slice(50)).toEqual([429, 429]);
    const environment = readEnvironment({ ACRAL_DATA_DIR: test.core.environment.dataDir });
    const again = buildCore(environment, test.core.database, test.core.blobs, () => clock);
    expect((await signIn("one.more@example.org", "spring in the marsh", { from }, again)).status).toBe(429);
    expect(
      (await signIn("one.more@example.org", "spring in the marsh", { from: "198.51.100.8" }, again)).status,
    ).toBe(401);
    // Nobody reads out of the table who was tried, or from where.
    const rows = await test.core.database.query(
      "select row_to_json(t)::text as line from sign_in_throttle as t",
    );
    expect(rows.length).toBeGreaterThan(50);
    expect(rows.map((row) => row.line).join("\n")).not.toMatch(/example\.org|198\.51/);
  });

  it("counts tries at the same moment one after the other", async () => {
    later(24 * 3600);
    const tries = Array.from({ length: 40 }, () =>
      test.core.throttle.begin({ kind: "account", what: "race@example.org" }),
    );
    const waits = await Promise.all(tries);
    expect(waits.filter((wait) => wait === null)).toHaveLength(10);
  });

  it("believes no device cookie that was made up, or that belongs to another account", async () => {
    later(24 * 3600);
    const { cookies } = await signIn(email, password);
    const real = cookies.find((line) => line.includes("known_device")) ?? "";
    const victim = "victim@example.org";
    for (let i = 0; i < 10; i++) await signIn(victim, `guess ${i} of ten`);
    const forged = real.replace(/.$/, (sign) => (sign === "A" ? "B" : "A"));
    for (const cookie of [real, forged, "acral.known_device=x.y"]) {
      expect((await signIn(victim, "one more", { cookie })).status, cookie).toBe(429);
    }
  });
});
