import { afterAll, afterEach, beforeAll, describe, expect, it, vi } from "vitest";
import type { Actor } from "../src/access/service";
import { defaultPermissions } from "../src/consent-form/policy";
import { agreesWithBirthYear, changedFields, namesPerson } from "../src/identity/policy";
import { openTestCore, type TestCore, testDatabaseKinds } from "../src/testing";

// Invented, and made of words that occur nowhere else.
const person = {
  name: "Perpetua Quillfeather-Östlund",
  contact: "perpetua.q@merrow-sands.example",
  dateOfBirth: "1987-11-23",
};

describe("a text for everybody's eyes", () => {
  it("names a person by any word of the name or contact, however written, or by the date of birth", () => {
    for (const text of [
      "calling PERPETUA",
      "Ms. Quillfeather asked",
      "born 1987-11-23",
      "via merrow-sands",
      "östlund",
    ]) {
      expect(namesPerson(text, person), text).toBe(true);
    }
    for (const text of ["to arrange visit 2", "perpetual motion", "1987", ""]) {
      expect(namesPerson(text, person), text).toBe(false);
    }
    expect(namesPerson("anything", { name: "", contact: "", dateOfBirth: "" })).toBe(false);
  });
});

describe("identity values", () => {
  it("are compared field by field, and a date of birth with the birth year", () => {
    expect(changedFields(person, { ...person, contact: "" })).toEqual(["contact"]);
    expect(agreesWithBirthYear("1987-11-23", 1987)).toBe(true);
    expect(agreesWithBirthYear("1987-11-23", 1978)).toBe(false);
    expect(agreesWithBirthYear("", 1978) && agreesWithBirthYear("1987-11-23", null)).toBe(true);
  });
});

