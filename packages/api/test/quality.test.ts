import { strFromU8, unzipSync } from "fflate";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { downloadRelease } from "../src/release/service";
import { openTestCore, type TestCore, testDatabaseKinds } from "../src/testing";
import { tracesOfTrial } from "../src/trace/service";
import { type Faults, faultyTrial, hand, marked, recording, stepAtS } from "./adjusted-file";
import { commaMap, type ReadyStudy, readyStudy } from "./ready-study";

const reason = "The camera recalibrated itself.";

describe.each(testDatabaseKinds())("findings and adjustments, on $name", (kind) => {
  let test: TestCore;
  let study: ReadyStudy;

  beforeAll(async () => {
    test = await openTestCore(kind);
    study = await readyStudy(test);
  });
  afterAll(() => test.close());

  let seed = 1;
  /** A trial of a volunteer of its own. */
  async function faulty(faults: Faults, conditionKey = "bare") {
    const { volunteerId } = await study.volunteer();
    const made = await faultyTrial(study, volunteerId, { ...faults, seed: seed++ }, conditionKey);
    return { ...made, volunteerId, studyId: study.studyId };
  }
  type Made = Awaited<ReturnType<typeof faulty>>;

  const quality = ({ studyId, trialId }: Made) => study.call.quality.ofTrial({ studyId, trialId });

  async function onlyFile(made: Made) {
    const { files, trialRevision } = await quality(made);
    const [file] = files;
    if (file === undefined || files.length > 1) throw new Error("there is one file");
    return { ...file, trialRevision };
  }

  async function found(made: Made, kindOfFinding: string) {
    const { findings, ...file } = await onlyFile(made);
    const finding = findings.find((one) => one.kind === kindOfFinding);
    if (finding === undefined) throw new Error(`no ${kindOfFinding} was found`);
    return { finding, ...file };
  }

  async function adjust(made: Made, kindOfFinding: string) {
    const { finding, trialRevision } = await found(made, kindOfFinding);
    if (finding.proposal === null) throw new Error("nothing is proposed");
    return study.call.quality.adjust({
      studyId: made.studyId,
      sourceFileId: made.sourceFileId,
      trialRevision,
      settings: finding.proposal,
      reason,
      findingKey: finding.key,
    });
  }

  async function step(made: Made, adjustmentId: string) {
    const { adjustments } = await onlyFile(made);
    const adjustment = adjustments.find((one) => one.adjustmentId === adjustmentId);
    return { studyId: made.studyId, adjustmentId, revision: adjustment?.revision ?? 0 };
  }

  /** Every value of the trial's traces as everything that is derived is given it, in bytes. */
  async function bytes(made: Made, as: "adjusted" | "recorded" = "adjusted"): Promise<string> {
    const files = await tracesOfTrial(await study.scope("trial.course"), made.trialId, as);
    return files
      .flatMap(({ traces }) => traces.map(({ values }) => Buffer.from(values.buffer).toString("base64")))
      .join("|");
  }

  const at = async ({ studyId, trialId }: Made) => {
    const { revision } = await study.call.trial.get({ studyId, trialId });
    return { studyId, trialId, revision };
  };

  async function changeOf(made: Made, regionId: string | null) {
    const answer = await study.call.trial.measures({ studyId: made.studyId, trialId: made.trialId });
    if (answer.kind === "unavailable") throw new Error(answer.reason);
    return answer.measures.find((one) => one.name === "change" && one.regionId === regionId)?.value ?? null;
  }

  it("finds a step and a drift that were put in, takes them out, and gives the same bytes back when undone and redone", async () => {
    const made = await faulty({ stepC: 0.8, driftC: 1.5 });
    const recorded = await bytes(made, "recorded");
    expect(await bytes(made)).toBe(recorded);
    const before = await changeOf(made, hand);

    const { finding: stepFound } = await found(made, "common step");
    expect(stepFound.toS).toBeCloseTo(stepAtS, 0);
    expect(stepFound.size).toBeCloseTo(0.8, 1);
    expect(stepFound).toMatchObject({ decision: null, adjustedBy: null, standing: "open" });
    const { finding: driftFound } = await found(made, "common drift");
    expect(Math.abs((driftFound.size ?? 0) - 1.5)).toBeLessThan(0.3);
    expect((await quality(made)).openFindings).toBeGreaterThanOrEqual(2);

    const first = await adjust(made, "common step");
    const second = await adjust(made, "common drift");
    const adjusted = await bytes(made);
    expect(adjusted).not.toBe(recorded);
    expect(await bytes(made, "recorded")).toBe(recorded);
    const { findings, adjustments } = await onlyFile(made);
    expect(findings.find(({ key }) => key === stepFound.key)).toMatchObject({
      adjustedBy: first.adjustmentId,
      standing: "adjusted",
    });
    expect(adjustments.map(({ kind: one, state }) => [one, state])).toEqual([
      ["common step", "active"],
      ["warming-up drift", "active"],
    ]);
    expect(adjustments[0]).toMatchObject({ by: "Lead", reason });
    expect(adjustments[0]?.largestChangeC).toBeCloseTo(0.8, 1);

    // The adjusted traces are those of a camera without faults: the noise of the file is 0.02 °C.
    const [truth] = [recording({ seed: seed - 1 })];
    const [file] = await tracesOfTrial(await study.scope("trial.course"), made.trialId);
    const offsets = (file?.traces ?? []).map(({ values }, k) => {
      const differences = Array.from(values, (value, t) => value - (truth?.[k]?.[t] ?? Number.NaN));
      const mean = differences.reduce((sum, value) => sum + value, 0) / differences.length;
      return Math.max(...differences.map((value) => Math.abs(value - mean)));
    });
    expect(offsets).toHaveLength(6);
    expect(Math.max(...offsets)).toBeLessThan(0.15);

    // The course and the measures follow.
    const course = await study.call.trial.course({ studyId: made.studyId, trialId: made.trialId });
    const raw = await study.call.trial.course({
      studyId: made.studyId,
      trialId: made.trialId,
      asRecorded: true,
    });
    expect(course.adjustments).toBe(2);
    expect(course.traces[3]?.values.at(-1)).not.toBeCloseTo(raw.traces[3]?.values.at(-1) ?? 0, 1);
    const after = await changeOf(made, hand);
    expect((before ?? 0) - (after ?? 0)).toBeGreaterThan(0.8);
    expect(after).toBeLessThan(-1.5);

    await study.call.quality.undo(await step(made, second.adjustmentId));
    await study.call.quality.undo(await step(made, first.adjustmentId));
    expect(await bytes(made)).toBe(recorded);
    expect(await changeOf(made, hand)).toBe(before);
    expect((await quality(made)).openFindings).toBeGreaterThanOrEqual(2);
    await study.call.quality.redo(await step(made, first.adjustmentId));
    await study.call.quality.redo(await step(made, second.adjustmentId));
    expect(await bytes(made)).toBe(adjusted);
    expect(await changeOf(made, hand)).toBe(after);
  });

  it("keeps an accepted trial's numbers under its adjustments: reopened and changed, they are computed again", async () => {
    const made = await faulty({ stepC: 0.8 });
    await adjust(made, "common step");
    await study.call.trial.accept(await at(made));
    const measures = () => study.call.trial.measures({ studyId: made.studyId, trialId: made.trialId });
    const accepted = await measures();
    expect(accepted).toMatchObject({ stored: true });
    expect(accepted.provenance.sources[0]?.adjustments).toEqual([
      {
        adjustmentId: expect.any(String),
        title: expect.stringMatching(/^Step of \+0\.\d+ °C at 700 s taken out$/),
        reason,
      },
    ]);
    const value = await changeOf(made, hand);

    const [row] = (await onlyFile(made)).adjustments;
    const refused = { cause: { code: "wrong-state", message: expect.stringMatching(/Reopen it first/) } };
    const undo = {
      studyId: made.studyId,
      adjustmentId: row?.adjustmentId ?? "",
      revision: row?.revision ?? 0,
    };
    await expect(study.call.quality.undo(undo)).rejects.toMatchObject(refused);
    expect((await quality(made)).canChange).toBe(false);

    // Were an adjustment changed under it all the same, its numbers would be stale and never shown.
    await test.core.database.prisma.adjustment.update({
      where: { id: undo.adjustmentId },
      data: { state: "undone" },
    });
    const stale = await measures();
    expect(stale.provenance.inputHash).not.toBe(accepted.provenance.inputHash);
    expect(((await changeOf(made, hand)) ?? 0) - (value ?? 0)).toBeGreaterThan(0.5);
    await test.core.database.prisma.adjustment.update({
      where: { id: undo.adjustmentId },
      data: { state: "active" },
    });
    expect(await changeOf(made, hand)).toBe(value);

    await study.call.trial.reopen({ ...(await at(made)), reason: "To undo it." });
    await study.call.quality.undo(undo);
    await study.call.trial.markChecked(await at(made));
    await study.call.quality.redo({ ...undo, revision: undo.revision + 1 });
    expect((await study.call.trial.get({ studyId: made.studyId, trialId: made.trialId })).state).toBe(
      "recorded",
    );
  });

  it("puts adjustments in another order, and shows what each does before it is recorded", async () => {
    const made = await faulty({ stepC: 0.8 });
    const { studyId, sourceFileId } = made;
    const emissivity = {
      kind: "emissivity" as const,
      from: { emissivity: 1, reflectedC: 23 },
      to: { emissivity: 0.98, reflectedC: 23 },
    };
    const untouched = await bytes(made);
    const preview = await study.call.quality.preview({ studyId, sourceFileId, settings: emissivity });
    expect(preview).toMatchObject({ problem: null, unchanged: 0 });
    expect(preview.traces).toHaveLength(6);
    expect(preview.largestChangeC).toBeGreaterThan(0.1);
    expect(preview.traces[0]?.before.values[0]).not.toBe(preview.traces[0]?.after.values[0]);
    expect(await bytes(made)).toBe(untouched);

    const first = await adjust(made, "common step");
    const { trialRevision } = await onlyFile(made);
    const second = await study.call.quality.adjust({
      studyId,
      sourceFileId,
      trialRevision,
      settings: emissivity,
      reason: "The camera was left at its factory setting.",
    });
    const oneWay = await bytes(made);
    const order = [second.adjustmentId, first.adjustmentId];
    await study.call.quality.reorder({ studyId, sourceFileId, order, trialRevision: trialRevision + 1 });
    expect((await onlyFile(made)).adjustments.map(({ adjustmentId }) => adjustmentId)).toEqual(order);
    // A correction of radiation is no sum: the other way round gives other numbers.
    expect(await bytes(made)).not.toBe(oneWay);
    await study.call.quality.reorder({
      studyId,
      sourceFileId,
      order: [...order].reverse(),
      trialRevision: trialRevision + 2,
    });
    expect(await bytes(made)).toBe(oneWay);
    await expect(
      study.call.quality.reorder({
        studyId,
        sourceFileId,
        order: [first.adjustmentId],
        trialRevision: trialRevision + 3,
      }),
    ).rejects.toMatchObject({ cause: { code: "invalid", field: "order" } });
  });

  it("refuses in words what cannot be adjusted, what would change nothing, and the same correction twice", async () => {
    const made = await faulty({ stepC: 0.8 });
    const { studyId, sourceFileId } = made;
    const { trialRevision, finding } = await found(made, "common step");
    const asked = { studyId, sourceFileId, trialRevision, reason };
    const reference = {
      kind: "reference drift" as const,
      reference: "air temperature",
      trueC: 35,
      smoothingS: 60,
    };
    await expect(study.call.quality.adjust({ ...asked, settings: reference })).rejects.toMatchObject({
      cause: { code: "invalid", message: expect.stringMatching(/air temperature/) },
    });
    expect(await study.call.quality.preview({ studyId, sourceFileId, settings: reference })).toMatchObject({
      problem: expect.stringMatching(/air temperature/),
      traces: [],
    });
    const outside = { kind: "mask" as const, fromS: 5000, toS: 6000, series: null };
    await expect(study.call.quality.adjust({ ...asked, settings: outside })).rejects.toMatchObject({
      cause: { code: "invalid", message: expect.stringMatching(/change no value/) },
    });
    await adjust(made, "common step");
    const again = {
      ...asked,
      trialRevision: trialRevision + 1,
      settings: { kind: "common step" as const, atS: 700, heightC: 0.3 },
    };
    await expect(study.call.quality.adjust({ ...again, findingKey: finding.key })).rejects.toMatchObject({
      cause: { code: "exists" },
    });
    await expect(study.call.quality.adjust({ ...again, trialRevision })).rejects.toMatchObject({
      cause: {
        code: "changed-meanwhile",
        details: {
          current: { revision: trialRevision + 1, adjustments: [expect.stringMatching(/^Step of/)] },
        },
      },
    });
    const [row] = (await onlyFile(made)).adjustments;
    await expect(
      study.call.quality.undo({ studyId, adjustmentId: row?.adjustmentId ?? "", revision: 99 }),
    ).rejects.toMatchObject({
      cause: { code: "changed-meanwhile", details: { current: { revision: 1, state: "active" } } },
    });
  });

  it("keeps moments on the clock of the file: an offset moves findings and adjustments with it", async () => {
    const made = await faulty({ stepC: 0.8 });
    const { studyId, sourceFileId } = made;
    await adjust(made, "common step");
    const adjusted = await bytes(made);
    const { revision, clockS } = await onlyFile(made);
    expect(clockS).toBe(0);
    await study.call.sourceFile.setOffset({
      studyId,
      sourceFileId,
      revision,
      method: { kind: "stated", offsetS: 100, reason: "By the clock on the wall." },
    });
    const moved = await found(made, "common step");
    expect(moved.finding.toS).toBeCloseTo(stepAtS + 100, 0);
    expect(moved.adjustments[0]?.settings).toMatchObject({ atS: expect.closeTo(stepAtS + 100, 0) });
    expect(await bytes(made)).toBe(adjusted);
    const { trialRevision } = moved;
    const settings = { kind: "time shift" as const, byS: -100 };
    await study.call.quality.adjust({
      studyId,
      sourceFileId,
      trialRevision,
      settings,
      reason: "The clock was wrong.",
    });
    expect((await found(made, "common step")).finding.toS).toBeCloseTo(stepAtS, 0);
    expect((await study.call.trial.get({ studyId, trialId: made.trialId })).recording).toEqual({
      fromS: 0,
      toS: 1499,
    });
    expect(await bytes(made)).toBe(adjusted);
  });

  it("keeps decisions over another reading, and undoes with its reason an adjustment that has lost its sense", async () => {
    const made = await faulty({ stepC: 0.8 });
    const { studyId, sourceFileId } = made;
    const { finding, trialRevision } = await found(made, "common step");
    const decide = { studyId, sourceFileId, findingKey: finding.key };
    await expect(study.call.quality.decide({ ...decide, decision: "dismissed" })).rejects.toThrow(/Say why/);
    await study.call.quality.decide({ ...decide, decision: "dismissed", note: "A fan was switched on." });
    expect((await found(made, "common step")).finding).toMatchObject({
      standing: "dismissed",
      decision: { decision: "dismissed", note: "A fan was switched on.", by: "Lead" },
    });
    const mask = { kind: "mask" as const, fromS: 10, toS: 20, series: [`${hand} (mean)`] };
    const shift = { kind: "time shift" as const, byS: 5 };
    const asked = { studyId, sourceFileId, reason };
    await study.call.quality.adjust({ ...asked, trialRevision, settings: mask });
    await study.call.quality.adjust({ ...asked, trialRevision: trialRevision + 1, settings: shift });

    const map = commaMap();
    const withoutHand = {
      ...map,
      columns: map.columns.map((column) =>
        column.use.kind === "region" && column.use.regionId === hand
          ? { ...column, use: { kind: "ignore" as const }, unit: null }
          : column,
      ),
    };
    const { revision } = await onlyFile(made);
    await study.call.sourceFile.read({ studyId, sourceFileId, revision, columnMap: withoutHand });
    const after = await onlyFile(made);
    expect(after.findings.find(({ kind: one }) => one === "common step")).toMatchObject({
      standing: "dismissed",
    });
    expect(
      after.adjustments.map(({ kind: one, state, setBackBecause }) => [one, state, setBackBecause]),
    ).toEqual([
      ["mask", "undone", expect.stringMatching(/Left hand.* is not read any more/)],
      ["time shift", "active", null],
    ]);
    const [entry] = (await study.call.audit.list({ studyId, action: "sourceFile.read" })).entries;
    expect(entry?.after).toMatchObject({
      adjustmentsUndone: [expect.stringMatching(/masked from 10 s to 20 s/)],
    });

    await study.call.quality.clearDecision(decide);
    expect((await found(made, "common step")).finding.standing).toBe("open");
    await study.call.sourceFile.remove({
      studyId,
      sourceFileId,
      revision: after.revision,
      reason: "Wrong file.",
    });
    const where = { sourceFileId };
    const { prisma } = test.core.database;
    expect(await prisma.finding.count({ where })).toBe(0);
    expect(await prisma.findingDecision.count({ where })).toBe(0);
    expect(await prisma.adjustment.count({ where })).toBe(0);
    const [removed] = (await study.call.audit.list({ studyId, action: "sourceFile.remove" })).entries;
    expect(removed?.before).toMatchObject({ adjustments: ["Times moved by +5 s"] });
  });

  it("stores findings when a file is read, and finds anew what rests on a start of exercise that moved", async () => {
    const made = await faulty({ driftC: 1.5 });
    const { prisma } = test.core.database;
    const stored = () =>
      prisma.qualityCheck.findUniqueOrThrow({ where: { sourceFileId: made.sourceFileId } });
    const atReading = await stored();
    await quality(made);
    const placed = await stored();
    expect(placed.inputHash).not.toBe(atReading.inputHash);
    expect(placed).toMatchObject({ values: 9000, missing: 0 });
    await quality(made);
    expect(await stored()).toEqual(placed);
    const markers = marked.map((marker) => (marker.phaseKey === "step" ? { ...marker, atS: 500 } : marker));
    await study.call.trial.saveMarkers({ ...(await at(made)), markers });
    expect((await stored()).inputHash).toBe(placed.inputHash);
    // An observer may look, and is given findings of now as everybody is.
    const observer = test.caller(await test.member(made.studyId, "Observer", "observer"));
    const audited = await prisma.auditEntry.count();
    expect((await observer.quality.ofTrial(made)).files[0]?.findings.length).toBeGreaterThan(0);
    expect((await stored()).inputHash).not.toBe(placed.inputHash);
    expect(await prisma.auditEntry.count()).toBe(audited);
    // What an adjustment does is told anew too when the analysis is another one.
    await adjust(made, "common drift");
    const told = async () => (await onlyFile(made)).adjustments[0]?.largestChangeC;
    const largest = await told();
    await prisma.adjustment.updateMany({ where: { trialId: made.trialId }, data: { largestChangeC: 99 } });
    await prisma.qualityCheck.updateMany({
      where: { trialId: made.trialId },
      data: { inputHash: "of before" },
    });
    expect(await told()).toBe(largest);
  });

  it("says in one sentence whether a trial's conclusions survive its adjustments", async () => {
    const made = await faulty({ stepC: 0.8 });
    const summary = () => study.call.quality.summary({ studyId: made.studyId, trialId: made.trialId });
    expect(await summary()).toMatchObject({ survives: "nothing adjusted", adjustments: 0 });
    await adjust(made, "common step");
    const { verdict, survives, measures } = await summary();
    // The calf fell by 0.2 °C and the camera showed it rise by 0.6 °C.
    expect(survives).toBe("rest on adjustments");
    expect(verdict).toMatch(/^The conclusions rest on the adjustments: /);
    const change = measures.find(({ name, regionId }) => name === "change" && regionId === hand);
    expect(change?.difference).toBeCloseTo(-0.8, 1);
    expect(change?.withAdjustments).toBe(await changeOf(made, hand));
  });

  it("lists quality over the study by page, order and filter, with a value per recording for every day", async () => {
    const clean = await faulty({});
    const bad = await faulty({ stepC: 1.9 }, "gloves");
    const { studyId } = study;
    const first = await study.call.quality.ofStudy({ studyId, sort: "step", pageSize: 1 });
    expect(first.rows).toHaveLength(1);
    expect(first.total).toBeGreaterThan(1);
    expect(first).toMatchObject({ waiting: 0, withoutConsent: 0 });
    expect(first.rows[0]).toMatchObject({
      trialId: bad.trialId,
      recordedOn: "2026-03-10",
      conditionName: "insulated gloves",
    });
    expect(first.rows[0]?.stepC).toBeCloseTo(1.9, 1);
    const second = await study.call.quality.ofStudy({ studyId, sort: "step", pageSize: 1, page: 2 });
    expect(second.rows[0]?.trialId).not.toBe(bad.trialId);
    const steps = await study.call.quality.ofStudy({ studyId, kinds: ["common step"], standing: "open" });
    expect(steps.rows.map(({ trialId }) => trialId)).toContain(bad.trialId);
    expect(steps.rows.map(({ trialId }) => trialId)).not.toContain(clean.trialId);
    expect(steps.recordings.find(({ trialId }) => trialId === bad.trialId)).toMatchObject({
      day: "2026-03-10",
      dayFromUpload: false,
      stepC: expect.closeTo(1.9, 1),
      missingShare: 0,
    });
    expect((await study.call.quality.ofStudy({ studyId, from: "2026-03-11" })).total).toBe(0);
    await adjust(bad, "common step");
    const adjusted = await study.call.quality.ofStudy({
      studyId,
      standing: "adjusted",
      conditionKey: "gloves",
    });
    expect(adjusted.rows.map(({ trialId }) => trialId)).toEqual([bad.trialId]);
    await study.call.consent.withdraw({
      studyId,
      volunteerId: bad.volunteerId,
      permission: null,
      effect: "exclude",
      effectiveAt: test.core.now().toISOString(),
    });
    test.setNow(new Date(Date.now() + 1000));
    const without = await study.call.quality.ofStudy({ studyId, conditionKey: "gloves" });
    expect(without).toMatchObject({ total: 0, withoutConsent: 1, recordings: [] });
  });
});

