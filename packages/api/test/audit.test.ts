import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { changedLines, changedValues, filledValues, flatValues } from "../src/audit/policy";
import { auditExportInput, nobody } from "../src/audit/schema";
import { exportAuditTrail } from "../src/audit-export/service";
import { openTestCore, type TestCore, testDatabaseKinds } from "../src/testing";
import { type ReadyStudy, readyContent, readyStudy } from "./ready-study";

describe("the values of an entry", () => {
  it("are the leaves of a document by their path, a list of documents as texts", () => {
    expect(
      flatValues({
        a: 1,
        b: { c: null, d: { e: "x" } },
        f: ["x", 2],
        g: [{ h: 1, i: "", j: [1, 2] }],
        k: undefined,
      }),
    ).toEqual({ a: 1, "b.c": null, "b.d.e": "x", f: ["x", 2], g: ["h 1; j 1, 2"] });
  });

  it("are only those that differ, with null for what one side has not", () => {
    expect(changedValues({ a: 1, b: [1, 2], c: null }, { a: 1, b: [2, 1], d: 2 })).toEqual({
      before: { b: [1, 2], d: null },
      after: { b: [2, 1], d: 2 },
    });
  });

  it("are of what is new only what is there", () => {
    expect(filledValues({ a: 0, b: "", c: null, d: [], e: false, f: [""] })).toEqual({
      a: 0,
      e: false,
      f: [""],
    });
  });

  it("are of a text the lines that the other has not, as often as it has them too often", () => {
    expect(changedLines("one\ntwo\ntwo\nthree", "one\ntwo\nfour")).toEqual({
      before: ["two", "three"],
      after: ["four"],
    });
  });
});

