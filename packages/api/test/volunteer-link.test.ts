import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { copyByLink } from "../src/for-you/service";
import { scanType } from "../src/signed-paper/policy";
import { openPaper, receiveScan } from "../src/signed-paper/service";
import { openTestCore, type TestCore, testDatabaseKinds } from "../src/testing";
import { attemptLimit, linkAttempts } from "../src/volunteer-link/policy";
import { chunksOf, type ReadyStudy, readyStudy } from "./ready-study";

const strokes: [number, number][][] = [
  [
    [100, 100],
    [200, 300],
    [300, 120],
  ],
  [[400, 200]],
];
const name = "Quendolin Abendröth";

describe("a sender of links that cannot be used", () => {
  it("is refused after so many, for a while, and others are not", () => {
    let now = 0;
    const attempts = linkAttempts(() => now);
    for (let tried = 0; tried < attemptLimit.tries; tried++) {
      expect(attempts.refuses("a")).toBe(false);
      attempts.failed("a");
    }
    expect(attempts.refuses("a")).toBe(true);
    expect(attempts.refuses("b")).toBe(false);
    now = attemptLimit.withinMs + 1;
    expect(attempts.refuses("a")).toBe(false);
  });

  it("is held back when all senders together try too many", () => {
    const attempts = linkAttempts(() => 0);
    const holds = Array.from({ length: 310 }, (_, index) => attempts.failed(`sender ${index}`));
    expect(holds[299]).toBe(0);
    expect(holds[300]).toBe(1000);
  });
});

describe("a scan", () => {
  it("is known by its first bytes, whatever it is called", () => {
    const of = (...bytes: number[]) => scanType(new Uint8Array([...bytes, 0, 0, 0, 0]));
    expect(of(0x25, 0x50, 0x44, 0x46, 0x2d)).toBe("application/pdf");
    expect(of(0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a)).toBe("image/png");
    expect(of(0xff, 0xd8, 0xff, 0xe0)).toBe("image/jpeg");
    expect(scanType(new TextEncoder().encode("<html><script>"))).toBeNull();
    expect(scanType(new Uint8Array())).toBeNull();
  });
});

