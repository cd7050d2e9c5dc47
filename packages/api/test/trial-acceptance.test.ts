import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { openTestCore, type TestCore, testDatabaseKinds } from "../src/testing";
import { acceptTrial } from "../src/trial-state/service";
import { commaMap, markersFromZero, type ReadyStudy, readyStudy, recordedTrial, stated } from "./ready-study";

describe.each(testDatabaseKinds())("acceptance of a trial, on $name", (kind) => {
  let test: TestCore;
  let study: ReadyStudy;
  beforeAll(async () => {
    test = await openTestCore(kind);
    study = await readyStudy(test);
  });
  afterAll(() => test.close());

  const get = (trialId: string) => study.call.trial.get({ studyId: study.studyId, trialId });
  const step = async (trialId: string) => ({
    studyId: study.studyId,
    trialId,
    revision: (await get(trialId)).revision,
  });
  const withdraw = (volunteerId: string) =>
    study.call.consent.withdraw({
      studyId: study.studyId,
      volunteerId,
      permission: null,
      effect: "exclude",
      effectiveAt: test.core.now().toISOString(),
    });

  it("says what is lacking, one after the other", async () => {
    const { volunteerId } = await study.volunteer();
    const trialId = await study.plan(volunteerId);
    await expect(study.call.trial.accept(await step(trialId))).rejects.toThrow(/no source file/);
    expect((await get(trialId)).acceptanceLacks).toEqual([
      expect.stringMatching(/no source file/),
      expect.stringMatching(/no marker for Sitting, Stepping, Standing/),
    ]);
  });

  it("is refused once consent was withdrawn, and on a revision that is not the newest", async () => {
    const { volunteerId } = await study.volunteer();
    const { trialId } = await recordedTrial(study, volunteerId, "visit-gloves-one.csv");
    const old = await step(trialId);
    await study.call.trial.markChecked(old);
    await expect(study.call.trial.accept(old)).rejects.toMatchObject({
      cause: { code: "changed-meanwhile" },
    });
    await withdraw(volunteerId);
    test.setNow(new Date(test.core.now().getTime() + 1000));
    await expect(study.call.trial.accept(await step(trialId))).rejects.toMatchObject({
      cause: { code: "consent-missing" },
    });
    expect((await get(trialId)).state).toBe("checked");
  });

  it("is undone by reopening or setting aside, with a reason in the audit trail and no number left", async () => {
    const own = await readyStudy(test);
    const { studyId, call } = own;
    const { volunteerId } = await own.volunteer();
    const { trialId } = await recordedTrial(own, volunteerId);
    const now = async () => ({
      studyId,
      trialId,
      revision: (await call.trial.get({ studyId, trialId })).revision,
    });
    await call.trial.accept(await now());
    await call.trial.reopen({ ...(await now()), reason: "The offset was wrong" });
    expect((await call.trial.get({ studyId, trialId })).state).toBe("recorded");
    const { prisma } = test.core.database;
    expect(await prisma.measure.count({ where: { trialId } })).toBe(0);
    await call.trial.accept(await now());
    await call.trial.setAside({ ...(await now()), reason: "The camera had moved" });
    expect(await prisma.alignedTrace.count({ where: { trialId } })).toBe(0);
    expect(await call.trial.get({ studyId, trialId })).toMatchObject({
      state: "set_aside",
      setAsideReason: "The camera had moved",
    });
    const { entries } = await call.audit.list({ studyId, subjectKind: "trial" });
    expect(entries.map(({ action, reason }) => [action, reason]).slice(0, 4)).toEqual([
      ["trial.setAside", "The camera had moved"],
      ["trial.accept", null],
      ["trial.reopen", "The offset was wrong"],
      ["trial.accept", null],
    ]);
  });

  /** Accepts a trial into which something happens once everything is computed and before it is stored. */
  async function acceptWhile(own: ReadyStudy, trialId: string, happens: () => Promise<unknown>) {
    const { studyId, call } = own;
    const { revision } = await call.trial.get({ studyId, trialId });
    const scope = await own.scope("trial.accept");
    const { database } = test.core;
    const { prisma } = database;
    const begin = prisma.$transaction.bind(prisma) as (work: unknown) => Promise<unknown>;
    const late = Object.create(prisma, {
      $transaction: {
        value: async (work: unknown) => {
          test.setNow(new Date(scope.now.getTime() + 1000));
          await happens();
          return begin(work);
        },
      },
    }) as typeof prisma;
    const core = { ...test.core, database: { ...database, prisma: late } };
    await acceptTrial({ ...scope, core }, { studyId, trialId, revision });
  }

  it("is refused when consent is withdrawn, or a file changes, while the numbers are computed", async () => {
    const own = await readyStudy(test);
    const { studyId, call } = own;
    const { volunteerId } = await own.volunteer();
    const { trialId } = await recordedTrial(own, volunteerId);
    const { prisma } = test.core.database;
    // Behind the database's back, so that no revision tells of it: the hash of what the numbers rest on does.
    const move = () => prisma.sourceFile.updateMany({ where: { trialId }, data: { offsetS: 7 } });
    await expect(acceptWhile(own, trialId, move)).rejects.toMatchObject({ code: "changed-meanwhile" });
    const effectiveAt = () => test.core.now().toISOString();
    const withdraw = () =>
      call.consent.withdraw({
        studyId,
        volunteerId,
        permission: null,
        effect: "exclude",
        effectiveAt: effectiveAt(),
      });
    await expect(acceptWhile(own, trialId, withdraw)).rejects.toMatchObject({ code: "consent-missing" });
    expect((await call.trial.get({ studyId, trialId })).state).toBe("recorded");
    expect(await prisma.measure.count({ where: { trialId } })).toBe(0);
  });

  it("is of what was shown: a file that somebody moved meanwhile makes it another trial", async () => {
    const own = await readyStudy(test);
    const { studyId, call } = own;
    const { volunteerId } = await own.volunteer();
    const { trialId, sourceFileId } = await recordedTrial(own, volunteerId);
    const shown = await call.trial.get({ studyId, trialId });
    const revision = shown.sourceFiles[0]?.revision ?? 0;
    await call.sourceFile.setOffset({ studyId, sourceFileId, revision, method: stated(30) });
    await expect(call.trial.accept({ studyId, trialId, revision: shown.revision })).rejects.toMatchObject({
      cause: { code: "changed-meanwhile" },
    });
    const moved = await call.trial.get({ studyId, trialId });
    // The hand in another unit: reading the same again would leave the trial what was shown.
    const columns = commaMap().columns.map((column) =>
      column.index === 4 ? { ...column, unit: "K" } : column,
    );
    const columnMap = { ...commaMap(), columns };
    await call.sourceFile.read({ studyId, sourceFileId, revision: revision + 1, columnMap });
    await expect(call.trial.accept({ studyId, trialId, revision: moved.revision })).rejects.toMatchObject({
      cause: { code: "changed-meanwhile" },
    });
    expect((await call.trial.get({ studyId, trialId })).state).toBe("recorded");
  });

  it("a changed marker undoes the check", async () => {
    const own = await readyStudy(test);
    const { studyId, call } = own;
    const { volunteerId } = await own.volunteer();
    const { trialId } = await recordedTrial(own, volunteerId);
    const now = async () => ({
      studyId,
      trialId,
      revision: (await call.trial.get({ studyId, trialId })).revision,
    });
    await call.trial.markChecked(await now());
    await call.trial.saveMarkers({ ...(await now()), markers: markersFromZero });
    expect((await call.trial.get({ studyId, trialId })).state).toBe("recorded");
  });
});
