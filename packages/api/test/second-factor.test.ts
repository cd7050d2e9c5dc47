import { APIError } from "better-auth/api";
import { afterAll, beforeAll, beforeEach, describe, expect, it } from "vitest";
import type { Actor } from "../src/access/service";
import { createContext } from "../src/context";
import { newId } from "../src/identifiers";
import { createCaller } from "../src/root-router";
import { openTestCore, type TestCore, testDatabaseKinds } from "../src/testing";
import { codeNow, secretOf, withSecondFactor } from "./second-factor-codes";

const password = "a heron under the pier";

describe.each(testDatabaseKinds())("a second factor, on $name", (kind) => {
  let test: TestCore;
  let clock = new Date("2026-03-01T08:00:05Z");
  let wader: Actor;
  const later = (seconds: number) => {
    clock = new Date(clock.getTime() + seconds * 1000);
    test.setNow(clock);
  };

  beforeAll(async () => {
    test = await openTestCore(kind);
    test.setNow(clock);
  });
  afterAll(() => test.close());
  beforeEach(async () => {
    later(60);
    wader = await test.person("Wader");
    const { password: passwords } = await test.core.auth.$context;
    const { userId } = wader;
    await test.core.database.prisma.account.create({
      data: {
        id: newId(),
        accountId: userId,
        providerId: "credential",
        userId,
        password: await passwords.hash(password),
      },
    });
  });

  const sessions = () => test.core.database.prisma.session.count({ where: { userId: wader.userId } });

  async function signIn(code: string | null, word = password, cookie = "") {
    const headers = new Headers({ cookie, ...(code === null ? {} : { "acral-second-factor": code }) });
    try {
      const response = await test.core.auth.api.signInEmail({
        body: { email: wader.email, password: word },
        headers,
        asResponse: true,
      });
      const cookies = response.headers.getSetCookie().map((line) => line.split(";")[0] ?? "");
      const body: unknown = response.status === 200 ? {} : await response.json();
      return { status: response.status, said: JSON.stringify(body), cookies };
    } catch (error) {
      if (!(error instanceof APIError)) throw error;
      return { status: error.statusCode, said: JSON.stringify(error.body), cookies: [] };
    }
  }

  it("is in force after one right code, and from then on no session exists before a code", async () => {
    const call = test.caller(wader);
    const { secret, address } = await call.secondFactor.begin();
    expect(address).toContain(`secret=${secret}&`);
    expect((await signIn(null)).status).toBe(200);
    await expect(call.secondFactor.confirm({ code: "000000" })).rejects.toThrow("This code is not right");
    expect((await call.secondFactor.state()).inForceSince).toBeNull();
    const { recoveryCodes } = await call.secondFactor.confirm({ code: codeNow(test, secret) });
    expect(recoveryCodes).toHaveLength(8);
    // The session that began without a code has ended with it.
    expect(await sessions()).toBe(0);

    later(30);
    const half = await signIn(null);
    expect([half.status, half.said]).toEqual([401, expect.stringContaining("SECOND_FACTOR_NEEDED")]);
    // Nothing that could be stolen: no cookie of a session, no row of one, and no half of one.
    expect(half.cookies.filter((line) => !line.endsWith("="))).toEqual([]);
    expect(await sessions()).toBe(0);
    expect(await test.core.database.prisma.verification.count()).toBe(0);
    const wrongPassword = await signIn(codeNow(test, secret), "another word altogether");
    expect(wrongPassword.said).toContain("INVALID_EMAIL_OR_PASSWORD");

    const whole = await signIn(codeNow(test, secret));
    expect(whole.status).toBe(200);
    const signedIn = await createContext(test.core, new Headers({ cookie: whole.cookies.join("; ") }));
    expect(signedIn.actor?.userId).toBe(wader.userId);
    await expect(createCaller(signedIn).secondFactor.begin()).rejects.toThrow("already");
    // The device is known now, and is asked all the same.
    const known = whole.cookies.find((line) => line.includes("known_device")) ?? "";
    expect(known).not.toBe("");
    expect((await signIn(null, password, known)).said).toContain("SECOND_FACTOR_NEEDED");
  });

  it("takes each code once, also of two who send it at the same moment", async () => {
    const { secret } = await withSecondFactor(test, wader);
    expect((await signIn(codeNow(test, secret))).said).toContain("SECOND_FACTOR_WRONG");
    later(30);
    const code = codeNow(test, secret);
    const both = await Promise.all([signIn(code), signIn(code)]);
    expect(both.map(({ status }) => status).sort()).toEqual([200, 401]);
    expect((await signIn(codeNow(test, secret, 1))).status).toBe(200);
    expect((await signIn(code)).said).toContain("SECOND_FACTOR_WRONG");
    later(60);
    expect((await signIn(codeNow(test, secret, -1))).status).toBe(401);
    expect((await signIn(codeNow(test, secret, 2))).status).toBe(401);
    expect((await signIn(codeNow(test, secret))).status).toBe(200);
  });

  it("has recovery codes that work once, leave an entry, and end when new ones are made", async () => {
    const { recoveryCodes } = await withSecondFactor(test, wader);
    const [first = "", second = "", third = "", fourth = ""] = recoveryCodes;
    expect((await signIn(first.toLowerCase())).status).toBe(200);
    expect((await signIn(first)).said).toContain("SECOND_FACTOR_WRONG");
    const entries = await test.core.database.prisma.auditEntry.findMany({ where: { actorId: wader.userId } });
    expect(entries.map(({ action }) => action)).toEqual([
      "secondFactor.begin",
      "secondFactor.confirm",
      "secondFactor.useRecoveryCode",
    ]);
    const renewed = await test.caller(wader).secondFactor.renewRecoveryCodes({ code: second });
    expect((await signIn(third)).status).toBe(401);
    expect((await signIn(renewed.recoveryCodes[0] ?? "")).status).toBe(200);
    await expect(test.caller(wader).secondFactor.remove({ code: fourth })).rejects.toThrow("not right");
    await test.caller(wader).secondFactor.remove({ code: renewed.recoveryCodes[1] ?? "" });
    expect((await signIn(null)).status).toBe(200);
    expect(await test.core.database.prisma.recoveryCode.count({ where: { userId: wader.userId } })).toBe(0);
  });

  it("lets no more than a few of many guesses be looked at, and its owner in afterwards", async () => {
    const { secret, recoveryCodes } = await withSecondFactor(test, wader);
    later(60);
    const right = codeNow(test, secret);
    const answers = [];
    for (let i = 0; i < 40; i++) {
      answers.push(
        (
          await signIn(
            String(i + Number(right) + 1)
              .slice(-6)
              .padStart(6, "0"),
          )
        ).status,
      );
    }
    expect(answers.filter((status) => status === 401).length).toBeLessThanOrEqual(5);
    // The right one is not looked at either, wherever it is given.
    expect((await signIn(right)).status).toBe(429);
    await expect(test.caller(wader).secondFactor.remove({ code: right })).rejects.toThrow(
      "Too many attempts",
    );
    later(3700);
    expect((await signIn(recoveryCodes[0] ?? "")).status).toBe(200);
  });

  it("cannot be read in the tables, and asks for the password again before it is touched", async () => {
    const { secret, recoveryCodes } = await withSecondFactor(test, wader);
    const rows = JSON.stringify(
      await test.core.database.query(
        "select row_to_json(f)::text as factor, row_to_json(c)::text as code from second_factor as f join recovery_code as c using (user_id)",
      ),
    );
    const bytes = Buffer.from(secretOf(secret));
    for (const shown of [secret, bytes.toString("hex"), bytes.toString("base64"), ...recoveryCodes]) {
      expect(rows).not.toContain(shown);
    }
    const old = { ...wader, session: { id: newId(), provedAt: new Date(clock.getTime() - 11 * 60_000) } };
    const { secondFactor } = test.caller(old);
    const code = recoveryCodes[0] ?? "";
    for (const attempt of [
      () => secondFactor.begin(),
      () => secondFactor.confirm({ code }),
      () => secondFactor.renewRecoveryCodes({ code }),
      () => secondFactor.remove({ code }),
    ]) {
      await expect(attempt()).rejects.toMatchObject({ cause: { code: "password-again" } });
    }
  });

  it("is asked of lead investigators where the study says so: until then they count as observers", async () => {
    const lead = await test.person("Lead");
    const studyId = await test.study(lead);
    const other = await test.member(studyId, "Another lead", "lead_investigator");
    const operator = await test.member(studyId, "An operator", "operator");
    const call = test.caller(lead);
    await expect(call.study.requireSecondFactor({ studyId, required: true })).rejects.toThrow("first");
    await withSecondFactor(test, lead);
    await call.study.requireSecondFactor({ studyId, required: true });
    await expect(call.study.requireSecondFactor({ studyId, required: true })).rejects.toThrow("already");
    expect(await call.study.get({ studyId })).toMatchObject({
      role: "lead_investigator",
      leadWithoutSecondFactor: false,
    });

    const without = test.caller(other);
    expect(await without.study.get({ studyId })).toMatchObject({
      role: "observer",
      leadWithoutSecondFactor: true,
    });
    const invite = { studyId, email: "new@example.org", role: "lead_investigator" } as const;
    for (const refused of [
      () => without.team.invite(invite),
      () => without.study.requireSecondFactor({ studyId, required: false }),
      () => without.volunteer.register({ studyId, code: "V-01", sex: "female", birthYear: 1990 }),
    ]) {
      await expect(refused()).rejects.toThrow("Until you set one up");
    }
    // Nobody else is concerned, and inviting another lead stays possible.
    expect((await test.caller(operator).study.get({ studyId })).role).toBe("operator");
    expect((await call.team.invite(invite)).token).not.toBe("");

    await withSecondFactor(test, other);
    expect((await without.team.invite({ ...invite, email: "more@example.org" })).token).not.toBe("");
    await call.study.requireSecondFactor({ studyId, required: false });
    expect((await call.study.get({ studyId })).leadsNeedSecondFactor).toBe(false);
  });
});
