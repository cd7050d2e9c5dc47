import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { emptyImagingRecord } from "../src/imaging/schema";
import { openTestCore, type TestCore, testDatabaseKinds } from "../src/testing";
import { journeyFile, type ReadyStudy, readyContent, readyStudy, recordedTrial } from "./ready-study";

const record = {
  ...emptyImagingRecord(),
  cameraUnit: "Camera 1",
  cameraWarmUpMin: 40,
  distanceM: 1.5,
  emissivity: 0.98,
  posture: "Seated",
  outsideFactors: "Takes a medicine for hay fever",
};

describe.each(testDatabaseKinds())("imaging records and the methods text on $name", (kind) => {
  let test: TestCore;
  let study: ReadyStudy;
  beforeAll(async () => {
    test = await openTestCore(kind);
    study = await readyStudy(test);
  });
  afterAll(() => test.close());

  const of = (trialId: string) => study.call.imaging.ofTrial({ studyId: study.studyId, trialId });
  const save = (trialId: string, revision: number, change: Partial<typeof record> = {}) =>
    study.call.imaging.save({ studyId: study.studyId, trialId, revision, record: { ...record, ...change } });
  const revisionOf = async (trialId: string) =>
    (await study.call.trial.get({ studyId: study.studyId, trialId })).revision;

  it("are empty at first, and hold what was saved", async () => {
    const { volunteerId } = await study.volunteer();
    const trialId = await study.plan(volunteerId);
    expect(await of(trialId)).toMatchObject({ revision: 0, savedAt: null, record: null, recorded: 0 });
    expect(await save(trialId, 0)).toEqual({ revision: 1 });
    const saved = await of(trialId);
    expect(saved).toMatchObject({ revision: 1, record, recorded: 3, missing: 12 });
    expect(saved.items.find(({ key }) => key === "warm-up")).toMatchObject({
      state: "missing",
      lacks: [{ what: "the calibration of the camera", place: "protocol" }],
    });
    // It is no part of what acceptance looks at, so that the trial's own revision stays.
    expect(await revisionOf(trialId)).toBe(1);
  });

  it("tell the second of two editors what stands there now, also when both began with nothing", async () => {
    const { volunteerId } = await study.volunteer();
    const trialId = await study.plan(volunteerId);
    const results = await Promise.allSettled([save(trialId, 0), save(trialId, 0, { distanceM: 2 })]);
    expect(results.filter(({ status }) => status === "fulfilled")).toHaveLength(1);
    const there = await of(trialId);
    await expect(save(trialId, 0, { distanceM: 3 })).rejects.toMatchObject({
      cause: { code: "changed-meanwhile", details: { current: { revision: 1, record: there.record } } },
    });
    expect((await of(trialId)).record).toEqual(there.record);
    await save(trialId, 1, { distanceM: 3 });
    expect(await of(trialId)).toMatchObject({ revision: 2, record: { distanceM: 3 } });
  });

  it("are neither shown nor written without consent in force, and are there again when it is", async () => {
    const { volunteerId } = await study.volunteer();
    const trialId = await study.plan(volunteerId);
    await save(trialId, 0);
    await study.call.consent.withdraw({
      studyId: study.studyId,
      volunteerId,
      permission: null,
      effect: "exclude",
      effectiveAt: test.core.now().toISOString(),
    });
    await expect(of(trialId)).rejects.toMatchObject({ cause: { code: "consent-missing" } });
    await expect(save(trialId, 1)).rejects.toMatchObject({ cause: { code: "consent-missing" } });
    await study.consent(volunteerId);
    expect(await of(trialId)).toMatchObject({ revision: 1, record });
  });

  it("follow the trial: none is changed in a trial that is set aside, and none stays of one that is discarded", async () => {
    const { volunteerId } = await study.volunteer();
    const trialId = await study.plan(volunteerId);
    await save(trialId, 0);
    const at = { studyId: study.studyId, trialId };
    await study.call.trial.setAside({ ...at, revision: await revisionOf(trialId), reason: "For the test" });
    await expect(save(trialId, 1)).rejects.toMatchObject({ cause: { code: "wrong-state" } });
    await study.call.trial.reopen({ ...at, revision: await revisionOf(trialId), reason: "For the test" });
    await study.call.trial.discard({ ...at, revision: await revisionOf(trialId) });
    expect(await test.core.database.prisma.imagingRecord.count({ where: { trialId } })).toBe(0);
  });

  it("leave in the audit trail what was changed, but not what a volunteer named", async () => {
    const { volunteerId } = await study.volunteer();
    const trialId = await study.plan(volunteerId);
    await save(trialId, 0);
    await save(trialId, 1, { distanceM: 1.4 });
    const { entries } = await study.call.audit.list({ studyId: study.studyId, action: "imaging.save" });
    const [last] = entries.filter((entry) => entry.subjectId === trialId);
    expect(last).toMatchObject({ before: { distanceM: 1.5 }, after: { distanceM: 1.4 } });
    expect(JSON.stringify(entries)).not.toContain("hay fever");
  });

  it("are refused where a number cannot be one, and nothing is kept", async () => {
    const { volunteerId } = await study.volunteer();
    const trialId = await study.plan(volunteerId);
    await expect(save(trialId, 0, { distanceM: 150 })).rejects.toThrow(/between 0.1 and 20 m/);
    expect(await of(trialId)).toMatchObject({ revision: 0, record: null });
  });

  it("take the time of day from the file that was read", async () => {
    const { volunteerId } = await study.volunteer();
    const { trialId } = await recordedTrial(study, volunteerId);
    // The first row of the file, as it stands there.
    const clock = /T(\d\d:\d\d)/.exec(new TextDecoder().decode(journeyFile("visit-bare-one.csv")))?.[1];
    expect(clock).toBeDefined();
    const { items, asPlanned } = await of(trialId);
    expect(items.find(({ key }) => key === "time-of-day")?.state).toBe("recorded");
    expect(asPlanned.timeOfDay).toBe(clock);
  });

  it("are summed up by the methods text, over trials that count and whose volunteers permit it", async () => {
    const own = await readyStudy(test);
    const { studyId, call } = own;
    const nothing = await call.methods.get({ studyId });
    expect(nothing).toMatchObject({
      choice: "recorded",
      counts: { accepted: 0, recorded: 0 },
      paragraphs: [],
      lacking: [],
    });
    const people = [await own.volunteer(), await own.volunteer()];
    const trialIds: string[] = [];
    for (const { volunteerId } of people) {
      await call.volunteer.addBodyMeasures({
        studyId,
        volunteerId,
        bodyMeasures: { measuredOn: "2026-01-10", heightCm: 170, massKg: 65 },
      });
      const { trialId } = await recordedTrial(
        own,
        volunteerId,
        trialIds.length === 0 ? "visit-bare-one.csv" : "visit-gloves-one.csv",
      );
      trialIds.push(trialId);
    }
    const [first = "", second = ""] = trialIds;
    await call.imaging.save({ studyId, trialId: first, revision: 0, record });
    const all = await call.methods.get({ studyId });
    expect(all).toMatchObject({ choice: "recorded", counts: { accepted: 0, recorded: 2 }, volunteers: 2 });
    const of = (title: string, methods: typeof all) =>
      methods.paragraphs.find((paragraph) => paragraph.title === title)?.text ?? "";
    expect(of("Position and skin", all)).toContain("Distance: 1.5 m, not recorded for 1 of 2 trials.");
    expect(of("Participants", all)).toContain("Height: 170 cm. Mass: 65 kg.");
    expect(all.items.find(({ key }) => key === "distance")).toMatchObject({
      recorded: 0,
      missing: 2,
      lacks: [
        { what: "the share of the image", place: "protocol", trials: 2 },
        { what: "the distance", place: "trial", trials: 1 },
      ],
    });
    expect(all.lacking.map(({ trialId }) => trialId)).toEqual([second]);

    const { revision } = await call.trial.get({ studyId, trialId: first });
    await call.trial.accept({ studyId, trialId: first, revision });
    const accepted = await call.methods.get({ studyId });
    expect(accepted).toMatchObject({
      choice: "accepted",
      counts: { accepted: 1, recorded: 2 },
      volunteers: 1,
    });
    expect(of("Position and skin", accepted)).toContain("Distance: 1.5 m.");
    const chosen = await call.methods.get({ studyId, trials: "recorded" });
    expect(chosen).toMatchObject({ choice: "recorded", volunteers: 2 });

    await call.consent.withdraw({
      studyId,
      volunteerId: people[0]?.volunteerId ?? "",
      permission: null,
      effect: "exclude",
      effectiveAt: test.core.now().toISOString(),
    });
    const after = await call.methods.get({ studyId });
    expect(after).toMatchObject({
      choice: "recorded",
      counts: { accepted: 0, recorded: 1 },
      withoutConsent: 1,
      volunteers: 1,
    });
    expect(JSON.stringify(after)).not.toContain(people[0]?.code);
  });

  it("rest on the protocol that the trial was planned under, also on one that was stored before schema 2", async () => {
    const own = await readyStudy(test);
    const { studyId, call } = own;
    const { volunteerId } = await own.volunteer();
    const { protocolId, revision } = await call.protocol.startDraft({ studyId });
    const old = {
      ...readyContent,
      schema: 1,
      imaging: {
        camera: "An old camera",
        emissivity: 0.97,
        distanceM: 2,
        cameraWarmUpMin: 30,
        referenceSurface: "A plate",
        notes: "",
      },
    };
    await test.core.database.prisma.protocol.update({ where: { id: protocolId }, data: { content: old } });
    expect((await call.protocol.get({ studyId, protocolId })).content).toMatchObject({
      schema: 2,
      imaging: { camera: "An old camera", referenceSource: { description: "A plate" }, calibration: "" },
    });
    await call.protocol.putInForce({ studyId, protocolId, revision });
    const { trialId } = await recordedTrial(own, volunteerId);
    expect((await call.imaging.ofTrial({ studyId, trialId })).asPlanned).toMatchObject({
      emissivity: 0.97,
      cameraWarmUpMin: 30,
      referenceInView: true,
      acclimatisationMin: null,
    });
    const { paragraphs } = await call.methods.get({ studyId });
    expect(JSON.stringify(paragraphs)).toContain("Maker and model: An old camera.");
  });
});
