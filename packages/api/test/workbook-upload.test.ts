import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { openTestCore, type TestCore, testDatabaseKinds } from "../src/testing";
import { journeyFile, type ReadyStudy, readyStudy } from "./ready-study";

/** Sheet "Room" holds air temperature and humidity, sheet "Skin" forearm and hand; see e2e/files/README.md. */
const workbook = journeyFile("two sheets.xlsx");

/** The same workbook with other bytes: a comment at the end of a ZIP archive says nothing. */
function anotherWorkbook(comment: string): Uint8Array {
  const bytes = new Uint8Array(workbook.length + comment.length);
  bytes.set(workbook);
  bytes.set(new TextEncoder().encode(comment), workbook.length);
  new DataView(bytes.buffer).setUint16(workbook.length - 2, comment.length, true);
  return bytes;
}

describe.each(testDatabaseKinds())("workbooks on $name", (kind) => {
  let test: TestCore;
  let study: ReadyStudy;
  beforeAll(async () => {
    test = await openTestCore(kind);
    study = await readyStudy(test);
  });
  afterAll(() => test.close());

  const uploaded = async (bytes: Uint8Array) => {
    const { volunteerId } = await study.volunteer();
    const trialId = await study.plan(volunteerId);
    const { sourceFileId, problem } = await study.upload(trialId, bytes, { name: "two sheets.xlsx" });
    expect(problem).toBeNull();
    return { studyId: study.studyId, sourceFileId };
  };
  const proposalOf = async (file: { studyId: string; sourceFileId: string; sheet?: string }) => {
    const answer = await study.call.sourceFile.proposal(file);
    if (answer.proposal === null) throw new Error(answer.problem?.message);
    return { revision: answer.revision, ...answer.proposal };
  };

  it("are proposed with their largest sheet, with a doubt about the other, and with all sheets to choose from", async () => {
    const file = await uploaded(workbook);
    const { columnMap, doubts, sheets } = await proposalOf(file);
    expect(columnMap.sheet).toBe("Room");
    expect(doubts).toContainEqual(expect.objectContaining({ kind: "sheet", alternatives: ["Skin"] }));
    expect(sheets).toEqual([
      { name: "Room", hidden: false },
      { name: "Skin", hidden: false },
    ]);
  });

  it("are previewed and read from the sheet that a person chooses, which is proposed again for the next one", async () => {
    const file = await uploaded(anotherWorkbook("second"));
    const { columnMap, revision } = await proposalOf({ ...file, sheet: "Skin" });
    expect(columnMap.sheet).toBe("Skin");
    const preview = await study.call.sourceFile.preview({ ...file, columnMap });
    expect(preview).toMatchObject({ problem: null, startedAt: "2026-03-10T09:30:00.000" });
    expect(preview.timesS).toEqual([0, 60, 120, 180, 240, 300, 360, 420, 480, 540, 600]);
    expect(preview.traces.map(({ reads, values }) => [reads, values[4]])).toEqual([
      ["Left forearm, anterior (mean)", 31],
      ["Left hand, dorsal (mean)", 28.9],
    ]);
    const read = await study.call.sourceFile.read({ ...file, revision, columnMap });
    expect(read).toMatchObject({ traces: 2, rowsUsed: 11, report: { places: "row" } });

    const next = await proposalOf(await uploaded(anotherWorkbook("third")));
    expect(next).toMatchObject({ origin: "remembered", columnMap: { sheet: "Skin" } });
    expect(next.preview.header[0]?.cells[1]).toBe("left forearm anterior mean (°C)");
    const own = await proposalOf(file);
    expect(own).toMatchObject({ origin: "this file", columnMap: { sheet: "Skin" } });
    expect(own.preview.header[0]?.cells[1]).toBe("left forearm anterior mean (°C)");
  });

  it("that are damaged are refused when they arrive, and leave nothing behind", async () => {
    const { volunteerId } = await study.volunteer();
    const trialId = await study.plan(volunteerId);
    const cut = workbook.subarray(0, workbook.length - 300);
    await expect(study.upload(trialId, cut, { name: "cut.xlsx" })).rejects.toMatchObject({
      code: "file-refused",
      message: expect.stringMatching(/workbook is damaged.*cut off/),
    });
    expect(await test.core.database.prisma.sourceFile.count({ where: { trialId } })).toBe(0);
  });
});