describe.each(testDatabaseKinds())("what is compared and released, on $name", (kind) => {
  it("is what adjustments leave", async () => {
    const test = await openTestCore(kind);
    const study = await readyStudy(test);
    const { studyId, call } = study;
    const changes = async () => {
      const { answer } = await call.comparison.preview({
        studyId,
        settings: {
          schema: 1,
          outcome: { measure: "change", regionId: hand },
          conditions: ["bare", "gloves"],
          occasion: 1,
          course: "temperature",
          level: 0.95,
        },
      });
      return answer;
    };
    const trials: { trialId: string; sourceFileId: string }[] = [];
    for (let person = 0; person < 2; person++) {
      const { volunteerId } = await study.volunteer();
      for (const condition of ["bare", "gloves"]) {
        const faults = { stepC: condition === "gloves" ? 0.8 : 0, seed: trials.length + 1 };
        trials.push(await faultyTrial(study, volunteerId, faults, condition));
      }
    }
    const accept = async () => {
      for (const { trialId } of trials) {
        const { revision } = await call.trial.get({ studyId, trialId });
        await call.trial.accept({ studyId, trialId, revision });
      }
    };
    await accept();
    const before = await changes();
    for (const { trialId, sourceFileId } of trials) {
      const { revision } = await call.trial.get({ studyId, trialId });
      await call.trial.reopen({ studyId, trialId, revision, reason });
      const { files, trialRevision } = await call.quality.ofTrial({ studyId, trialId });
      const finding = files[0]?.findings.find((one) => one.kind === "common step");
      if (finding?.proposal == null) continue;
      await call.quality.adjust({ studyId, sourceFileId, trialRevision, settings: finding.proposal, reason });
    }
    await accept();
    const after = await changes();
    // Every change under gloves was 0.8 °C too high; without the step the conditions are alike.
    expect(before.test?.estimate).toBeDefined();
    expect(Math.abs(Math.abs(before.test?.estimate ?? 0) - 0.8)).toBeLessThan(0.1);
    expect(Math.abs(after.test?.estimate ?? 1)).toBeLessThan(0.1);

    const made = await call.release.make({ studyId, smallestGroup: 2, licence: "CC0-1.0", reason });
    const { sha256 } = await downloadRelease(await study.scope("release.download"), made.releaseId);
    const parts: Uint8Array[] = [];
    for await (const part of test.core.blobs.read(sha256)) parts.push(part);
    const files = Object.entries(unzipSync(new Uint8Array(Buffer.concat(parts))));
    const written = files
      .filter(([name]) => name.startsWith("traces/"))
      .flatMap(([, bytes]) => {
        const [header = "", ...rows] = strFromU8(bytes).trim().split(/\r?\n/);
        const cells = rows.map((row) => row.split(","));
        return header
          .split(",")
          .map((_, column) => cells.map((row) => Math.fround(Number(row[column]))).join());
      });
    const scope = await study.scope("trial.course");
    for (const { trialId } of trials) {
      const [adjusted] = await tracesOfTrial(scope, trialId);
      const wanted = Array.from(adjusted?.traces[3]?.values ?? [], Math.fround);
      expect(wanted).toHaveLength(1500);
      expect(written).toContain(wanted.join());
    }
    const [recorded] = await tracesOfTrial(scope, trials[1]?.trialId ?? "", "recorded");
    expect(written).not.toContain(Array.from(recorded?.traces[3]?.values ?? [], Math.fround).join());
    await test.close();
  }, 120_000);
});
