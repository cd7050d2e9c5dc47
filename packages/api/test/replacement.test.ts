import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { openSourceFile, sweepBlobs } from "../src/source-file/service";
import { openTestCore, type TestCore, testDatabaseKinds } from "../src/testing";
import { type ReadyStudy, readyStudy, stated } from "./ready-study";

const text = (value: string) => new TextEncoder().encode(value);

/** One recording, exported from the row `from` on: the start that it states moves along. */
function exported(from: number, rows: number, head = "time,left forearm anterior (mean °C)"): Uint8Array {
  const start = Date.parse("2026-03-10T09:30:00Z");
  const lines = Array.from({ length: rows }, (_, i) => {
    const at = new Date(start + (from + i) * 1000).toISOString().slice(0, 19);
    return `${at},${(33 + ((from + i) % 40) / 100).toFixed(2)}`;
  });
  return text(`${head}\n${lines.join("\n")}\n`);
}

describe.each(testDatabaseKinds())("a source file that is replaced, on $name", (kind) => {
  let test: TestCore;
  let study: ReadyStudy;
  beforeAll(async () => {
    test = await openTestCore(kind);
  });
  afterAll(() => test.close());

  async function readFile() {
    study = await readyStudy(test);
    const { call, studyId } = study;
    const { volunteerId, code } = await study.volunteer();
    const trialId = await study.plan(volunteerId);
    const { sourceFileId } = await study.upload(trialId, exported(0, 60));
    const { proposal } = await call.sourceFile.proposal({ studyId, sourceFileId });
    if (proposal === null) throw new Error("a plain table is proposed");
    await call.sourceFile.read({ studyId, sourceFileId, revision: 1, columnMap: proposal.columnMap });
    await call.sourceFile.setOffset({ studyId, sourceFileId, revision: 2, method: stated(5) });
    return { trialId, sourceFileId, volunteerId, code };
  }
  const shown = async (trialId: string) =>
    (await study.call.trial.get({ studyId: study.studyId, trialId })).sourceFiles;
  const tracesOf = (sourceFileId: string) =>
    test.core.database.prisma.trace.findMany({ where: { sourceFileId }, orderBy: { columnIndex: "asc" } });

  it("gives its place and its clock to the new export, which is read at once, and is kept with the reason", async () => {
    const { trialId, sourceFileId } = await readFile();
    const bytes = exported(10, 70);
    const received = await study.upload(trialId, bytes, {
      name: "again.csv",
      replaces: { sourceFileId, revision: 3, reason: "The first export stopped early." },
    });
    expect(received).toMatchObject({ read: true, problem: null });
    const files = await shown(trialId);
    expect(files).toHaveLength(1);
    expect(files[0]).toMatchObject({
      sourceFileId: received.sourceFileId,
      name: "again.csv",
      state: "read",
      traces: 1,
      // It begins ten seconds later than the old one did, and the old one lay at 5 s.
      offsetS: 15,
      span: { fromS: 15, toS: 84 },
      replaced: [{ sourceFileId, name: "visit.csv", reason: "The first export stopped early." }],
    });
    expect(files[0]?.offsetHow).toMatch(/Taken over from visit\.csv.*moved by \+10 s/);
    expect(await tracesOf(sourceFileId)).toEqual([]);
    // Its bytes are there as they were, for whoever wants to compare, and no sweep takes them.
    const old = await openSourceFile(await study.scope("file.download"), trialId, sourceFileId);
    const parts: Uint8Array[] = [];
    for await (const part of old.body) parts.push(part);
    expect(Buffer.concat(parts).equals(Buffer.from(exported(0, 60)))).toBe(true);
    test.setNow(new Date(Date.now() + 3 * 3_600_000));
    expect(await sweepBlobs(test.core)).toBe(0);
    test.setNow(new Date());
    const { entries } = await study.call.audit.list({ studyId: study.studyId, action: "sourceFile.replace" });
    expect(entries[0]).toMatchObject({ reason: "The first export stopped early.", actorName: "Lead" });
  });

  it("can be put back, read as it was, bit for bit; the other one is then kept as replaced", async () => {
    const { trialId, sourceFileId } = await readFile();
    const { studyId, call } = study;
    const bytesOf = async () =>
      (await tracesOf(sourceFileId)).map(({ data }) => Buffer.from(data).toString("hex"));
    const before = await bytesOf();
    const { sourceFileId: second } = await study.upload(trialId, exported(1, 61), {
      replaces: { sourceFileId, revision: 3, reason: "Exported again." },
    });
    await expect(study.upload(trialId, exported(0, 60))).rejects.toThrow(
      /were replaced in .* kept as visit\.csv.*Put that file back/,
    );
    await call.sourceFile.putBack({ studyId, sourceFileId, reason: "The first one was right." });
    const files = await shown(trialId);
    expect(files.map((file) => file.sourceFileId)).toEqual([sourceFileId]);
    expect(files[0]).toMatchObject({ state: "read", offsetS: 5, replaced: [{ sourceFileId: second }] });
    expect(await bytesOf()).toEqual(before);
    await expect(
      call.sourceFile.putBack({ studyId, sourceFileId, reason: "Once more." }),
    ).rejects.toMatchObject({ cause: { code: "wrong-state" } });
    await call.sourceFile.putBack({ studyId, sourceFileId: second, reason: "No, the second one." });
    expect((await shown(trialId))[0]?.replaced.map((file) => file.sourceFileId)).toEqual([sourceFileId]);
    // Removing what stands there takes along what stood there before, each with its entry.
    const { revision } = await test.core.database.prisma.sourceFile.findUniqueOrThrow({
      where: { id: second },
    });
    await call.sourceFile.remove({ studyId, sourceFileId: second, revision, reason: "Of another visit." });
    expect(await test.core.database.prisma.sourceFile.count({ where: { trialId } })).toBe(0);
    const { entries } = await call.audit.list({ studyId, action: "sourceFile.remove" });
    expect(entries.map(({ subjectId }) => subjectId).sort()).toEqual([sourceFileId, second].sort());
  });

  it("of another layout is kept and waits for its column map; nothing of the old one is lost", async () => {
    const { trialId, sourceFileId } = await readFile();
    const received = await study.upload(trialId, exported(0, 61, "when;what".replace(";", ",")), {
      replaces: { sourceFileId, revision: 3, reason: "Exported with other names." },
    });
    expect(received.read).toBe(false);
    const files = await shown(trialId);
    expect(files[0]).toMatchObject({ state: "received", replaced: [{ sourceFileId }] });
  });

  it("is not replaced without a reason, by a stale page, for another trial, or when the trial is accepted", async () => {
    const { trialId, sourceFileId, volunteerId } = await readFile();
    const replaces = { sourceFileId, revision: 3, reason: "Exported again." };
    await expect(
      study.upload(trialId, exported(2, 60), { replaces: { ...replaces, revision: 2 } }),
    ).rejects.toMatchObject({ code: "changed-meanwhile" });
    const other = await study.plan(volunteerId, "gloves");
    await expect(study.upload(other, exported(2, 60), { replaces })).rejects.toMatchObject({
      code: "not-found",
    });
    await expect(
      study.upload(trialId, exported(2, 60), {
        replaces: { ...replaces, reason: "Abendroth asked for it" },
      }),
    ).rejects.toMatchObject({ code: "invalid", field: "reason" });
    expect(await test.core.database.prisma.sourceFile.count({ where: { trialId } })).toBe(1);
    expect(await tracesOf(sourceFileId)).toHaveLength(1);
  });
});