describe.each(testDatabaseKinds())("identity on $name", (kind) => {
  let test: TestCore;
  let lead: Actor;
  beforeAll(async () => {
    test = await openTestCore(kind);
    lead = await test.person("Lead");
  });
  afterAll(() => test.close());
  afterEach(() => vi.restoreAllMocks());

  async function volunteer() {
    const studyId = await test.study(lead);
    const { volunteerId } = await test
      .caller(lead)
      .volunteer.register({ studyId, sex: "female", birthYear: 1987 });
    return { studyId, volunteerId };
  }

  /** Everything that the database holds: every row of every table as text, bytes as hexadecimal digits. */
  async function wholeDatabase(): Promise<Map<string, string>> {
    const tables = await test.core.database.query(
      "select table_name from information_schema.tables where table_schema = 'public' and table_type = 'BASE TABLE'",
    );
    const contents = new Map<string, string>();
    for (const { table_name: table } of tables) {
      const rows = await test.core.database.query(`select t::text as line from "${String(table)}" t`);
      contents.set(String(table), rows.map((row) => String(row.line)).join("\n"));
    }
    return contents;
  }

  const inHex = (text: string) => Buffer.from(text, "utf8").toString("hex");
  const telling = [...Object.values(person), "Perpetua", "Quillfeather", "Östlund", "merrow-sands"];

  it("is entered apart and comes back only when it is shown on purpose, with a reason that the audit trail keeps", async () => {
    const { studyId, volunteerId } = await volunteer();
    const caller = test.caller(lead);
    const { revision } = await caller.identity.save({ studyId, volunteerId, revision: 0, ...person });
    expect(revision).toBe(1);
    const state = (await caller.volunteer.get({ studyId, volunteerId })).identity;
    expect(state).toMatchObject({ revision: 1, hasName: true, hasContact: true, hasDateOfBirth: true });
    const shown = await caller.identity.reveal({
      studyId,
      volunteerId,
      reason: "To arrange the second visit",
    });
    expect(shown).toMatchObject({ ...person, namesAsSigned: [] });
    await caller.identity.reveal({ studyId, volunteerId, reason: "To arrange the third visit" });
    const trail = await caller.audit.list({ studyId, action: "identity.reveal" });
    expect(trail.entries.map((entry) => [entry.actorName, entry.subjectLabel, entry.reason])).toEqual([
      ["Lead", "V001", "To arrange the third visit"],
      ["Lead", "V001", "To arrange the second visit"],
    ]);
  });

  it("is saved field by field: an absent field stays, an empty one is cleared, and the audit trail tells fields by keyed hashes alone", async () => {
    const { studyId, volunteerId } = await volunteer();
    const { identity, audit } = test.caller(lead);
    await identity.save({ studyId, volunteerId, revision: 0, ...person });
    await identity.save({ studyId, volunteerId, revision: 1, contact: "", name: person.name });
    const shown = await identity.reveal({ studyId, volunteerId, reason: "Check what is left" });
    expect(shown).toMatchObject({ ...person, contact: "" });
    const trail = await audit.list({ studyId, action: "identity.save" });
    const hash = expect.stringMatching(/^1:[0-9a-f]{64}$/);
    expect(trail.entries.map(({ before, after }) => ({ before, after }))).toEqual([
      { before: { contact: hash }, after: { contact: null } },
      {
        before: { name: null, contact: null, "date of birth": null },
        after: { name: hash, contact: hash, "date of birth": hash },
      },
    ]);
  });

  it("edited by two people: the second is told, without being shown a value", async () => {
    const { studyId, volunteerId } = await volunteer();
    const { identity } = test.caller(lead);
    await identity.save({ studyId, volunteerId, revision: 0, ...person });
    const error = await identity
      .save({ studyId, volunteerId, revision: 0, name: "Somebody Else" })
      .catch((cause: { message: string; cause: unknown }) => cause);
    expect(error).toMatchObject({
      cause: { code: "changed-meanwhile", details: { current: { revision: 1 } } },
    });
    for (const value of telling) expect(JSON.stringify(error)).not.toContain(value);
  });

  it("refuses a date of birth in the future, of another year than the birth year, or that is no date", async () => {
    const { studyId, volunteerId } = await volunteer();
    const save = (dateOfBirth: string) =>
      test.caller(lead).identity.save({ studyId, volunteerId, revision: 0, dateOfBirth });
    await expect(save("2999-01-01")).rejects.toThrow(/future/);
    await expect(save("1978-11-23")).rejects.toThrow(/birth year of this volunteer \(1987\)/);
    await expect(save("1987-02-30")).rejects.toThrow(/year-month-day/);
  });

  it("refuses a reason that names the person, because everybody reads the audit trail", async () => {
    const { studyId, volunteerId } = await volunteer();
    const { identity } = test.caller(lead);
    await identity.save({ studyId, volunteerId, revision: 0, ...person });
    await expect(
      identity.reveal({ studyId, volunteerId, reason: "Perpetua wants to know" }),
    ).rejects.toMatchObject({ cause: { code: "invalid", field: "reason" } });
    await expect(identity.reveal({ studyId, volunteerId, reason: " " })).rejects.toThrow(/Say why/);
  });

  it("is shut to analysts and observers, and to lead investigators of other studies", async () => {
    const { studyId, volunteerId } = await volunteer();
    const reason = "curiosity";
    for (const role of ["analyst", "observer"] as const) {
      const member = test.caller(await test.member(studyId, role, role));
      await expect(member.identity.reveal({ studyId, volunteerId, reason })).rejects.toThrow(
        /cannot do this/,
      );
    }
    const stranger = test.caller(await test.person("Stranger"));
    await expect(stranger.identity.reveal({ studyId, volunteerId, reason })).rejects.toThrow(/no such study/);
  });

  it("moved to another volunteer's row does not decrypt", async () => {
    const { studyId, volunteerId } = await volunteer();
    const caller = test.caller(lead);
    await caller.identity.save({ studyId, volunteerId, revision: 0, ...person });
    const other = await caller.volunteer.register({ studyId, sex: "male", birthYear: 1990 });
    await caller.identity.save({
      studyId,
      volunteerId: other.volunteerId,
      revision: 0,
      name: "Somebody Else",
    });
    await test.core.database.query(
      "update identity set name_cipher = (select name_cipher from identity where volunteer_id = $1) where volunteer_id = $2",
      [volunteerId, other.volunteerId],
    );
    await expect(
      caller.identity.reveal({ studyId, volunteerId: other.volunteerId, reason: "A test" }),
    ).rejects.toThrow();
  });

  it("stands nowhere in clear: in no answer but its own, in no row of any table, in the audit trail or in what is logged", async () => {
    const logged: string[] = [];
    const catching =
      () =>
      (chunk: unknown): boolean => {
        logged.push(String(chunk));
        return true;
      };
    vi.spyOn(process.stdout, "write").mockImplementation(catching());
    vi.spyOn(process.stderr, "write").mockImplementation(catching());
    for (const method of ["log", "info", "warn", "error", "debug"] as const) {
      vi.spyOn(console, method).mockImplementation(
        (...values: unknown[]) => void logged.push(values.join(" ")),
      );
    }

    const { studyId, volunteerId } = await volunteer();
    const caller = test.caller(lead);
    await caller.identity.save({ studyId, volunteerId, revision: 0, ...person });
    const { formId } = await caller.consent.startForm({ studyId });
    await caller.consent.saveForm({
      studyId,
      formId,
      revision: 1,
      title: "Taking part",
      text: "What happens.",
      permissions: [...defaultPermissions],
    });
    await caller.consent.putFormInForce({ studyId, formId, revision: 2 });
    const signedAt = new Date().toISOString();
    await caller.consent.record({
      studyId,
      volunteerId,
      formId,
      signedAt,
      nameAsSigned: person.name,
      decisions: Object.fromEntries(defaultPermissions.map((item) => [item.key, true])),
    });
    const withdrawal = {
      studyId,
      volunteerId,
      permission: null,
      effect: "exclude" as const,
      effectiveAt: new Date().toISOString(),
    };
    await expect(
      caller.consent.withdraw({ ...withdrawal, reason: "Ms Quillfeather wrote to us" }),
    ).rejects.toThrow(/volunteer code instead/);
    await caller.consent.withdraw({ ...withdrawal, reason: "Moves away" });
    const shown = await caller.identity.reveal({ studyId, volunteerId, reason: "To say goodbye" });
    expect(shown.name).toBe(person.name);
    expect(shown.namesAsSigned).toMatchObject([{ name: person.name }]);
    // A failure on the way must not put a value into a message either.
    const failure: unknown = await caller.identity
      .save({ studyId, volunteerId, revision: 1, name: person.name, contact: "x".repeat(501) })
      .catch((error: unknown) => error);

    const answers = JSON.stringify([
      await caller.volunteer.list({ studyId }),
      await caller.volunteer.get({ studyId, volunteerId }),
      await caller.consent.ofVolunteer({ studyId, volunteerId }),
      await caller.consent.forms({ studyId }),
      await caller.study.overview({ studyId }),
      await caller.audit.list({ studyId }),
      failure instanceof Error ? failure.message : failure,
    ]);
    const database = await wholeDatabase();
    expect([...database.keys()]).toEqual(
      expect.arrayContaining(["identity", "consent_record", "audit_entry"]),
    );
    // The search itself works: it finds what does stand in clear.
    expect(database.get("volunteer")).toContain("V001");
    expect(database.get("audit_entry")).toContain("To say goodbye");
    for (const value of telling) {
      expect(answers, `an answer holds ${value}`).not.toContain(value);
      expect(logged.join("\n"), `a log holds ${value}`).not.toContain(value);
      for (const [table, content] of database) {
        expect(content.includes(value), `${table} holds ${value}`).toBe(false);
        expect(content.includes(inHex(value)), `${table} holds the bytes of ${value}`).toBe(false);
      }
    }
  });
});