describe.each(testDatabaseKinds())("the audit trail of a study, on $name", (kind) => {
  let test: TestCore;
  let study: ReadyStudy;
  let first: { volunteerId: string; code: string };
  let second: { volunteerId: string; code: string };
  const listed = async (filter: object) =>
    (await study.call.audit.list({ studyId: study.studyId, pageSize: 200, ...filter })).entries;

  beforeAll(async () => {
    test = await openTestCore(kind);
    study = await readyStudy(test);
    first = await study.volunteer();
    second = await study.volunteer();
    await study.plan(first.volunteerId);
    const { trialId } = await study.call.trial.plan({
      studyId: study.studyId,
      volunteerId: second.volunteerId,
      conditionKey: "gloves",
      occasion: 1,
    });
    const { revision } = await study.call.trial.get({ studyId: study.studyId, trialId });
    await study.call.trial.discard({ studyId: study.studyId, trialId, revision });
  });
  afterAll(() => test.close());

  it("is found by action, kind of subject, person and time, the newest first", async () => {
    const { studyId, lead } = study;
    const all = await listed({});
    expect(all.map(({ sequence }) => sequence)).toEqual(all.map((_, index) => all.length - index));
    expect((await listed({ action: "trial.plan" })).map(({ action }) => action)).toEqual([
      "trial.plan",
      "trial.plan",
    ]);
    for (const entry of await listed({ subjectKind: "protocol" })) expect(entry.subjectKind).toBe("protocol");
    expect(await listed({ person: lead.userId })).toHaveLength(all.length);
    expect(await listed({ person: nobody })).toEqual([]);
    expect(await listed({ person: second.volunteerId })).toEqual([]);

    const member = await test.member(studyId, "Second lead", "lead_investigator");
    test.setNow(new Date("2030-05-01T12:00:00Z"));
    await test.caller(member).team.invite({ studyId, email: "late@example.org", role: "observer" });
    expect((await listed({ from: "2030-05-01T12:00:00Z" })).map(({ actorName }) => actorName)).toEqual([
      "Second lead",
    ]);
    expect(await listed({ until: "2030-05-01T12:00:00Z" })).toHaveLength(all.length);
    expect(await listed({ from: "2030-05-01T12:00:00.001Z" })).toEqual([]);
    expect((await listed({ person: member.userId })).map(({ action }) => action)).toEqual(["team.invite"]);
    expect((await study.call.audit.choices({ studyId })).people).toEqual([
      { actorId: lead.userId, name: "Lead" },
      { actorId: member.userId, name: "Second lead" },
    ]);
  });

  it("is found by a volunteer code, with what was done to trials that are gone, and by a former code", async () => {
    const actionsOf = async (volunteerCode: string) =>
      (await listed({ volunteerCode })).map(({ action }) => action);
    expect(await actionsOf(second.code.toLowerCase())).toEqual([
      "trial.discard",
      "trial.plan",
      "consent.record",
      "volunteer.register",
    ]);
    expect(await actionsOf("no-such-code")).toEqual([]);
    const { studyId } = study;
    await study.call.volunteer.update({
      studyId,
      volunteerId: second.volunteerId,
      revision: 1,
      code: "OTHER-CODE",
      sex: "female",
      birthYear: 1990,
    });
    const now = await actionsOf("OTHER-CODE");
    expect(now).toHaveLength(5);
    expect(await actionsOf(second.code)).toEqual(now);
  });

  it("says from which values to which", async () => {
    const { studyId, call } = study;
    const draft = await call.protocol.startDraft({ studyId });
    const saved = await call.protocol.saveDraft({
      studyId,
      ...draft,
      content: {
        ...readyContent,
        exerciseLoad: "100 W",
        roomLimits: { ...readyContent.roomLimits, airSpeedMS: { max: 0.3 } },
      },
    });
    const [entry] = await listed({ action: "protocol.saveDraft" });
    expect(entry).toMatchObject({
      before: { exerciseLoad: "", "roomLimits.airSpeedMS.max": 0.2 },
      after: { exerciseLoad: "100 W", "roomLimits.airSpeedMS.max": 0.3 },
    });
    expect(Object.keys(entry?.after ?? {})).toHaveLength(2);
    await call.protocol.discardDraft({ studyId, protocolId: draft.protocolId, revision: saved.revision });

    const form = await call.consent.startForm({ studyId });
    const { title, text, permissions } = await call.consent.form({ studyId, formId: form.formId });
    await call.consent.saveForm({ studyId, ...form, title, text: `${text}\nOne line more.`, permissions });
    expect((await listed({ action: "consent.saveForm" }))[0]).toMatchObject({
      before: { textLength: text.length, textLines: [] },
      after: { textLength: text.length + 15, textLines: ["One line more."] },
    });
  });

  it("says of identity only that it changed, by a keyed hash", async () => {
    const { studyId, call } = study;
    const { volunteerId } = await study.stranger();
    const other = await study.stranger();
    await call.identity.save({ studyId, volunteerId, revision: 0, name: "Ulvhild Sandvåg" });
    await call.identity.save({ studyId, volunteerId, revision: 1, name: "Ulvhild Sandvåg-Brenne" });
    await call.identity.save({ studyId, volunteerId, revision: 2, name: "Ulvhild Sandvåg" });
    await call.identity.save({
      studyId,
      volunteerId: other.volunteerId,
      revision: 0,
      name: "Ulvhild Sandvåg",
    });
    const [ofOther, third, second, firstSaved] = await listed({ action: "identity.save" });
    const name = (values: unknown) => (values as { name: string | null }).name;
    expect(name(firstSaved?.before)).toBeNull();
    expect(name(firstSaved?.after)).toMatch(/^1:[0-9a-f]{64}$/);
    expect(name(second?.before)).toBe(name(firstSaved?.after));
    expect(name(third?.after)).toBe(name(firstSaved?.after));
    expect(name(ofOther?.after)).not.toBe(name(firstSaved?.after));
    expect(Object.keys(second?.after ?? {})).toEqual(["name"]);
  });

  const fileOf = async (filter: object, actor = study.lead) => {
    const scope = await study.scope("audit.export", actor);
    const { fileName, body } = await exportAuditTrail(
      scope,
      auditExportInput.parse(filter),
      (action) => `name of ${action}`,
    );
    const parts: Uint8Array[] = [];
    for await (const part of body) parts.push(part);
    return { fileName, text: Buffer.concat(parts).toString("utf8") };
  };

  it("is exported as JSON Lines, whole and with its hashes, and that it was is its next entry", async () => {
    const { studyId } = study;
    const rows = await test.core.database.prisma.auditEntry.findMany({
      where: { studyId },
      orderBy: { sequence: "asc" },
    });
    const observer = await test.member(studyId, "Observer", "observer");
    const { fileName, text } = await fileOf({ format: "jsonl", search: "" }, observer);
    expect(fileName).toBe("audit-trail-2030-05-01.jsonl");
    const lines = text
      .trimEnd()
      .split("\n")
      .map((line) => JSON.parse(line) as Record<string, unknown>);
    expect(lines).toEqual(rows.map((row) => ({ ...row, id: row.id.toString(), at: row.at.toISOString() })));
    const [entry] = await listed({ action: "audit.export" });
    expect(entry).toMatchObject({
      sequence: rows.length + 1,
      actorName: "Observer",
      subjectLabel: `audit trail up to entry ${rows.length}`,
      after: { format: "jsonl", entries: rows.length },
    });
  });

  it("is exported as CSV under the same filters, and no spreadsheet computes what somebody wrote", async () => {
    const { studyId, call } = study;
    for (const text of ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", '"quoted", and more']) {
      const { volunteerId } = await study.volunteer();
      const trialId = await study.plan(volunteerId);
      const { revision } = await call.trial.get({ studyId, trialId });
      await call.trial.setAside({ studyId, trialId, revision, reason: `${text} as a reason` });
    }
    const { text } = await fileOf({ format: "csv", action: "trial.setAside" });
    const [head, ...lines] = text.trimEnd().split("\r\n");
    expect(head).toBe("number,when_utc,who,what,action,subject_kind,subject,before,after,reason,hash");
    expect(lines).toHaveLength(6);
    expect(lines[0]).toMatch(
      /^\d+,2030-05-01T12:00:00\.000Z,Lead,name of trial\.setAside,trial\.setAside,trial,.*'=1\+1 as a reason,[0-9a-f]{64}$/,
    );
    for (const line of lines) expect(line).not.toMatch(/(^|,)"?[=+\-@\t]/);
    expect(lines[5]).toContain('"""quoted"", and more as a reason"');
  });

  it("keeps what was searched for out of the entry about an export: it may be a name", async () => {
    await fileOf({ format: "csv", search: "Ulvhild" });
    expect((await listed({ action: "audit.export" }))[0]?.after).toMatchObject({
      searched: true,
      entries: 0,
    });
    expect(JSON.stringify(await listed({}))).not.toContain("Ulvhild");
  });

  it("is for the lead investigator and the observer", async () => {
    for (const role of ["operator", "analyst"] as const) {
      const actor = await test.member(study.studyId, role, role);
      await expect(test.caller(actor).audit.list({ studyId: study.studyId })).rejects.toMatchObject({
        code: "FORBIDDEN",
      });
      await expect(fileOf({ format: "csv" }, actor)).rejects.toMatchObject({ code: "not-allowed" });
    }
  });
});
