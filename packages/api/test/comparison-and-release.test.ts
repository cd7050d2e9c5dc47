import { readFileSync } from "node:fs";
import { strFromU8, unzipSync } from "fflate";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { anchorSchema } from "../src/audit-chain/schema";
import { verifyChains } from "../src/audit-chain/service";
import type { ComparisonSettings } from "../src/comparison/schema";
import { downloadRelease, makeRelease } from "../src/release/service";
import { openTestCore, type TestCore, testDatabaseKinds } from "../src/testing";
import { journeyFile, markersFromZero, type ReadyStudy, readyStudy } from "./ready-study";

const truth: Record<string, { "°C": Record<string, number[]> }> = JSON.parse(
  readFileSync(new URL("../../../e2e/files/truth.json", import.meta.url), "utf8"),
);

/** The hand-written files of the journeys: one volunteer per dialect, both conditions (e2e/files/README.md). */
const visits = [
  { bare: "visit-bare-one.csv", gloves: "visit-gloves-one.csv" },
  { bare: "Messung ohne Handschuhe zwei.txt", gloves: "Messung mit Handschuhen zwei.txt" },
  { bare: "third bare.tsv", gloves: "third gloves.tsv" },
];

const settings: ComparisonSettings = {
  schema: 1,
  outcome: { measure: "change", regionId: "forearm-left-anterior" },
  conditions: ["bare", "gloves"],
  occasion: 1,
  course: "temperature",
  level: 0.95,
};

const bodies = [
  { heightCm: 171.3, massKg: 64.7 },
  { heightCm: 172.9, massKg: 66.1 },
  { heightCm: 174.6, massKg: 63.2 },
];