describe.each(testDatabaseKinds())("links for volunteers on $name", (kind) => {
  let test: TestCore;
  let study: ReadyStudy;

  beforeAll(async () => {
    test = await openTestCore(kind);
    test.setNow(new Date("2026-03-14T08:00:00Z"));
    study = await readyStudy(test);
  });
  afterAll(() => test.close());

  const nobody = () => test.caller(null).forYou;
  const make = (volunteerId: string, change: { purpose?: "sign" | "own"; here?: boolean } = {}) =>
    study.call.volunteerLink.make({ studyId: study.studyId, volunteerId, purpose: "sign", ...change });

  async function signed(volunteerId: string, change: object = {}) {
    const { token } = await make(volunteerId);
    const read = await nobody().read({ token });
    const result = await nobody().sign({
      token,
      formId: read.form.formId,
      decisions: Object.fromEntries(read.form.permissions.map(({ key }) => [key, key !== "show-in-public"])),
      name,
      strokes,
      confirmed: true,
      ...change,
    });
    return { token, ...result };
  }

  /** What somebody without an account is told. */
  const told = (work: Promise<unknown>) =>
    work.then(
      () => "answered",
      (error: unknown) =>
        error instanceof Error && "code" in error ? `${String(error.code)} ${error.message}` : String(error),
    );

  it("let a volunteer read, decide each permission and sign, and then a trial is allowed", async () => {
    const { volunteerId, code } = await study.stranger();
    await expect(study.plan(volunteerId)).rejects.toThrow(/does not permit/);
    const { recordId, ownToken } = await signed(volunteerId);
    const own = await nobody().own({ token: ownToken });
    expect(own).toMatchObject({ code, signed: [{ recordId, version: 1, way: "own_device", refused: 1 }] });
    expect(own.permissions.filter((item) => !item.allowed).map((item) => item.key)).toEqual([
      "show-in-public",
    ]);
    expect(await study.plan(volunteerId)).toBeTypeOf("string");
    const trail = await study.call.audit.list({ studyId: study.studyId, action: "forYou.sign" });
    expect(trail.entries[0]).toMatchObject({
      actorName: `volunteer ${code}, by link`,
      subjectLabel: code,
      after: { drawn: true, refused: ["show-in-public"] },
    });
    expect(JSON.stringify(trail)).not.toContain("Abendr");
  });

  it("are opened as often as one likes, and sign once", async () => {
    const { volunteerId } = await study.stranger();
    const { token } = await make(volunteerId);
    const { form } = await nobody().read({ token });
    await nobody().read({ token });
    const decisions = Object.fromEntries(form.permissions.map(({ key }) => [key, true]));
    const sign = () =>
      told(nobody().sign({ token, formId: form.formId, decisions, name, strokes: null, confirmed: true }));
    const answers = await Promise.all([sign(), sign(), sign()]);
    expect(answers.filter((answer) => answer === "answered")).toHaveLength(1);
    expect(await sign()).toMatch(/^NOT_FOUND This link cannot be used/);
    const { prisma } = test.core.database;
    expect(await prisma.consentRecord.count({ where: { volunteerId } })).toBe(1);
  });

  it("answer alike when they are unknown, guessed, used, revoked, expired or meant for something else", async () => {
    const { volunteerId } = await study.stranger();
    const { token: used, ownToken } = await signed(volunteerId);
    const revoked = await make(volunteerId);
    await study.call.volunteerLink.revoke({ studyId: study.studyId, linkId: revoked.linkId });
    const old = await make(volunteerId);
    const forged = `${old.token.slice(0, -1)}${old.token.endsWith("A") ? "B" : "A"}`;
    const other = await make(volunteerId);
    const before = await told(nobody().read({ token: old.token }));
    test.setNow(new Date("2026-03-28T08:00:00Z"));
    const tokens = [used, revoked.token, old.token, forged, ownToken, "", "x", "' or 1=1 --", other.linkId];
    const answers = [];
    for (const token of tokens) answers.push(await told(nobody().read({ token })));
    test.setNow(new Date("2026-03-14T08:00:00Z"));
    expect(before).toBe("answered");
    expect(new Set(answers).size).toBe(1);
    expect(answers[0]).toMatch(/^NOT_FOUND This link cannot be used/);
  });

  it("are kept as a hash alone, and no list gives the token back", async () => {
    const { volunteerId } = await study.stranger();
    const { token, linkId } = await make(volunteerId);
    const row = await test.core.database.prisma.volunteerLink.findUniqueOrThrow({ where: { id: linkId } });
    expect(row.tokenHash).toMatch(/^[0-9a-f]{64}$/);
    const list = await study.call.volunteerLink.list({ studyId: study.studyId, volunteerId });
    expect(list).toMatchObject([{ linkId, state: "open", purpose: "sign" }]);
    expect(
      JSON.stringify([row, list, await study.call.audit.list({ studyId: study.studyId })]),
    ).not.toContain(token);
  });

  it("sign nothing that is not decided, named and confirmed, nor a version that was replaced meanwhile", async () => {
    const own = await readyStudy(test);
    const { volunteerId } = await own.stranger();
    const { token } = await own.call.volunteerLink.make({
      studyId: own.studyId,
      volunteerId,
      purpose: "sign",
    });
    const { form } = await nobody().read({ token });
    const decisions = Object.fromEntries(form.permissions.map(({ key }) => [key, true]));
    const input = { token, formId: form.formId, decisions, name, strokes: null, confirmed: true as const };
    await expect(nobody().sign({ ...input, decisions: { "take-part": true } })).rejects.toThrow(/Still open/);
    await expect(nobody().sign({ ...input, name: " " })).rejects.toThrow(/Type your name/);
    await expect(nobody().sign({ ...input, confirmed: false as never })).rejects.toThrow(/Confirm/);
    await expect(nobody().sign({ ...input, strokes: [[[5000, 1]]] })).rejects.toThrow();
    const next = await own.call.consent.startForm({ studyId: own.studyId });
    await own.call.consent.putFormInForce({ studyId: own.studyId, formId: next.formId, revision: 1 });
    await expect(nobody().sign(input)).rejects.toThrow(/changed while you were reading/);
    expect(await told(nobody().read({ token }))).toBe("answered");
  });

  it("give a copy as PDF to their own volunteer alone, made anew when somebody countersigns", async () => {
    const { volunteerId, code } = await study.stranger();
    const { recordId, ownToken } = await signed(volunteerId);
    const copy = await copyByLink(test.core, { token: ownToken, recordId }, "");
    expect(Buffer.from(copy.bytes.subarray(0, 5)).toString()).toBe("%PDF-");
    expect(copy.name).toBe(`consent-${code}-copy.pdf`);
    const other = await signed((await study.stranger()).volunteerId);
    await expect(copyByLink(test.core, { token: other.ownToken, recordId }, "")).rejects.toThrow(
      /no such copy/,
    );
    await study.call.consent.countersign({ studyId: study.studyId, recordId });
    await expect(study.call.consent.countersign({ studyId: study.studyId, recordId })).rejects.toThrow(
      /countersigned this consent/,
    );
    const { history } = await study.call.consent.ofVolunteer({ studyId: study.studyId, volunteerId });
    const record = history.find((event) => event.kind === "record");
    expect(record).toMatchObject({ way: "own_device", countersigned: { by: "Lead" } });
    expect(record?.kind === "record" && record.papers.map((paper) => paper.kind).sort()).toEqual([
      "copy",
      "copy",
      "signature",
    ]);
  });

  it("leave signature, name and copy in no table and no file in clear", async () => {
    const { volunteerId } = await study.stranger();
    const { recordId } = await signed(volunteerId);
    const rows = await test.core.database.prisma.$transaction(async (db) => {
      if (test.core.database.role() !== null) await db.$executeRawUnsafe("set local role acral_identity");
      return db.signedPaper.findMany({ where: { consentRecordId: recordId } });
    });
    expect(rows).toHaveLength(2);
    for (const row of rows) {
      const chunks: Uint8Array[] = [];
      for await (const chunk of test.core.blobs.read(row.sha256)) chunks.push(chunk);
      const bytes = Buffer.concat(chunks).toString("latin1");
      expect(bytes).not.toContain("%PDF");
      expect(bytes).not.toContain("[[100,100]");
    }
    // The usual role of the database has no right on the table.
    await expect(test.core.database.prisma.signedPaper.count()).rejects.toThrow();
  });

  it("a scan of a paper form is kept encrypted, checked by its content, and every reading has its entry", async () => {
    const { volunteerId } = await study.volunteer();
    const { studyId } = study;
    const { history } = await study.call.consent.ofVolunteer({ studyId, volunteerId });
    const recordId = history[0]?.id ?? "";
    const bytes = new TextEncoder().encode(`%PDF-1.7 invented scan of ${name}`);
    const scope = await study.scope("consent.addScan");
    await expect(
      receiveScan(scope, { recordId, body: chunksOf(new TextEncoder().encode("<script>alert(1)</script>")) }),
    ).rejects.toThrow(/no PDF, PNG or JPEG/);
    const { paperId } = await receiveScan(scope, { recordId, body: chunksOf(bytes) });
    const opened = await openPaper(await study.scope("consent.openPaper"), { paperId });
    expect(Buffer.from(opened.bytes).equals(Buffer.from(bytes))).toBe(true);
    const trail = await study.call.audit.list({ studyId, action: "consent.openPaper" });
    expect(trail.entries).toHaveLength(1);
    const onScreen = await signed((await study.stranger()).volunteerId);
    await expect(receiveScan(scope, { recordId: onScreen.recordId, body: chunksOf(bytes) })).rejects.toThrow(
      /signed on screen/,
    );
  });
});
