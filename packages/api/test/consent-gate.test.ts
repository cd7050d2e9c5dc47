import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { readFile } from "../src/column-map/service";
import { openSourceFile } from "../src/source-file/service";
import { openTestCore, type TestCore, testDatabaseKinds } from "../src/testing";
import { commaMap, journeyFile, markersFromZero, type ReadyStudy, readyStudy, stated } from "./ready-study";

/** A file of its own, because the same bytes are in a study once. */
function ownFile(number: number): Uint8Array {
  const text = new TextDecoder().decode(journeyFile("visit-bare-one.csv"));
  return new TextEncoder().encode(text.replaceAll("33.60", `33.${60 + number}`));
}

describe.each(testDatabaseKinds())("once a volunteer has taken everything back, on $name", (kind) => {
  let test: TestCore;
  let study: ReadyStudy;
  let recorded: { trialId: string; sourceFileId: string };
  let accepted: { trialId: string; sourceFileId: string };
  let volunteerId: string;
  let kept: unknown[];

  async function record(number: number, condition: string) {
    const { studyId, call } = study;
    const trialId = await study.plan(volunteerId, condition);
    const { sourceFileId } = await study.upload(trialId, ownFile(number));
    await call.sourceFile.read({ studyId, sourceFileId, revision: 1, columnMap: commaMap() });
    await call.trial.saveMarkers({ ...(await at(trialId)), markers: markersFromZero });
    return { trialId, sourceFileId };
  }

  async function at(trialId: string) {
    const { revision } = await study.call.trial.get({ studyId: study.studyId, trialId });
    return { studyId: study.studyId, trialId, revision };
  }

  async function fileAt(sourceFileId: string) {
    const { revision } = await test.core.database.prisma.sourceFile.findUniqueOrThrow({
      where: { id: sourceFileId },
    });
    return { studyId: study.studyId, sourceFileId, revision };
  }

  const recordedFile = () => ({ studyId: study.studyId, sourceFileId: recorded.sourceFileId });
  const shift = { kind: "time shift" as const, byS: 1 };
  let adjustmentId: string;

  /** Everything that is recorded of the trials: what was entered before a withdrawal is not changed by a refusal. */
  function rows() {
    const { prisma } = test.core.database;
    const where = { studyId: study.studyId };
    return Promise.all([
      prisma.trial.findMany({ where, orderBy: { id: "asc" } }),
      prisma.sourceFile.findMany({ where, orderBy: { id: "asc" } }),
      prisma.marker.findMany({ where, orderBy: { id: "asc" } }),
      prisma.measure.count({ where }),
      prisma.adjustment.findMany({ where, orderBy: { id: "asc" } }),
      prisma.findingDecision.count({ where }),
    ]);
  }

  beforeAll(async () => {
    test = await openTestCore(kind);
    study = await readyStudy(test);
    ({ volunteerId } = await study.volunteer());
    recorded = await record(1, "bare");
    accepted = await record(2, "gloves");
    await study.call.trial.accept(await at(accepted.trialId));
    const { trialRevision } = await study.call.quality.ofTrial(await at(recorded.trialId));
    const { adjustmentId: made } = await study.call.quality.adjust({
      ...recordedFile(),
      trialRevision,
      settings: { kind: "time shift", byS: -1 },
      reason: "The clock was early.",
    });
    adjustmentId = made;
    await study.call.consent.withdraw({
      studyId: study.studyId,
      volunteerId,
      permission: null,
      effect: "exclude",
      effectiveAt: test.core.now().toISOString(),
    });
    test.setNow(new Date(Date.now() + 1000));
    kept = await rows();
  });
  afterAll(() => test.close());

  const room = { airTemperatureC: 23, meanRadiantTemperatureC: 23, relativeHumidityPct: 40, airSpeedMS: 0.1 };
  const steps: Record<string, () => Promise<unknown>> = {
    "planning a trial": () => study.plan(volunteerId, "bare", 2),
    "entering the room": async () => study.call.trial.saveRoom({ ...(await at(recorded.trialId)), room }),
    "placing markers": async () =>
      study.call.trial.saveMarkers({ ...(await at(recorded.trialId)), markers: markersFromZero }),
    "uploading a file": () => study.upload(recorded.trialId, ownFile(3)),
    "downloading a file": async () =>
      openSourceFile(await study.scope("file.download"), recorded.trialId, recorded.sourceFileId),
    "having a column map proposed": async () =>
      study.call.sourceFile.proposal(await fileAt(recorded.sourceFileId)),
    "previewing a column map": async () =>
      study.call.sourceFile.preview({ ...(await fileAt(recorded.sourceFileId)), columnMap: commaMap() }),
    "reading a file": async () =>
      study.call.sourceFile.read({
        ...(await fileAt(recorded.sourceFileId)),
        // It does not fit: not even what is wrong with the file is told.
        columnMap: { ...commaMap(), delimiter: ";" },
      }),
    "moving a file on the clock": async () =>
      study.call.sourceFile.setOffset({ ...(await fileAt(recorded.sourceFileId)), method: stated(5) }),
    "showing where a file's traces come from": async () =>
      study.call.sourceFile.provenance(await fileAt(recorded.sourceFileId)),
    "drawing traces": async () => study.call.trial.course(await at(recorded.trialId)),
    "drawing traces of an accepted trial": async () => study.call.trial.course(await at(accepted.trialId)),
    "showing measures": async () => study.call.trial.measures(await at(recorded.trialId)),
    "showing measures of an accepted trial": async () =>
      study.call.trial.measures(await at(accepted.trialId)),
    "showing findings": async () => study.call.quality.ofTrial(await at(recorded.trialId)),
    "showing what adjustments do to measures": async () =>
      study.call.quality.summary(await at(recorded.trialId)),
    "deciding on a finding": async () =>
      study.call.quality.decide({ ...recordedFile(), findingKey: "a-key", decision: "accepted" }),
    "opening a finding again": async () =>
      study.call.quality.clearDecision({ ...recordedFile(), findingKey: "a-key" }),
    "previewing an adjustment": async () =>
      study.call.quality.preview({ ...recordedFile(), settings: shift }),
    "adjusting a file": async () =>
      study.call.quality.adjust({
        ...recordedFile(),
        trialRevision: (await at(recorded.trialId)).revision,
        settings: shift,
        reason: "The clock was late.",
      }),
    "undoing an adjustment": async () =>
      study.call.quality.undo({ studyId: study.studyId, adjustmentId, revision: 1 }),
    "redoing an adjustment": async () =>
      study.call.quality.redo({ studyId: study.studyId, adjustmentId, revision: 1 }),
    "putting adjustments in another order": async () =>
      study.call.quality.reorder({
        ...recordedFile(),
        trialRevision: (await at(recorded.trialId)).revision,
        order: [adjustmentId],
      }),
    "marking a trial as checked": async () => study.call.trial.markChecked(await at(recorded.trialId)),
    "accepting a trial": async () => study.call.trial.accept(await at(recorded.trialId)),
  };

  it.each(Object.entries(steps))("%s is refused, and changes nothing", async (_, step) => {
    const refusal: unknown = await step().then(
      () => "done",
      (error: unknown) => error,
    );
    // Called through the router an AppError is the cause of a TRPCError; called as a use case it is the error.
    const cause = refusal instanceof Error && refusal.cause !== undefined ? refusal.cause : refusal;
    expect(cause).toMatchObject({ code: "consent-missing", details: { volunteerId } });
    expect(await rows()).toEqual(kept);
  });

  it("a file that is being read when it happens is not kept as traces", async () => {
    const { studyId, call } = study;
    const reader = await study.volunteer();
    const trialId = await study.plan(reader.volunteerId);
    const { sourceFileId } = await study.upload(trialId, ownFile(4));
    const scope = await study.scope("sourceFile.read");
    async function* slow(sha256: string) {
      yield* test.core.blobs.read(sha256);
      await call.consent.withdraw({
        studyId,
        volunteerId: reader.volunteerId,
        permission: null,
        effect: "exclude",
        effectiveAt: test.core.now().toISOString(),
      });
    }
    const core = { ...test.core, blobs: { ...test.core.blobs, read: slow } };
    const input = { studyId, sourceFileId, revision: 1, columnMap: commaMap(), keep: true };
    await expect(readFile({ ...scope, core }, input)).rejects.toMatchObject({ code: "consent-missing" });
    expect(await test.core.database.prisma.trace.count({ where: { trialId } })).toBe(0);
  });

  it("what was recorded can still be taken out of the way, with a reason", async () => {
    const { call } = study;
    const reason = "The volunteer withdrew";
    await call.trial.setAside({ ...(await at(accepted.trialId)), reason });
    await call.sourceFile.remove({ ...(await fileAt(recorded.sourceFileId)), reason });
    expect((await call.trial.get(await at(recorded.trialId))).sourceFiles).toEqual([]);
  });
});