describe.each(testDatabaseKinds())("comparisons and releases on $name", (kind) => {
  let test: TestCore;
  let study: ReadyStudy;
  const volunteers: { volunteerId: string; code: string }[] = [];
  const trials = new Map<string, string>();

  /** Confirms the column map as it is proposed. */
  async function read(sourceFileId: string): Promise<void> {
    const { studyId, call } = study;
    const { proposal, revision } = await call.sourceFile.proposal({ studyId, sourceFileId });
    if (proposal === null) throw new Error("no column map was proposed");
    await call.sourceFile.read({ studyId, sourceFileId, revision, columnMap: proposal.columnMap });
  }

  async function accepted(
    volunteerId: string,
    conditionKey: "bare" | "gloves",
    file: string,
  ): Promise<string> {
    const { studyId, call } = study;
    const trialId = await study.plan(volunteerId, conditionKey);
    const { sourceFileId } = await study.upload(trialId, journeyFile(file), { name: file });
    await read(sourceFileId);
    const before = await call.trial.get({ studyId, trialId });
    await call.trial.saveMarkers({ studyId, trialId, revision: before.revision, markers: markersFromZero });
    const { revision } = await call.trial.get({ studyId, trialId });
    await call.trial.accept({ studyId, trialId, revision });
    return trialId;
  }

  beforeAll(async () => {
    test = await openTestCore(kind);
    study = await readyStudy(test);
    const { studyId, call } = study;
    for (const [index, files] of visits.entries()) {
      const volunteer = await study.volunteer();
      volunteers.push(volunteer);
      const body = bodies[index];
      if (body === undefined) throw new Error("a body for every volunteer");
      await call.volunteer.addBodyMeasures({
        studyId,
        volunteerId: volunteer.volunteerId,
        bodyMeasures: { measuredOn: "2026-01-15", ...body, skinfoldsMm: null },
      });
      await call.identity.save({
        studyId,
        volunteerId: volunteer.volunteerId,
        revision: 0,
        name: `Ulvhild Sandvåg${index}`,
        contact: `ulvhild${index}@example.org`,
        dateOfBirth: "1990-06-17",
      });
      for (const conditionKey of ["bare", "gloves"] as const) {
        trials.set(
          `${index} ${conditionKey}`,
          await accepted(volunteer.volunteerId, conditionKey, files[conditionKey]),
        );
      }
    }
  });
  afterAll(() => test.close());

  it("the paired difference of the forearm's change is that of the hand-worked files", async () => {
    const { studyId, call } = study;
    const { answer } = await call.comparison.preview({ studyId, settings });
    expect(answer.pairs.map(({ first, second }) => [first, second])).toEqual([
      [expect.closeTo(1.0, 5), expect.closeTo(0.4, 5)],
      [expect.closeTo(0.8, 5), expect.closeTo(0.3, 5)],
      [expect.closeTo(1.3, 5), expect.closeTo(0.5, 5)],
    ]);
    // R 4: t.test(c(0.4, 0.3, 0.5), c(1.0, 0.8, 1.3), paired = TRUE): t = -7.1813, df = 2, p-value = 0.01884.
    expect(answer.test?.statistic).toBeCloseTo(-7.181325, 3);
    expect(answer.test?.p).toBeCloseTo(0.01884422, 5);
    expect(answer.usedTrials).toBe(6);
    expect(answer.missing).toEqual([]);
  });

  it("is saved with its answer, says when that is out of date, and recomputes to the same", async () => {
    const { studyId, call } = study;
    const { comparisonId } = await call.comparison.save({
      studyId,
      comparisonId: null,
      revision: 0,
      name: "Forearm",
      settings,
    });
    const saved = await call.comparison.get({ studyId, comparisonId });
    expect(saved.outOfDate).toBe(false);
    const trialId = trials.get("2 gloves");
    if (trialId === undefined) throw new Error("no such trial");
    const { revision } = await call.trial.get({ studyId, trialId });
    await call.trial.setAside({ studyId, trialId, revision, reason: "The camera was moved." });
    const stale = await call.comparison.get({ studyId, comparisonId });
    expect(stale.outOfDate).toBe(true);
    expect(stale.answer.test?.n).toBe(2);
    expect(stale.answer.missing.map(({ reason }) => reason)).toEqual(["Set aside: The camera was moved."]);
    const aside = await call.trial.get({ studyId, trialId });
    await call.trial.reopen({
      studyId,
      trialId,
      revision: aside.revision,
      reason: "It was not moved after all.",
    });
    const reopened = await call.trial.get({ studyId, trialId });
    await call.trial.accept({ studyId, trialId, revision: reopened.revision });
    const again = await call.comparison.get({ studyId, comparisonId });
    expect(JSON.stringify(again.answer)).toBe(JSON.stringify(saved.answer));
  });

  it("a second editor of a comparison is told, and what stands there now", async () => {
    const { studyId, call } = study;
    const edit = { studyId, name: "One", settings };
    const { comparisonId, revision } = await call.comparison.save({
      ...edit,
      comparisonId: null,
      revision: 0,
    });
    await call.comparison.save({ ...edit, comparisonId, revision, name: "Two" });
    await expect(
      call.comparison.save({ ...edit, comparisonId, revision, name: "Three" }),
    ).rejects.toMatchObject({
      code: "CONFLICT",
      cause: { details: { current: { name: "Two", revision: 2 } } },
    });
  });

  it("a release holds the true values, nobody's identity, no date and no exact body measure", async () => {
    const { studyId, call } = study;
    const report = await call.release.assess({ studyId, smallestGroup: 3, licence: "CC-BY-4.0" });
    expect(report.refusals).toEqual([]);
    expect(report.after?.smallestGroup).toBeGreaterThanOrEqual(3);
    const made = await call.release.make({
      studyId,
      smallestGroup: 3,
      licence: "CC-BY-4.0",
      reason: "For a test of the release.",
    });
    const { sha256 } = await downloadRelease(await study.scope("release.download"), made.releaseId);
    const parts: Uint8Array[] = [];
    for await (const part of test.core.blobs.read(sha256)) parts.push(part);
    const files = unzipSync(new Uint8Array(Buffer.concat(parts)));
    const texts = Object.entries(files).map(([name, bytes]) => `${name}\n${strFromU8(bytes)}`);
    const everything = texts.join("\n");
    for (const { volunteerId, code } of volunteers) {
      expect(everything).not.toContain(code);
      expect(everything).not.toContain(volunteerId);
    }
    for (const secret of [
      "Ulvhild",
      "Sandvåg",
      "example.org",
      "1990-06-17",
      "1990",
      "2026-03",
      "Quendolin",
      "Messung",
    ]) {
      expect(everything, secret).not.toContain(secret);
    }
    for (const { heightCm, massKg } of bodies) {
      expect(everything).not.toContain(String(heightCm));
      expect(everything).not.toContain(String(massKg));
    }
    // Whoever holds the package holds a head of the trail that a verification can be asked for.
    const [registered] = await call.release.list({ studyId });
    const anchor = anchorSchema.parse(registered?.report.auditHead);
    const descriptor = JSON.parse(strFromU8(files["datapackage.json"] ?? new Uint8Array())) as object;
    expect(descriptor).toMatchObject({
      auditTrail: { lastEntry: anchor.sequence, hash: `sha256:${anchor.hash}` },
    });
    const faults: unknown[] = [];
    await verifyChains(test.core.database, [anchor], {
      onFault: (_, fault) => faults.push(fault),
      onChain: () => undefined,
    });
    expect(faults).toEqual([]);
    // Every true value of every file stands in some trace file, in order, as exactly the float32 that was stored.
    const columns = texts
      .filter((text) => text.startsWith("traces/"))
      .flatMap((text) => {
        const [, header = "", ...rows] = text.trim().split(/\r?\n/);
        const cells = rows.map((row) => row.split(","));
        return header
          .split(",")
          .map((name, index) => ({ name, values: cells.map((row) => Number(row[index])) }));
      });
    for (const { "°C": series } of Object.values(truth)) {
      for (const [regionId, values] of Object.entries(series)) {
        const wanted = values.map((value) => Math.fround(value));
        const found = columns.some(
          ({ values: written }) =>
            written.length === wanted.length && written.every((value, i) => Math.fround(value) === wanted[i]),
        );
        expect(found, regionId).toBe(true);
      }
    }
  });

  it("a withdrawal takes a volunteer out of comparisons and the next release at once, and the register says so", async () => {
    const { studyId, call } = study;
    const volunteer = await study.volunteer();
    const third = visits[0];
    if (third === undefined) throw new Error("no files");
    const own = new TextDecoder().decode(journeyFile(third.bare)).replaceAll("33.60", "33.61");
    const trialId = await study.plan(volunteer.volunteerId);
    const { sourceFileId } = await study.upload(trialId, new TextEncoder().encode(own));
    await read(sourceFileId);
    const { revision } = await call.trial.get({ studyId, trialId });
    await call.trial.saveMarkers({ studyId, trialId, revision, markers: markersFromZero });
    const marked = await call.trial.get({ studyId, trialId });
    await call.trial.accept({ studyId, trialId, revision: marked.revision });

    const question = { smallestGroup: 2, licence: "CC0-1.0" as const };
    const before = await call.release.assess({ studyId, ...question });
    expect(before.volunteers.offered).toBe(4);
    await call.release.make({ studyId, ...question, reason: "Before the withdrawal." });
    await call.consent.withdraw({
      studyId,
      volunteerId: volunteer.volunteerId,
      permission: "share-anonymised-numbers",
      effect: "exclude",
      effectiveAt: test.core.now().toISOString(),
      reason: "",
    });
    const after = await call.release.assess({ studyId, ...question });
    expect(after.volunteers.offered).toBe(3);
    expect(after.withoutPermission.map(({ code }) => code)).toContain(volunteer.code);
    const [newest] = await call.release.list({ studyId });
    expect(newest?.withdrawnSince).toEqual([volunteer.code]);

    // Sharing is one permission; taking part is another, and comparisons rest on it.
    const sharing = await call.comparison.preview({ studyId, settings });
    expect(
      sharing.answer.missing
        .filter(({ code }) => code === volunteer.code)
        .map(({ conditionKey }) => conditionKey),
    ).toEqual(["gloves"]);
    await call.consent.withdraw({
      studyId,
      volunteerId: volunteer.volunteerId,
      permission: null,
      effect: "exclude",
      effectiveAt: test.core.now().toISOString(),
      reason: "",
    });
    const none = await call.comparison.preview({ studyId, settings });
    // Also of a trial that was never planned: the volunteer's own word is the reason.
    expect(
      none.answer.missing.filter(({ code }) => code === volunteer.code).map(({ reason }) => reason),
    ).toEqual([expect.stringMatching(/^Withdrawn on/), expect.stringMatching(/^Withdrawn on/)]);
    expect(none.answer.usedTrials).toBe(6);
  });

  /** Makes a release into which something happens after its bytes were gathered and before its row is written. */
  async function makeWhile(happens: () => Promise<unknown>) {
    const scope = await study.scope("release.make");
    const put = test.core.blobs.put;
    const slow = {
      ...test.core.blobs,
      async put(...given: Parameters<typeof put>) {
        const stored = await put(...given);
        await happens();
        return stored;
      },
    };
    const count = await test.core.database.prisma.release.count();
    await expect(
      makeRelease(
        { ...scope, core: { ...scope.core, blobs: slow } },
        { studyId: study.studyId, smallestGroup: 2, licence: "CC-BY-4.0", reason: "A race." },
      ),
    ).rejects.toThrow(/changed while the release was being made/);
    expect(await test.core.database.prisma.release.count()).toBe(count);
  }

  it("a trial that is reopened while a release is being made stops it", async () => {
    const { studyId, call } = study;
    const trialId = trials.get("1 gloves") ?? "";
    const step = async () => ({
      studyId,
      trialId,
      revision: (await call.trial.get({ studyId, trialId })).revision,
    });
    await makeWhile(async () => call.trial.reopen({ ...(await step()), reason: "The camera had moved" }));
    await call.trial.accept(await step());
  });

  it("a withdrawal while a release is being made stops it", async () => {
    const volunteer = volunteers[0];
    if (volunteer === undefined) throw new Error("no volunteer");
    await makeWhile(() =>
      study.call.consent.withdraw({
        studyId: study.studyId,
        volunteerId: volunteer.volunteerId,
        permission: "share-anonymised-numbers",
        effect: "exclude",
        effectiveAt: test.core.now().toISOString(),
        reason: "",
      }),
    );
  });

  it("too small a study is refused in words, and nothing is written", async () => {
    const { studyId, call } = study;
    const input = { studyId, smallestGroup: 5, licence: "CC-BY-4.0" as const };
    const report = await call.release.assess(input);
    expect(report.refusals.length).toBeGreaterThan(0);
    const count = await test.core.database.prisma.release.count();
    await expect(call.release.make({ ...input, reason: "Too small." })).rejects.toThrow(/cannot be made/);
    expect(await test.core.database.prisma.release.count()).toBe(count);
  });
});
