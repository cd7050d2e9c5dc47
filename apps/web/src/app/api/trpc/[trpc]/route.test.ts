import { openTestCore, type TestCore, testDatabaseKinds } from "@acral/api/testing";
import { afterAll, afterEach, beforeAll, describe, expect, it, vi } from "vitest";
import { POST as authenticate } from "@/app/api/auth/[...all]/route";
import { respond } from "@/server/respond";
import { GET, POST } from "./route";

const shared: typeof globalThis & { acralCore?: Promise<unknown> } = globalThis;
const home = "http://127.0.0.1:3000";
const password = "four words in a row";

describe("a request from outside", () => {
  let test: TestCore;
  let cookie: string;

  beforeAll(async () => {
    const kind = testDatabaseKinds()[0];
    if (kind === undefined) throw new Error("no kind of database");
    test = await openTestCore(kind);
    shared.acralCore = Promise.resolve(test.core);
    const lead = await test.person("Lead");
    const studyId = await test.study(lead);
    const email = "own@example.org";
    const { token } = await test.caller(lead).team.invite({ studyId, email, role: "observer" });
    await test.caller(null).account.acceptInvitation({ token, name: "Own", password });
    const said = (await signIn(password)).headers.get("set-cookie") ?? "";
    cookie = said.split(";")[0] ?? "";
  });
  afterAll(async () => {
    delete shared.acralCore;
    await test.close();
  });
  afterEach(() => vi.restoreAllMocks());

  function signIn(word: string, from = "192.0.2.1"): Promise<Response> {
    return authenticate(
      new Request(`${home}/api/auth/sign-in/email`, {
        method: "POST",
        headers: { "content-type": "application/json", origin: home, "x-forwarded-for": from },
        body: JSON.stringify({ email: "own@example.org", password: word }),
      }),
    );
  }

  const make = (headers: Record<string, string>, body: unknown = { title: "Made" }) =>
    POST(
      new Request(`${home}/api/trpc/study.create`, {
        method: "POST",
        headers: { host: "127.0.0.1:3000", "content-type": "application/json", cookie, ...headers },
        body: JSON.stringify(body),
      }),
    );
  const studies = () => test.core.database.prisma.study.count();

  it("of this site is carried out for whoever is signed in", async () => {
    const before = await studies();
    expect((await make({ "sec-fetch-site": "same-origin", origin: home })).status).toBe(200);
    expect(await studies()).toBe(before + 1);
    expect((await make({ cookie: "", origin: home })).status).toBe(401);
  });

  it.each([
    ["another site", { "sec-fetch-site": "cross-site" }],
    ["another host of the same site", { "sec-fetch-site": "same-site" }],
    ["another origin, by a browser that says no more", { origin: "https://elsewhere.example" }],
    ["another port of this machine", { origin: "http://127.0.0.1:9999" }],
    ["a page without an origin", { origin: "null" }],
  ])("made by %s is refused, though the cookie is there", async (_, headers: Record<string, string>) => {
    const before = await studies();
    const answer = await make(headers);
    expect(answer.status).toBe(403);
    expect(await answer.text()).toMatch(/came from another site/);
    expect(await studies()).toBe(before);
    // Uploads and downloads go another way, and pass the same check.
    const route = vi.fn(async () => new Response("done"));
    const request = new Request(`${home}/api/studies/x/releases/y`, {
      headers: { host: "127.0.0.1:3000", cookie, ...headers },
    });
    expect((await respond("release.download", request, route)).status).toBe(403);
    expect(route).not.toHaveBeenCalled();
  });

  it("for a file needs somebody who is signed in", async () => {
    const route = vi.fn(async () => new Response("done"));
    const request = new Request(`${home}/api/studies/x/releases/y`);
    expect((await respond("release.download", request, route)).status).toBe(401);
    expect(route).not.toHaveBeenCalled();
  });

  it("asks at most twenty things at once", async () => {
    const ask = (count: number) => {
      const paths = Array.from({ length: count }, () => "account.me").join(",");
      return GET(new Request(`${home}/api/trpc/${paths}?batch=1&input=%7B%7D`));
    };
    expect((await ask(20)).status).toBe(200);
    expect((await ask(21)).status).toBe(400);
  });

  it("longer than the API takes is refused while it arrives", async () => {
    const answer = await make({ origin: home }, { title: "x".repeat(5 * 1024 * 1024) });
    expect(answer.status).toBe(413);
    expect(await answer.text()).toMatch(/more than the server takes at once \(4 MB\)/);
  });

  it("that fails for a reason nobody foresaw tells neither the browser nor the log what the values were", async () => {
    const said: unknown[] = [];
    vi.spyOn(console, "error").mockImplementation((...words: unknown[]) => void said.push(...words));
    vi.spyOn(test.core.database.prisma.user, "count").mockRejectedValue(
      new Error("the row ('Ulvhild Sandvåg') was refused"),
    );
    const answer = await GET(new Request(`${home}/api/trpc/account.firstAccountIsOpen`));
    expect(answer.status).toBe(500);
    const text = await answer.text();
    expect(text).toMatch(/Something failed on the server/);
    expect(said.join("\n")).toMatch(/failure in account.firstAccountIsOpen/);
    for (const told of [text, said.join("\n")]) expect(told).not.toMatch(/Ulvhild|Sandvåg/);
  });

  it("is answered with a cookie that no script reads and no other site sends", async () => {
    const said = (await signIn(password)).headers.get("set-cookie") ?? "";
    expect(said).toMatch(/^acral\.session_token=/);
    expect(said).toMatch(/; HttpOnly/i);
    expect(said).toMatch(/; SameSite=Lax/i);
  });

  it("cannot try passwords for one account without end, whatever address it claims to come from", async () => {
    const statuses: number[] = [];
    for (let i = 0; i < 10; i++)
      statuses.push((await signIn(`wrong words ${i} of ten`, `198.51.100.${i}`)).status);
    expect(statuses).toEqual(Array.from({ length: 10 }, () => 401));
    expect((await signIn(password, "198.51.100.77")).status).toBe(429);
    test.setNow(new Date(Date.now() + 61_000));
    expect((await signIn(password, "198.51.100.78")).status).toBe(200);
    test.setNow(new Date());
  });
});