describe.each(testDatabaseKinds())("recording is a permission of its own, on $name", (kind) => {
  it("a volunteer who takes part but refuses thermal images is neither planned nor recorded", async () => {
    const test = await openTestCore(kind);
    const study = await readyStudy(test);
    const { studyId, call } = study;
    const { formId, revision } = await call.consent.startForm({ studyId });
    const { title, text, permissions } = await call.consent.form({ studyId, formId });
    // A study may make every permission but taking part optional.
    const optional = permissions.map((item) => ({ ...item, required: item.key === "take-part" }));
    const form = { studyId, formId, title, text, permissions: optional };
    const saved = await call.consent.saveForm({ ...form, revision });
    await call.consent.putFormInForce({ studyId, formId, revision: saved.revision });
    const { volunteerId } = await study.stranger();
    const sign = (images: boolean) =>
      call.consent.record({
        studyId,
        volunteerId,
        formId,
        signedAt: test.core.now().toISOString(),
        nameAsSigned: "Quendolin Abendroth",
        decisions: Object.fromEntries(
          optional.map(({ key }) => [key, key !== "record-thermal-images" || images]),
        ),
      });
    const refused = { code: "consent-missing", details: { permission: "record-thermal-images" } };
    await sign(false);
    expect((await call.volunteer.list({ studyId, participation: "permitted" })).total).toBe(1);
    await expect(study.plan(volunteerId)).rejects.toMatchObject({ cause: refused });
    await sign(true);
    const trialId = await study.plan(volunteerId);
    await sign(false);
    await expect(study.upload(trialId, ownFile(1))).rejects.toMatchObject(refused);
    await test.close();
  });
});
