import { createHash } from "node:crypto";
import { readdirSync } from "node:fs";
import { utimes } from "node:fs/promises";
import { join } from "node:path";
import { gzipSync } from "node:zlib";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { openSourceFile, sweepBlobs } from "../src/source-file/service";
import { openTestCore, type TestCore, testDatabaseKinds } from "../src/testing";
import {
  chunksOf,
  commaMap,
  journeyFile,
  type ReadyStudy,
  readyStudy,
  recordedTrial,
  stated,
} from "./ready-study";

const text = (value: string) => new TextEncoder().encode(value);
const sha256 = (bytes: Uint8Array) => createHash("sha256").update(bytes).digest("hex");

/** A comma file that no other test uses: the same bytes are in a study once. */
function ownFile(from = 0): Uint8Array {
  const rows = Array.from({ length: 30 }, (_, i) => `${from + i},${(33 + i / 100).toFixed(2)},31.50`);
  return text(`time (s),left forearm anterior (mean °C),left hand dorsal (mean °C)\n${rows.join("\n")}\n`);
}

describe.each(testDatabaseKinds())("source files on $name", (kind) => {
  let test: TestCore;
  let study: ReadyStudy;
  beforeAll(async () => {
    test = await openTestCore(kind);
    study = await readyStudy(test);
  });
  afterAll(() => test.close());

  const blobFolder = () => join(test.core.environment.dataDir, "blobs");
  const blobsKept = async () => {
    const kept: string[] = [];
    for await (const { sha256: name } of test.core.blobs.list()) kept.push(name);
    return kept;
  };
  const underWay = () => {
    try {
      return readdirSync(join(blobFolder(), "incoming"));
    } catch {
      return [];
    }
  };
  const rowsOf = (trialId: string) => test.core.database.prisma.sourceFile.count({ where: { trialId } });
  const newTrial = async () => {
    const { volunteerId, code } = await study.volunteer();
    return { trialId: await study.plan(volunteerId), volunteerId, code };
  };

  it("are kept byte for byte, and given back byte for byte with the name they came with", async () => {
    const { trialId } = await newTrial();
    const bytes = journeyFile("Messung ohne Handschuhe zwei.txt");
    const { sourceFileId, sha256: hash } = await study.upload(trialId, bytes, {
      name: "Messung ohne Handschuhe zwei.txt",
      declaredSha256: sha256(bytes),
    });
    expect(hash).toBe(sha256(bytes));
    const file = await openSourceFile(await study.scope("file.download"), trialId, sourceFileId);
    const parts: Uint8Array[] = [];
    for await (const chunk of file.body) parts.push(chunk);
    expect(Buffer.concat(parts).equals(Buffer.from(bytes))).toBe(true);
    expect(file.name).toBe("Messung ohne Handschuhe zwei.txt");
  });

  it("are refused without consent in force, before a byte is taken", async () => {
    const { volunteerId } = await newTrial();
    const trialId = await study.plan(volunteerId, "gloves");
    await study.call.consent.withdraw({
      studyId: study.studyId,
      volunteerId,
      permission: "record-thermal-images",
      effect: "exclude",
      effectiveAt: test.core.now().toISOString(),
    });
    let taken = 0;
    async function* body() {
      taken++;
      yield ownFile(1000);
    }
    await expect(study.upload(trialId, ownFile(1000), { body: body() })).rejects.toMatchObject({
      code: "consent-missing",
    });
    expect(taken).toBe(0);
    expect(await rowsOf(trialId)).toBe(0);
    // Nothing entered before is lost.
    expect((await study.call.trial.get({ studyId: study.studyId, trialId })).state).toBe("planned");
  });

  it("are refused when consent is withdrawn while they arrive, and leave no row", async () => {
    const { trialId, volunteerId } = await newTrial();
    const bytes = ownFile(2000);
    async function* body() {
      yield bytes.subarray(0, 100);
      await study.call.consent.withdraw({
        studyId: study.studyId,
        volunteerId,
        permission: null,
        effect: "exclude",
        effectiveAt: test.core.now().toISOString(),
      });
      test.setNow(new Date(Date.now() + 1000));
      yield bytes.subarray(100);
    }
    await expect(study.upload(trialId, bytes, { body: body() })).rejects.toMatchObject({
      code: "consent-missing",
    });
    expect(await rowsOf(trialId)).toBe(0);
  });

  it("the same bytes are in a study once; the message names the trial that has them", async () => {
    const first = await newTrial();
    const second = await newTrial();
    const bytes = ownFile(3000);
    await study.upload(first.trialId, bytes);
    const again = study.upload(second.trialId, bytes);
    await expect(again).rejects.toMatchObject({ code: "exists", details: { trialId: first.trialId } });
    await expect(study.upload(second.trialId, bytes)).rejects.toThrow(
      `${first.code} · bare hands · occasion 1`,
    );
    expect(await rowsOf(second.trialId)).toBe(0);
    const other = await readyStudy(test);
    const { volunteerId } = await other.volunteer();
    await other.upload(await other.plan(volunteerId), bytes);
  });

  it("the same bytes sent twice at the same moment are kept once", async () => {
    const { trialId } = await newTrial();
    const bytes = ownFile(3500);
    const results = await Promise.allSettled([study.upload(trialId, bytes), study.upload(trialId, bytes)]);
    expect(results.map(({ status }) => status).sort()).toEqual(["fulfilled", "rejected"]);
    expect(await rowsOf(trialId)).toBe(1);
  });

  it("that break off, arrive short or arrive altered leave nothing, and can be sent again", async () => {
    const { trialId } = await newTrial();
    const bytes = ownFile(4000);
    const before = await blobsKept();
    async function* broken() {
      yield bytes.subarray(0, 200);
      throw new Error("the connection broke");
    }
    await expect(study.upload(trialId, bytes, { body: broken() })).rejects.toThrow("the connection broke");
    const short = bytes.subarray(0, bytes.length - 10);
    await expect(study.upload(trialId, bytes, { body: chunksOf(short) })).rejects.toThrow(
      `Only ${short.length} of ${bytes.length} bytes arrived`,
    );
    const altered = bytes.slice();
    altered[5] = 0x21;
    await expect(
      study.upload(trialId, bytes, { declaredSha256: sha256(bytes), body: chunksOf(altered) }),
    ).rejects.toThrow(/SHA-256 differs/);
    expect(await blobsKept()).toEqual(before);
    expect(underWay()).toEqual([]);
    expect(await rowsOf(trialId)).toBe(0);
    await study.upload(trialId, bytes, { declaredSha256: sha256(bytes) });
    expect(await rowsOf(trialId)).toBe(1);
  });

  it("in which nothing can ever be read are refused with what to do, and leave nothing", async () => {
    const { trialId } = await newTrial();
    const before = await blobsKept();
    const hopeless: [Uint8Array, RegExp][] = [
      [new Uint8Array(0), /empty/i],
      [journeyFile("picture.csv"), /PNG image|NUL byte/],
      [new Uint8Array([0x50, 0x4b, 0x03, 0x04, ...new Array<number>(60).fill(1)]), /ZIP archive/],
    ];
    for (const [bytes, message] of hopeless) {
      await expect(study.upload(trialId, bytes)).rejects.toMatchObject({
        code: "file-refused",
        message: expect.stringMatching(message),
      });
    }
    expect(await blobsKept()).toEqual(before);
    expect(await rowsOf(trialId)).toBe(0);
  });

  it("larger than the server takes are refused at once, and while they stream", async () => {
    const { trialId } = await newTrial();
    const limit = test.core.environment.uploadLimitBytes;
    await expect(study.upload(trialId, ownFile(4500), { declaredBytes: limit + 1 })).rejects.toThrow(
      /larger than this server takes/,
    );
  });

  it("that hold no time are kept with the reason, so that nothing uploaded is lost", async () => {
    const { trialId } = await newTrial();
    const rows = [33.1, 33.2, 33.1, 33.3, 33.2, 33.0, 33.1, 33.4].map((value) => `${value},${value - 2}`);
    const bytes = text(`left forearm (°C),left hand (°C)\n${rows.join("\n")}\n`);
    const { sourceFileId, problem } = await study.upload(trialId, bytes);
    expect(problem?.message).toMatch(/time/i);
    const shown = await study.call.sourceFile.proposal({ studyId: study.studyId, sourceFileId });
    expect(shown.problem?.message).toBe(problem?.message);
    expect(await rowsOf(trialId)).toBe(1);
    if (shown.proposal === null) throw new Error("a table is proposed even without its time");
    const { columnMap } = shown.proposal;
    await expect(
      study.call.sourceFile.read({ studyId: study.studyId, sourceFileId, revision: 1, columnMap }),
    ).rejects.toThrow(/No column holds the time/);
  });

  it("are read by a confirmed column map, whose layout is proposed again for the next file", async () => {
    const other = await readyStudy(test);
    const { studyId, call } = other;
    const { volunteerId } = await other.volunteer();
    const first = await recordedTrial(other, volunteerId);
    const trial = await call.trial.get({ studyId, trialId: first.trialId });
    expect(trial.state).toBe("recorded");
    expect(trial.recording).toEqual({ fromS: 0, toS: 600 });
    expect(trial.sourceFiles[0]).toMatchObject({
      state: "read",
      traces: 6,
      startedAt: "2026-03-10T09:30:00.000Z",
    });
    const next = await other.plan(volunteerId, "gloves");
    const { sourceFileId } = await other.upload(next, journeyFile("visit-gloves-one.csv"));
    const { proposal } = await call.sourceFile.proposal({ studyId, sourceFileId });
    expect(proposal?.origin).toBe("remembered");
    expect(proposal?.columnMap.columns).toEqual(commaMap().columns);
    expect(proposal?.coverage.warning).toBeNull();
  });

  it("are read as the protocol wants even when they came packed", async () => {
    const { trialId } = await newTrial();
    const { sourceFileId, problem } = await study.upload(trialId, gzipSync(ownFile(5000)), {
      name: "packed.csv.gz",
    });
    expect(problem).toBeNull();
    const { proposal, revision } = await study.call.sourceFile.proposal({
      studyId: study.studyId,
      sourceFileId,
    });
    if (proposal === null) throw new Error("a packed text has a proposal");
    const read = await study.call.sourceFile.read({
      studyId: study.studyId,
      sourceFileId,
      revision,
      columnMap: proposal.columnMap,
    });
    expect(read).toMatchObject({ traces: 2, rowsUsed: 30 });
  });

  it("that a recorder cut off are read up to there, with a warning that says where", async () => {
    const { trialId } = await newTrial();
    const { sourceFileId } = await study.upload(trialId, journeyFile("cut-short.csv"));
    const { report } = await study.call.sourceFile.read({
      studyId: study.studyId,
      sourceFileId,
      revision: 1,
      columnMap: commaMap(),
    });
    const cut = [
      ...report.rowsNotUsed.map(({ reason }) => reason),
      ...report.warnings.map((item) => item.kind),
    ];
    expect(cut.join()).toMatch(/cut off|fewer cells/);
  });

  it("with an unknown unit are refused by line or column, and the column map can be mended", async () => {
    const { trialId } = await newTrial();
    const { sourceFileId } = await study.upload(trialId, ownFile(6000));
    const { proposal } = await study.call.sourceFile.proposal({ studyId: study.studyId, sourceFileId });
    if (proposal === null) throw new Error("a plain table has a proposal");
    const wrong = {
      ...proposal.columnMap,
      columns: proposal.columnMap.columns.map((column) =>
        column.index === 1 ? { ...column, unit: "°X" } : column,
      ),
    };
    const input = { studyId: study.studyId, sourceFileId };
    await expect(
      study.call.sourceFile.read({ ...input, revision: 1, columnMap: wrong }),
    ).rejects.toMatchObject({
      cause: { code: "file-refused", details: { code: "unknown-unit", column: 2 } },
    });
    const preview = await study.call.sourceFile.preview({ ...input, columnMap: wrong });
    expect(preview.problem).toMatchObject({ code: "unknown-unit", column: 2 });
    const mended = await study.call.sourceFile.preview({ ...input, columnMap: proposal.columnMap, rows: 3 });
    expect(mended.problem).toBeNull();
    expect(mended.traces[0]?.values).toEqual([33, 33.01, 33.02]);
    await study.call.sourceFile.read({ ...input, revision: 1, columnMap: proposal.columnMap });
  });

  it("with other regions than the protocol's are read, with a warning that names them", async () => {
    const { trialId } = await newTrial();
    const bytes = text(
      `time (s),left forearm anterior (mean °C),right knee anterior (mean °C)\n${Array.from({ length: 20 }, (_, i) => `${i},33.1,30.2`).join("\n")}\n`,
    );
    const { sourceFileId } = await study.upload(trialId, bytes);
    const { proposal } = await study.call.sourceFile.proposal({ studyId: study.studyId, sourceFileId });
    expect(proposal?.coverage.unexpected).toEqual([{ regionId: "knee-right-anterior", statistic: "mean" }]);
    expect(proposal?.coverage.missing).toHaveLength(5);
    expect(proposal?.coverage.warning).toMatch(/Right knee, anterior \(mean\)/);
    if (proposal === null) throw new Error("a plain table has a proposal");
    await study.call.sourceFile.read({
      studyId: study.studyId,
      sourceFileId,
      revision: 1,
      columnMap: proposal.columnMap,
    });
  });

  it("reading again replaces the traces; the second of two people is told", async () => {
    const { trialId } = await newTrial();
    const { sourceFileId } = await study.upload(trialId, ownFile(7000));
    const { proposal } = await study.call.sourceFile.proposal({ studyId: study.studyId, sourceFileId });
    if (proposal === null) throw new Error("a plain table has a proposal");
    const input = { studyId: study.studyId, sourceFileId, columnMap: proposal.columnMap };
    await study.call.sourceFile.read({ ...input, revision: 1 });
    await expect(study.call.sourceFile.read({ ...input, revision: 1 })).rejects.toMatchObject({
      cause: { code: "changed-meanwhile" },
    });
    const one = {
      ...proposal.columnMap,
      columns: proposal.columnMap.columns.map((column) =>
        column.index === 2 ? { ...column, use: { kind: "ignore" as const } } : column,
      ),
    };
    await study.call.sourceFile.read({ ...input, columnMap: one, revision: 2 });
    expect(await test.core.database.prisma.trace.count({ where: { sourceFileId } })).toBe(1);
    const provenance = await study.call.sourceFile.provenance({ studyId: study.studyId, sourceFileId });
    expect(provenance).toMatchObject({
      sha256: sha256(ownFile(7000)),
      readerVersion: "3",
      uploadedBy: "Lead",
    });
  });

  it("are moved on the trial's clock by an offset, and removed with a reason", async () => {
    const { trialId } = await newTrial();
    const { sourceFileId } = await study.upload(trialId, ownFile(0));
    const { proposal } = await study.call.sourceFile.proposal({ studyId: study.studyId, sourceFileId });
    if (proposal === null) throw new Error("a plain table has a proposal");
    const input = { studyId: study.studyId, sourceFileId };
    await study.call.sourceFile.read({ ...input, revision: 1, columnMap: proposal.columnMap });
    await study.call.sourceFile.setOffset({ ...input, revision: 2, method: stated(-4.5) });
    const trial = await study.call.trial.get({ studyId: study.studyId, trialId });
    expect(trial.recording).toEqual({ fromS: -4.5, toS: 24.5 });
    await expect(study.call.sourceFile.remove({ ...input, revision: 3, reason: "" })).rejects.toThrow(
      /Say why/,
    );
    await study.call.sourceFile.remove({ ...input, revision: 3, reason: "The file of another visit" });
    expect(await rowsOf(trialId)).toBe(0);
    expect(await test.core.database.prisma.trace.count({ where: { trialId } })).toBe(0);
    expect((await study.call.trial.get({ studyId: study.studyId, trialId })).state).toBe("planned");
    const { entries } = await study.call.audit.list({ studyId: study.studyId, action: "sourceFile.remove" });
    expect(entries[0]).toMatchObject({ reason: "The file of another visit" });
  });

  it("whose name holds the volunteer's name are refused, since everybody in the team sees it", async () => {
    const { trialId } = await newTrial();
    await expect(study.upload(trialId, ownFile(8000), { name: "abendroth visit.csv" })).rejects.toMatchObject(
      {
        code: "invalid",
        field: "name",
      },
    );
  });

  it("of another study answer like those that do not exist", async () => {
    const { trialId } = await newTrial();
    const { sourceFileId } = await study.upload(trialId, ownFile(9000));
    const other = await readyStudy(test);
    const foreign = { studyId: other.studyId, sourceFileId };
    await expect(other.call.sourceFile.proposal(foreign)).rejects.toThrow(/no such source file/);
    await expect(other.call.sourceFile.provenance(foreign)).rejects.toThrow(/no such source file/);
    await expect(other.upload(trialId, ownFile(9100))).rejects.toThrow(/no such trial/);
    const scope = await other.scope("file.download");
    await expect(openSourceFile(scope, trialId, sourceFileId)).rejects.toThrow(/no such source file/);
  });

  it("the sweep takes old bytes that no row names, and nothing else", async () => {
    const { trialId } = await newTrial();
    const named = await study.upload(trialId, ownFile(10_000));
    const orphan = await test.core.blobs.put(chunksOf(text("an upload that was refused at its last step")));
    const young = await test.core.blobs.put(chunksOf(text("an upload whose row is being written")));
    const old = new Date(Date.now() - 2 * 3600 * 1000);
    for (const name of [named.sha256, orphan.sha256]) {
      await utimes(join(blobFolder(), name.slice(0, 2), name), old, old);
    }
    test.setNow(new Date());
    expect(await sweepBlobs(test.core)).toBe(1);
    const kept = await blobsKept();
    expect(kept).toContain(named.sha256);
    expect(kept).toContain(young.sha256);
    expect(kept).not.toContain(orphan.sha256);
  });

  it("the sweep leaves old bytes that were sent again after it had listed them", async () => {
    const bytes = ownFile(11_000);
    const { sha256: name } = await test.core.blobs.put(chunksOf(bytes));
    const old = new Date(Date.now() - 2 * 3600 * 1000);
    await utimes(join(blobFolder(), name.slice(0, 2), name), old, old);
    const { trialId } = await newTrial();
    test.setNow(new Date());
    const { blobs } = test.core;
    const sentAgainMeanwhile = {
      ...blobs,
      async *list() {
        for await (const blob of blobs.list()) {
          // The row is not committed yet when the sweep looks for it.
          if (blob.sha256 === name) await blobs.put(chunksOf(bytes));
          yield blob;
        }
      },
    };
    expect(await sweepBlobs({ ...test.core, blobs: sentAgainMeanwhile })).toBe(0);
    await study.upload(trialId, bytes);
    expect(await blobsKept()).toContain(name);
  });
});
