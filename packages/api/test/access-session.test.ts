import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { asksForPasswordAgain, roleTable, type StudyAction } from "../src/access/policy";
import { createContext } from "../src/context";
import { createCaller } from "../src/root-router";
import { openScope } from "../src/scope";
import { openTestCore, type TestCore, testDatabaseKinds } from "../src/testing";

const password = "a heron under the pier";
const email = "heron@example.org";

describe.each(testDatabaseKinds())("sessions, on $name", (kind) => {
  let test: TestCore;
  let studyId: string;
  let memberId: string;

  beforeAll(async () => {
    test = await openTestCore(kind);
    const lead = await test.person("Lead");
    studyId = await test.study(lead);
    const { token } = await test.caller(lead).team.invite({ studyId, email, role: "lead_investigator" });
    await test.caller(null).account.acceptInvitation({ token, name: "Wader", password });
    memberId = (await test.member(studyId, "A member", "observer")).userId;
  });
  afterAll(() => test.close());

  async function signIn(device: string): Promise<Headers> {
    const response = await test.core.auth.api.signInEmail({
      body: { email, password },
      headers: new Headers({ "user-agent": device }),
      asResponse: true,
    });
    const cookie = response.headers
      .getSetCookie()
      .map((line) => line.split(";")[0])
      .join("; ");
    return new Headers({ cookie });
  }
  const callerOf = async (headers: Headers) => createCaller(await createContext(test.core, headers));

  it("are listed with their device and without their tokens, and an ended one is signed out at once", async () => {
    const here = await signIn("Heron Browser 7");
    const stolen = await signIn("Cormorant Browser 2");
    const call = await callerOf(here);
    const sessions = await call.session.list();
    expect(sessions.map(({ device, isThis }) => [device, isThis])).toEqual(
      expect.arrayContaining([
        ["Heron Browser 7", true],
        ["Cormorant Browser 2", false],
      ]),
    );
    const tokens = await test.core.database.prisma.session.findMany({ select: { token: true } });
    for (const { token } of tokens) expect(JSON.stringify(sessions)).not.toContain(token);

    const thief = await callerOf(stolen);
    expect(await thief.study.list()).toHaveLength(1);
    const other = sessions.find(({ device }) => device === "Cormorant Browser 2");
    await call.session.end({ sessionId: other?.sessionId ?? "" });
    await expect((await callerOf(stolen)).study.list()).rejects.toMatchObject({ code: "UNAUTHORIZED" });
    expect(await (await callerOf(here)).study.list()).toHaveLength(1);
    await expect(call.session.end({ sessionId: other?.sessionId ?? "" })).rejects.toMatchObject({
      code: "NOT_FOUND",
    });
  });

  it("of others can be neither seen nor ended", async () => {
    const stranger = await test.person("A stranger");
    const { id } = await test.core.database.prisma.session.findFirstOrThrow({ where: { user: { email } } });
    expect(await test.caller(stranger).session.list()).toEqual([]);
    const absent = await test
      .caller(stranger)
      .session.end({ sessionId: "no-such-session" })
      .catch((error: Error) => error.message);
    await expect(test.caller(stranger).session.end({ sessionId: id })).rejects.toThrow(String(absent));
    await test.caller(stranger).session.endOthers();
    expect(await test.core.database.prisma.session.count({ where: { id } })).toBe(1);
  });

  it("end all but one's own at once", async () => {
    const here = await signIn("One");
    const there = await Promise.all([signIn("Two"), signIn("Three")]);
    const { ended } = await (await callerOf(here)).session.endOthers();
    expect(ended).toBeGreaterThanOrEqual(2);
    for (const headers of there) expect(await (await callerOf(headers)).account.me()).toBeNull();
    expect((await (await callerOf(here)).account.me())?.email).toBe(email);
  });

  it("begin with a token of the server's own, whatever cookie was there before", async () => {
    // Somebody puts a cookie of their making into a browser and waits until its owner signs in.
    const planted = "acral.session_token=planted-by-somebody.c2lnbmF0dXJl";
    const response = await test.core.auth.api.signInEmail({
      body: { email, password },
      headers: new Headers({ cookie: planted }),
      asResponse: true,
    });
    const set = response.headers.getSetCookie().find((line) => line.startsWith("acral.session_token="));
    expect(set).toBeDefined();
    expect(set).not.toContain("planted");
    expect(await (await callerOf(new Headers({ cookie: planted }))).account.me()).toBeNull();
    expect(await test.core.database.prisma.session.count({ where: { token: "planted-by-somebody" } })).toBe(
      0,
    );
  });

  it("are worth nothing when forged, changed, or past their time", async () => {
    const { id, token } = await test.core.database.prisma.session.findFirstOrThrow({
      where: { user: { email } },
    });
    const real = (await signIn("Forger")).get("cookie") ?? "";
    const signature = /session_token=[^.]+\.([^;]+)/.exec(real)?.[1] ?? "";
    for (const cookie of [
      `acral.session_token=${token}`,
      `acral.session_token=${token}.${signature}`,
      `acral.session_token=${token}.`,
      `acral.session_token=${id}.${signature}`,
      "acral.session_token=",
      `acral.session_token=' or '1'='1`,
    ]) {
      expect(await (await callerOf(new Headers({ cookie }))).account.me(), cookie).toBeNull();
    }
    expect((await (await callerOf(new Headers({ cookie: real }))).account.me())?.email).toBe(email);
    await test.core.database.prisma.session.updateMany({ data: { expiresAt: new Date(Date.now() - 1000) } });
    expect(await (await callerOf(new Headers({ cookie: real }))).account.me()).toBeNull();
  });

  it("give the password again for what cannot be taken back, once ten minutes have passed", async () => {
    const headers = await signIn("Lead's own");
    const change = async (role: "observer" | "analyst") =>
      (await callerOf(headers)).team.changeRole({ studyId, userId: memberId, role });
    const exportScope = async () => {
      const { actor } = await createContext(test.core, headers);
      if (actor === null) throw new Error("nobody is signed in");
      return openScope(test.core, actor, studyId, "audit.export");
    };
    // Signing in was the proof.
    await change("analyst");
    await exportScope();
    test.setNow(new Date(Date.now() + 11 * 60_000));
    const entries = await test.core.database.prisma.auditEntry.count();
    await expect(change("observer")).rejects.toMatchObject({ cause: { code: "password-again" } });
    await expect(exportScope()).rejects.toMatchObject({ code: "password-again" });
    const late = await callerOf(headers);
    for (const refused of [
      () => late.session.requireProof(),
      () => late.session.endOthers(),
      () => late.session.end({ sessionId: "any" }),
    ]) {
      await expect(refused()).rejects.toMatchObject({ cause: { code: "password-again" } });
    }
    await expect(
      (await callerOf(headers)).session.prove({ password: "not the heron" }),
    ).rejects.toMatchObject({
      code: "BAD_REQUEST",
    });
    await expect(change("observer")).rejects.toMatchObject({ cause: { code: "password-again" } });
    expect(await test.core.database.prisma.auditEntry.count()).toBe(entries);
    // What asks for nothing goes on meanwhile.
    expect(await (await callerOf(headers)).team.list({ studyId })).toBeDefined();

    await (await callerOf(headers)).session.prove({ password });
    await change("observer");
    await exportScope();
    // The proof of one session is none of another.
    const other = await signIn("Another device");
    await test.core.database.prisma.session.updateMany({
      where: { userAgent: "Another device" },
      data: { createdAt: new Date(Date.now() - 60_000) },
    });
    test.setNow(new Date(Date.now() + 20 * 60_000));
    await (await callerOf(headers)).session.prove({ password });
    await expect((await callerOf(other)).session.requireProof()).rejects.toMatchObject({
      cause: { code: "password-again" },
    });
    test.setNow(new Date());
  });

  it("ask whoever has no right for no password, and say nothing of another study by asking", async () => {
    const observer = await test.member(studyId, "An observer", "observer");
    const { session: _, ...withoutProof } = observer;
    const asked = (Object.keys(roleTable) as StudyAction[]).filter(asksForPasswordAgain);
    expect(asked.length).toBeGreaterThan(5);
    for (const action of asked) {
      await expect(openScope(test.core, withoutProof, "no-such-study", action)).rejects.toMatchObject({
        code: "not-found",
      });
      await expect(openScope(test.core, withoutProof, studyId, action), action).rejects.toMatchObject({
        code: action === "audit.export" ? "password-again" : "not-allowed",
      });
    }
  });

  it("try passwords no more often there than at the door", async () => {
    const headers = await signIn("Somebody at an open desk");
    const guess = async (word: string) => (await callerOf(headers)).session.prove({ password: word });
    for (let i = 0; i < 10; i++)
      await expect(guess(`guess ${i}`)).rejects.toMatchObject({ code: "BAD_REQUEST" });
    await expect(guess(password)).rejects.toThrow(/Too many attempts in a row/);
    test.setNow(new Date(Date.now() + 120_000));
    await guess(password);
    test.setNow(new Date());
  });
});
