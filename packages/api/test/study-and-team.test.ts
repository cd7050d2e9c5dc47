import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { renewFirstAccountCode } from "../src/account/service";
import { openTestCore, type TestCore, testDatabaseKinds } from "../src/testing";

describe.each(testDatabaseKinds())("accounts, studies and teams on $name", (kind) => {
  let test: TestCore;
  beforeAll(async () => {
    test = await openTestCore(kind);
  });
  afterAll(() => test.close());

  it("the first account needs the one-time code of the last start, once", async () => {
    const older = await renewFirstAccountCode(test.core);
    const code = await renewFirstAccountCode(test.core);
    if (older === null || code === null) throw new Error("no account exists, so there must be a code");
    const person = { name: "First", email: "First@Example.org", password: "four words in a row" };
    const anybody = test.caller(null);
    await expect(anybody.account.createFirst({ ...person, code: older })).rejects.toThrow(/not the code/);
    await expect(anybody.account.createFirst({ ...person, code, password: "short" })).rejects.toThrow(
      /at least 12/,
    );
    await anybody.account.createFirst({ ...person, code: code.toLowerCase().replaceAll("-", " ") });
    expect(await anybody.account.firstAccountIsOpen()).toBe(false);
    await expect(anybody.account.createFirst({ ...person, code })).rejects.toThrow(/exists already/);
    expect(await renewFirstAccountCode(test.core)).toBeNull();
    const signedIn = await test.core.auth.api.signInEmail({
      body: { email: "first@example.org", password: person.password },
    });
    expect(signedIn.user.name).toBe("First");
  });

  it("nobody can sign up without a code or an invitation", async () => {
    await expect(
      test.core.auth.api.signUpEmail({
        body: { name: "X", email: "x@example.org", password: "four words in a row" },
      }),
    ).rejects.toThrow();
  });

  it("an invitation is used once, gives its role, and leaves no token in the database", async () => {
    const lead = await test.person("Lead");
    const studyId = await test.study(lead);
    const { token } = await test
      .caller(lead)
      .team.invite({ studyId, email: "new@example.org", role: "operator" });
    const stored = JSON.stringify(await test.core.database.query("select * from invitation"));
    expect(stored).not.toContain(token);
    const anybody = test.caller(null);
    const accept = { token, name: "New", password: "four words in a row" };
    expect(await anybody.account.invitation({ token })).toMatchObject({ state: "open", role: "operator" });
    await anybody.account.acceptInvitation(accept);
    await expect(anybody.account.acceptInvitation(accept)).rejects.toThrow(/accepted/);
    const team = await test.caller(lead).team.list({ studyId });
    expect(team.members.map((member) => [member.name, member.role])).toEqual([
      ["Lead", "lead_investigator"],
      ["New", "operator"],
    ]);
  });

  it("an invitation ends after seven days and when it is revoked", async () => {
    const lead = await test.person("Lead");
    const studyId = await test.study(lead);
    const first = await test
      .caller(lead)
      .team.invite({ studyId, email: "late@example.org", role: "analyst" });
    test.setNow(new Date(Date.now() + 8 * 24 * 3600 * 1000));
    const accept = { token: first.token, name: "Late", password: "four words in a row" };
    await expect(test.caller(null).account.acceptInvitation(accept)).rejects.toThrow(/expired/);
    const second = await test
      .caller(lead)
      .team.invite({ studyId, email: "late@example.org", role: "analyst" });
    await test.caller(lead).team.revokeInvitation({ studyId, invitationId: second.invitationId });
    await expect(
      test.caller(null).account.acceptInvitation({ ...accept, token: second.token }),
    ).rejects.toThrow(/revoked/);
    test.setNow(new Date());
  });

  it("an older invitation changes nobody's role, and so cannot take the last lead investigator away", async () => {
    const lead = await test.person("Lead");
    const studyId = await test.study(lead);
    const invite = (role: "lead_investigator" | "observer") =>
      test.caller(lead).team.invite({ studyId, email: "two@example.org", role });
    const [first, second] = [await invite("lead_investigator"), await invite("observer")];
    const userId = "two";
    await test.core.database.prisma.user.create({
      data: { id: userId, name: "Two", email: "two@example.org" },
    });
    const two = test.caller({
      userId,
      name: "Two",
      email: "two@example.org",
      session: { id: "a-session", provedAt: test.core.now() },
    });
    await two.account.joinStudy({ token: first.token });
    await two.team.remove({ studyId, userId: lead.userId });
    await expect(two.account.joinStudy({ token: second.token })).rejects.toThrow(
      /in this study already, as lead investigator/,
    );
    expect((await two.team.list({ studyId })).members.map(({ role }) => role)).toEqual(["lead_investigator"]);
  });

  it("a study keeps a lead investigator", async () => {
    const lead = await test.person("Lead");
    const studyId = await test.study(lead);
    const other = await test.member(studyId, "Other", "analyst");
    const call = test.caller(lead).team;
    await expect(call.remove({ studyId, userId: lead.userId })).rejects.toThrow(/at least one lead/);
    await expect(call.changeRole({ studyId, userId: lead.userId, role: "observer" })).rejects.toThrow(
      /at least one/,
    );
    await call.changeRole({ studyId, userId: other.userId, role: "lead_investigator" });
    await call.remove({ studyId, userId: lead.userId });
    await expect(test.caller(lead).study.get({ studyId })).rejects.toThrow(/no such study/);
  });

  it("tells the second of two editors, and what stands there now", async () => {
    const lead = await test.person("Lead");
    const studyId = await test.study(lead, "Before");
    const edit = { studyId, revision: 1, summary: "", smallestGroup: 3 };
    await test.caller(lead).study.update({ ...edit, title: "First edit" });
    const second = test.caller(lead).study.update({ ...edit, title: "Second edit" });
    await expect(second).rejects.toMatchObject({
      code: "CONFLICT",
      cause: { code: "changed-meanwhile", details: { current: { title: "First edit", revision: 2 } } },
    });
  });

  it("another person's study answers exactly like one that does not exist", async () => {
    const studyId = await test.study(await test.person("Owner"));
    const stranger = test.caller(await test.person("Stranger"));
    const answers = await Promise.all(
      [studyId, "no-such-study"].map((id) =>
        stranger.study
          .get({ studyId: id })
          .catch((error: { code: string; message: string }) => [error.code, error.message]),
      ),
    );
    expect(answers[0]).toEqual(answers[1]);
  });
});
