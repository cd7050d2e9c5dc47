import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { openTestCore, type TestCore, testDatabaseKinds } from "../src/testing";
import { markersFromZero, type ReadyStudy, readyStudy } from "./ready-study";

const text = (value: string) => new TextEncoder().encode(value);

/** A file of one layout, other bytes for each `from`; the phases of the protocol lie within it. */
function fileOfLayout(from: number): Uint8Array {
  const rows = Array.from({ length: 61 }, (_, i) =>
    [i * 10, (33 + ((from + i) % 50) / 100).toFixed(2), (31 + (i % 30) / 100).toFixed(2), "-999"].join(","),
  );
  return text(`time (s),left forearm anterior (mean °C),site B (mean °C),x${"\n"}${rows.join("\n")}\n`);
}

describe.each(testDatabaseKinds())("kept column maps on $name", (kind) => {
  let test: TestCore;
  let study: ReadyStudy;
  beforeAll(async () => {
    test = await openTestCore(kind);
  });
  afterAll(() => test.close());

  const fileRow = (id: string) => test.core.database.prisma.sourceFile.findUniqueOrThrow({ where: { id } });
  const tracesOf = (sourceFileId: string) =>
    test.core.database.prisma.trace.findMany({ where: { sourceFileId }, orderBy: { columnIndex: "asc" } });

  async function uploaded(from: number, occasion = 1) {
    const { volunteerId, code } = await study.volunteer();
    const trialId = await study.plan(volunteerId, "bare", occasion);
    const { sourceFileId } = await study.upload(trialId, fileOfLayout(from));
    return { trialId, sourceFileId, volunteerId, code };
  }

  async function proposed(sourceFileId: string) {
    const answer = await study.call.sourceFile.proposal({ studyId: study.studyId, sourceFileId });
    if (answer.proposal === null) throw new Error("a plain table is proposed");
    return { ...answer, proposal: answer.proposal };
  }

  async function readAs(sourceFileId: string, regionOfB: string | null, name?: string) {
    const { proposal, revision } = await proposed(sourceFileId);
    const columnMap = {
      ...proposal.columnMap,
      columns: proposal.columnMap.columns.map((column) =>
        column.index === 2
          ? regionOfB === null
            ? { ...column, use: { kind: "ignore" as const }, unit: null }
            : {
                ...column,
                use: { kind: "region" as const, regionId: regionOfB, statistic: "mean" as const },
                unit: "°C",
              }
          : column,
      ),
    };
    return study.call.sourceFile.read({
      studyId: study.studyId,
      sourceFileId,
      revision,
      columnMap,
      ...(name === undefined ? {} : { name }),
    });
  }

  it("are named, listed with what they read, proposed again, and correct the files read before", async () => {
    study = await readyStudy(test);
    const { call, studyId } = study;
    const first = await uploaded(0);
    await readAs(first.sourceFileId, "calf-left-posterior", "Two sites");
    const second = await uploaded(1);
    const again = await proposed(second.sourceFileId);
    expect(again.proposal.origin).toBe("remembered");
    expect(again.columnMapName).toBe("Two sites");
    await readAs(second.sourceFileId, "calf-left-posterior");
    const third = await uploaded(2);
    await readAs(third.sourceFileId, "calf-left-posterior");
    await call.trial.saveMarkers({
      studyId,
      trialId: third.trialId,
      revision: (await call.trial.get({ studyId, trialId: third.trialId })).revision,
      markers: markersFromZero,
    });
    const { revision } = await call.trial.get({ studyId, trialId: third.trialId });
    await call.trial.accept({ studyId, trialId: third.trialId, revision });

    // Site B is the hand: corrected at the second file.
    const corrected = await readAs(second.sourceFileId, "hand-left-dorsal");
    expect(corrected.identical).toBe(false);
    expect(corrected.readOtherwise).toBe(2);
    const { rows } = await call.columnMap.list({ studyId });
    expect(rows).toHaveLength(1);
    expect(rows[0]).toMatchObject({
      name: "Two sites",
      confirmedBy: "Lead",
      filesRead: 1,
      filesReadOtherwise: 2,
      reads: ["Left forearm, anterior (mean)", "Left hand, dorsal (mean)"],
    });
    const columnMapId = rows[0]?.columnMapId ?? "";
    const { files } = await call.columnMap.files({ studyId, columnMapId });
    const listed = (id: string) => files.find(({ sourceFileId }) => sourceFileId === id);
    expect(listed(second.sourceFileId)).toMatchObject({ reading: "by this map", changes: [], blocked: null });
    expect(listed(first.sourceFileId)).toMatchObject({
      reading: "otherwise",
      blocked: null,
      changes: [
        "Column 3 (site B (mean °C)): Left calf, posterior (mean), °C → Left hand, dorsal (mean), °C",
      ],
    });
    expect(listed(third.sourceFileId)?.blocked).toMatch(/accepted.*Reopen it first/);

    const before = await tracesOf(first.sourceFileId);
    const file = await fileRow(first.sourceFileId);
    const result = await call.columnMap.readAgain({
      studyId,
      sourceFileId: file.id,
      revision: file.revision,
    });
    expect(result).toMatchObject({ identical: false, changed: ["site B (mean °C)"], rowsUsed: 61 });
    const after = await tracesOf(first.sourceFileId);
    expect(after.map(({ regionId }) => regionId)).toEqual(["forearm-left-anterior", "hand-left-dorsal"]);
    // The numbers of both columns are the same bytes: only what the second one is called has changed.
    expect(after.map(({ data }) => Buffer.from(data).toString("hex"))).toEqual(
      before.map(({ data }) => Buffer.from(data).toString("hex")),
    );
    await expect(
      call.columnMap.readAgain({
        studyId,
        sourceFileId: third.sourceFileId,
        revision: (await fileRow(third.sourceFileId)).revision,
      }),
    ).rejects.toMatchObject({ cause: { code: "wrong-state" } });
    const { entries } = await call.audit.list({ studyId, action: "sourceFile.read" });
    expect(entries[0]).toMatchObject({ subjectId: first.sourceFileId, actorName: "Lead" });
  });

  it("reading again by the same map gives the same bytes, and changes neither file nor trial", async () => {
    study = await readyStudy(test);
    const { call, studyId } = study;
    const { sourceFileId, trialId } = await uploaded(5);
    await readAs(sourceFileId, "hand-left-dorsal");
    const trial = await call.trial.get({ studyId, trialId });
    await call.trial.markChecked({ studyId, trialId, revision: trial.revision });
    const before = { file: await fileRow(sourceFileId), traces: await tracesOf(sourceFileId) };
    const result = await call.columnMap.readAgain({
      studyId,
      sourceFileId,
      revision: before.file.revision,
    });
    expect(result).toMatchObject({ identical: true, changed: [], revision: before.file.revision });
    expect(await fileRow(sourceFileId)).toEqual(before.file);
    expect(await tracesOf(sourceFileId)).toEqual(before.traces);
    expect((await call.trial.get({ studyId, trialId })).state).toBe("checked");
    // Read anew by hand, from nothing: the stored bytes are the same, in rows of their own.
    await test.core.database.prisma.trace.deleteMany({ where: { sourceFileId } });
    await call.columnMap.readAgain({ studyId, sourceFileId, revision: before.file.revision });
    const anew = await tracesOf(sourceFileId);
    expect(
      anew.map(({ id, ...trace }) => ({ ...trace, data: Buffer.from(trace.data).toString("hex") })),
    ).toEqual(
      before.traces.map(({ id, ...trace }) => ({ ...trace, data: Buffer.from(trace.data).toString("hex") })),
    );
  });

  it("are not changed by a file that is read as an exception", async () => {
    study = await readyStudy(test);
    const { call, studyId } = study;
    const { sourceFileId } = await uploaded(7);
    await readAs(sourceFileId, "hand-left-dorsal", "Usual");
    const other = await uploaded(8);
    const { proposal, revision } = await proposed(other.sourceFileId);
    const columnMap = {
      ...proposal.columnMap,
      columns: proposal.columnMap.columns.map((column) =>
        column.index === 2 ? { ...column, use: { kind: "ignore" as const }, unit: null } : column,
      ),
    };
    await call.sourceFile.read({
      studyId,
      sourceFileId: other.sourceFileId,
      revision,
      columnMap,
      keep: false,
    });
    const { rows } = await call.columnMap.list({ studyId });
    expect(rows[0]).toMatchObject({ name: "Usual", revision: 1, filesRead: 1, filesReadOtherwise: 1 });
  });

  it("are renamed and removed; files stay read as they are, and the next one is looked at afresh", async () => {
    study = await readyStudy(test);
    const { call, studyId } = study;
    const { sourceFileId } = await uploaded(10);
    await readAs(sourceFileId, "hand-left-dorsal", "Wrong name");
    const { rows } = await call.columnMap.list({ studyId });
    const { columnMapId = "", revision = 0 } = rows[0] ?? {};
    await expect(
      call.columnMap.rename({ studyId, columnMapId, revision, name: "For Abendroth" }),
    ).rejects.toMatchObject({ cause: { code: "invalid", field: "name" } });
    const renamed = await call.columnMap.rename({ studyId, columnMapId, revision, name: "Two sites" });
    await expect(
      call.columnMap.rename({ studyId, columnMapId, revision, name: "Late" }),
    ).rejects.toMatchObject({ cause: { code: "changed-meanwhile" } });
    await expect(call.columnMap.remove({ studyId, columnMapId, revision })).rejects.toMatchObject({
      cause: { code: "changed-meanwhile" },
    });
    await call.columnMap.remove({ studyId, columnMapId, revision: renamed.revision });
    expect((await call.columnMap.list({ studyId })).rows).toEqual([]);
    expect((await fileRow(sourceFileId)).state).toBe("read");
    const next = await uploaded(11);
    expect((await proposed(next.sourceFileId)).proposal.origin).toBe("detected");
    await expect(
      call.columnMap.readAgain({
        studyId,
        sourceFileId,
        revision: (await fileRow(sourceFileId)).revision,
      }),
    ).rejects.toThrow(/No column map is kept/);
  });

  it("are read again for nobody who has withdrawn, and their columns are not shown", async () => {
    study = await readyStudy(test);
    const { call, studyId } = study;
    const first = await uploaded(20);
    await readAs(first.sourceFileId, "hand-left-dorsal");
    const second = await uploaded(21);
    await readAs(second.sourceFileId, "calf-left-posterior");
    await call.consent.withdraw({
      studyId,
      volunteerId: first.volunteerId,
      permission: null,
      effect: "exclude",
      effectiveAt: test.core.now().toISOString(),
    });
    const { rows } = await call.columnMap.list({ studyId });
    const { files } = await call.columnMap.files({ studyId, columnMapId: rows[0]?.columnMapId ?? "" });
    const listed = files.find(({ sourceFileId }) => sourceFileId === first.sourceFileId);
    expect(listed?.changes).toEqual([]);
    expect(listed?.blocked).toMatch(new RegExp(`${first.code} does not permit`));
    await expect(
      call.columnMap.readAgain({
        studyId,
        sourceFileId: first.sourceFileId,
        revision: (await fileRow(first.sourceFileId)).revision,
      }),
    ).rejects.toMatchObject({ cause: { code: "consent-missing" } });
  });
});
