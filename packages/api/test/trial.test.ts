import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { alignedTracesOf, measuresOf } from "../src/measure/service";
import { openTestCore, type TestCore, testDatabaseKinds } from "../src/testing";
import {
  journeyFile,
  markersFromZero,
  type ReadyStudy,
  readyStudy,
  recordedTrial,
  stated,
} from "./ready-study";

describe.each(testDatabaseKinds())("trials on $name", (kind) => {
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

  describe("planning", () => {
    it("needs consent in force to take part and to record thermal images", async () => {
      const { volunteerId, code } = await study.stranger();
      await expect(study.plan(volunteerId)).rejects.toMatchObject({ cause: { code: "consent-missing" } });
      await study.consent(volunteerId, ["record-thermal-images"]);
      await expect(study.plan(volunteerId)).rejects.toThrow(new RegExp(code));
      const other = await study.volunteer();
      const trialId = await study.plan(other.volunteerId);
      expect(await get(trialId)).toMatchObject({
        state: "planned",
        label: `${other.code} · bare hands · occasion 1`,
      });
    });

    it("needs a protocol in force, and follows it", async () => {
      const lead = await test.person("Lead");
      const empty = await test.study(lead);
      const { volunteerId } = await test.caller(lead).volunteer.register({
        studyId: empty,
        sex: "male",
        birthYear: null,
      });
      await expect(
        test.caller(lead).trial.plan({ studyId: empty, volunteerId, conditionKey: "bare", occasion: 1 }),
      ).rejects.toThrow(/No protocol is in force/);
      const own = await study.volunteer();
      await expect(study.plan(own.volunteerId, "bare", 3)).rejects.toMatchObject({
        cause: { code: "invalid", field: "occasion" },
      });
      await expect(study.plan(own.volunteerId, "mittens")).rejects.toMatchObject({
        cause: { code: "invalid", field: "conditionKey" },
      });
    });

    it("refuses what is planned already, also at the same moment, until that one was set aside", async () => {
      const { volunteerId } = await study.volunteer();
      const results = await Promise.allSettled([study.plan(volunteerId), study.plan(volunteerId)]);
      expect(results.filter(({ status }) => status === "fulfilled")).toHaveLength(1);
      await expect(study.plan(volunteerId)).rejects.toMatchObject({ cause: { code: "exists" } });
      const { rows } = await study.call.trial.list({
        studyId: study.studyId,
        sort: "changed",
        direction: "descending",
      });
      const first = rows.find((row) => row.volunteerId === volunteerId);
      if (first === undefined) throw new Error("the planned trial is listed");
      await study.call.trial.setAside({ ...(await step(first.trialId)), reason: "The volunteer was ill" });
      const again = await study.plan(volunteerId);
      expect((await get(again)).attempt).toBe(2);
      await expect(
        study.call.trial.reopen({ ...(await step(first.trialId)), reason: "It was another one" }),
      ).rejects.toThrow(/planned again meanwhile/);
      await study.call.trial.discard(await step(again));
      await study.call.trial.reopen({ ...(await step(first.trialId)), reason: "It was another one" });
      expect((await get(first.trialId)).state).toBe("planned");
    });

    it("of a volunteer of another study answers like one that does not exist", async () => {
      const other = await readyStudy(test);
      const { volunteerId } = await other.volunteer();
      await expect(study.plan(volunteerId)).rejects.toThrow(/no such volunteer/);
      const foreign = await other.plan(volunteerId);
      await expect(get(foreign)).rejects.toThrow(/no such trial/);
    });
  });

  it("are listed by filter, in order and by page", async () => {
    const own = await readyStudy(test);
    const { studyId, call } = own;
    const people = [await own.volunteer(), await own.volunteer(), await own.volunteer()];
    for (const { volunteerId } of people) {
      await own.plan(volunteerId, "bare");
      await own.plan(volunteerId, "gloves");
    }
    const all = await call.trial.list({ studyId });
    expect(all.total).toBe(6);
    expect(all.rows.map((row) => [row.volunteerCode, row.conditionName])).toEqual(
      people.flatMap(({ code }) => [
        [code, "bare hands"],
        [code, "insulated gloves"],
      ]),
    );
    const page = await call.trial.list({ studyId, conditionKey: "gloves", pageSize: 2, page: 2 });
    expect([page.total, page.rows.map((row) => row.volunteerCode)]).toEqual([3, [people[2]?.code]]);
    expect((await call.trial.list({ studyId, states: ["accepted"] })).total).toBe(0);
    const [first] = people;
    if (first === undefined) throw new Error("there are three volunteers");
    const found = await call.trial.list({ studyId, volunteer: first.code.toLowerCase(), sort: "condition" });
    expect(found.rows).toHaveLength(2);
    expect(found.rows.every((row) => row.consentInForce)).toBe(true);
    await call.consent.withdraw({
      studyId,
      volunteerId: first.volunteerId,
      permission: null,
      effect: "exclude",
      effectiveAt: test.core.now().toISOString(),
    });
    const after = await call.trial.list({ studyId, volunteer: first.code });
    expect(after.rows.some((row) => row.consentInForce)).toBe(false);
  });

  it("have a room, whose numbers are plausible and told when outside the protocol's limits", async () => {
    const { volunteerId } = await study.volunteer();
    const trialId = await study.plan(volunteerId);
    const room = {
      airTemperatureC: 25.5,
      meanRadiantTemperatureC: 25,
      relativeHumidityPct: 40,
      airSpeedMS: 0.1,
    };
    const saved = await study.call.trial.saveRoom({ ...(await step(trialId)), room });
    expect(saved.outside).toEqual([
      {
        field: "airTemperatureC",
        message: expect.stringMatching(/25.5 °C is above the protocol's limit of 24 °C/),
      },
    ]);
    expect((await get(trialId)).room).toEqual(room);
    await expect(
      study.call.trial.saveRoom({ ...(await step(trialId)), room: { ...room, airTemperatureC: 295 } }),
    ).rejects.toThrow(/air temperature/i);
    await expect(
      study.call.trial.saveRoom({
        ...(await step(trialId)),
        revision: 1,
        room: { ...room, airSpeedMS: 0.2 },
      }),
    ).rejects.toMatchObject({ cause: { code: "changed-meanwhile", details: { current: { room } } } });
  });

  it("have markers; the second of two editors is told and sees what stands there", async () => {
    const { volunteerId } = await study.volunteer();
    const trialId = await study.plan(volunteerId);
    const before = await step(trialId);
    await study.call.trial.saveMarkers({ ...before, markers: markersFromZero });
    await expect(
      study.call.trial.saveMarkers({ ...before, markers: markersFromZero.slice(0, 1) }),
    ).rejects.toMatchObject({
      cause: { code: "changed-meanwhile", details: { current: { markers: markersFromZero } } },
    });
    await expect(
      study.call.trial.saveMarkers({
        ...(await step(trialId)),
        markers: markersFromZero.map((marker) =>
          marker.phaseKey === "step" ? { ...marker, atS: 500 } : marker,
        ),
      }),
    ).rejects.toMatchObject({ cause: { code: "invalid", field: "markers.2.atS" } });
    await expect(
      study.call.trial.saveMarkers({
        ...(await step(trialId)),
        markers: [{ name: "Quendolin leaves", phaseKey: null, atS: 1 }],
      }),
    ).rejects.toMatchObject({ cause: { code: "invalid", field: "markers" } });
  });

  describe("with a hand-written file of known truth", () => {
    let own: ReadyStudy;
    let trialId: string;
    let sourceFileId: string;
    let volunteerId: string;
    beforeAll(async () => {
      own = await readyStudy(test);
      volunteerId = (await own.volunteer()).volunteerId;
      ({ trialId, sourceFileId } = await recordedTrial(own, volunteerId));
    });
    const ownStep = async () => {
      const { revision } = await own.call.trial.get({ studyId: own.studyId, trialId });
      return { studyId: own.studyId, trialId, revision };
    };

    it("show every trace, the phases, and mean skin temperature", async () => {
      const course = await own.call.trial.course({ studyId: own.studyId, trialId });
      expect(course.traces).toHaveLength(6);
      expect(course.recording).toEqual({ fromS: 0, toS: 600 });
      expect(course.phases.map(({ name, startS, endS }) => [name, startS, endS])).toEqual([
        ["Sitting", 0, 120],
        ["Stepping", 120, 420],
        ["Standing", 420, 600],
      ]);
      const trace = course.traces.find(({ series }) => series === "forearm-left-anterior");
      expect(trace).toMatchObject({ label: "Left forearm, anterior (mean)", unit: "°C", reduced: false });
      expect(trace?.values[0]).toBe(32.2);
      if (course.meanSkinTemperature.kind !== "available") throw new Error("all four sites are there");
      // 0.3 x 33.6 + 0.3 x 32.8 + 0.2 x 31.8 + 0.2 x 31.4 (Ramanathan 1964)
      expect(course.meanSkinTemperature.values[0]).toBeCloseTo(32.56, 5);
    });

    it("give measures with the truth of the file, before they are accepted and after", async () => {
      const before = await own.call.trial.measures({ studyId: own.studyId, trialId });
      if (before.kind !== "available") throw new Error(before.reason);
      const value = (name: string, regionId: string | null = "forearm-left-anterior") =>
        before.measures.find((measure) => measure.name === name && measure.regionId === regionId)?.value;
      expect(value("baseline")).toBeCloseTo(32.2, 5);
      expect(value("lowest point")).toBeCloseTo(31.0, 5);
      expect(value("time of lowest point")).toBeGreaterThan(110);
      expect(value("time of lowest point")).toBeLessThan(180);
      expect(value("end of exercise")).toBeCloseTo(33.2, 5);
      expect(value("change")).toBeCloseTo(1.0, 5);
      expect(value("baseline", null)).toBeCloseTo(32.56, 5);
      expect(before.provenance.sources[0]?.sha256).toMatch(/^[0-9a-f]{64}$/);

      await own.call.trial.accept(await ownStep());
      const after = await own.call.trial.measures({ studyId: own.studyId, trialId });
      if (after.kind !== "available") throw new Error(after.reason);
      expect(after.stored).toBe(true);
      const sorted = (measures: typeof after.measures) =>
        measures
          .map(({ name, regionId, value: number }) => `${name} ${regionId} ${number?.toFixed(9)}`)
          .sort();
      expect(sorted(after.measures)).toEqual(sorted(before.measures));
    });

    it("do not change while they are accepted", async () => {
      const input = await ownStep();
      const file = { studyId: own.studyId, sourceFileId, revision: 2 };
      const room = {
        airTemperatureC: 23,
        meanRadiantTemperatureC: null,
        relativeHumidityPct: null,
        airSpeedMS: null,
      };
      for (const change of [
        () => own.call.trial.saveMarkers({ ...input, markers: [] }),
        () => own.call.trial.saveRoom({ ...input, room }),
        () => own.call.sourceFile.setOffset({ ...file, method: stated(1) }),
        () => own.call.sourceFile.remove({ ...file, reason: "No reason" }),
        () => own.call.trial.discard(input),
        () => own.upload(trialId, journeyFile("visit-gloves-one.csv")),
      ]) {
        await expect(change()).rejects.toThrow(/This trial is accepted/);
      }
    });

    it("hand aligned traces out from the start of the exercise, and recompute those whose hash is stale", async () => {
      const scope = await own.scope("trial.measures");
      const wanted = [{ series: "forearm-left-anterior", statistic: "mean" }];
      const { traces } = await alignedTracesOf(scope, [trialId], wanted);
      expect(traces).toHaveLength(1);
      const { aligned } = traces[0] ?? { aligned: undefined };
      expect([aligned?.binS, aligned?.firstBin]).toEqual([5, -24]);
      // 10 s after the start the file has 32.1 °C.
      expect(aligned?.values[24 + 2]).toBeCloseTo(32.1, 4);

      const { prisma } = test.core.database;
      await prisma.measure.updateMany({ where: { trialId }, data: { value: 99 } });
      const fresh = await measuresOf(scope, [trialId], "all");
      expect(fresh.measures.some(({ value }) => value === 99)).toBe(true);
      await prisma.measure.updateMany({ where: { trialId }, data: { inputHash: "of an older version" } });
      await prisma.alignedTrace.updateMany({
        where: { trialId },
        data: { inputHash: "of an older version" },
      });
      const again = await measuresOf(scope, [trialId], "all");
      expect(again.measures.length).toBe(fresh.measures.length);
      expect(again.measures.some(({ value }) => value === 99)).toBe(false);
      const back = await alignedTracesOf(scope, [trialId], wanted);
      expect(back.traces[0]?.aligned.values).toEqual(aligned?.values);
    });

    it("are recomputed when something they rest on changed behind the database's back", async () => {
      const scope = await own.scope("trial.measures");
      const change = async (atS: number) => {
        const { prisma } = test.core.database;
        await prisma.marker.updateMany({ where: { trialId, phaseKey: "step" }, data: { atS } });
        const wanted = [{ name: "change" as const, regionId: "forearm-left-anterior" }];
        return (await measuresOf(scope, [trialId], wanted)).measures[0]?.inputHash;
      };
      const first = await change(120);
      const moved = await change(100);
      expect(moved).not.toBe(first);
      expect(await change(120)).toBe(first);
    });

    it("whose hash is stale can be asked for by several people at the same moment", async () => {
      const scope = await own.scope("trial.measures");
      const { prisma } = test.core.database;
      await prisma.measure.updateMany({ where: { trialId }, data: { inputHash: "stale" } });
      const before = await prisma.measure.count({ where: { trialId } });
      const all = await Promise.all([1, 2, 3].map(() => measuresOf(scope, [trialId], "all")));
      expect(all.map(({ measures }) => measures.length)).toEqual([before, before, before]);
      expect(await prisma.measure.count({ where: { trialId } })).toBe(before);
    });

    it("leave every number at once when consent is withdrawn", async () => {
      const scope = await own.scope("trial.measures");
      await own.call.consent.withdraw({
        studyId: own.studyId,
        volunteerId,
        permission: "share-anonymised-numbers",
        effect: "exclude",
        effectiveAt: test.core.now().toISOString(),
      });
      const now = { ...scope, now: new Date(test.core.now().getTime() + 1000) };
      const shared = await measuresOf(now, [trialId], "all", ["take-part", "share-anonymised-numbers"]);
      expect([shared.measures.length, shared.excluded.length]).toEqual([0, 1]);
      expect((await measuresOf(now, [trialId], "all")).excluded).toEqual([]);
      await own.call.consent.withdraw({
        studyId: own.studyId,
        volunteerId,
        permission: null,
        effect: "exclude",
        effectiveAt: test.core.now().toISOString(),
      });
      const later = { ...scope, now: new Date(test.core.now().getTime() + 1000) };
      const { traces, excluded } = await alignedTracesOf(later, [trialId], "all");
      expect(traces).toEqual([]);
      expect(excluded).toEqual([
        expect.objectContaining({ trialId, reason: expect.stringMatching(/consent/) }),
      ]);
      test.setNow(later.now);
      const input = { studyId: own.studyId, trialId };
      await expect(own.call.trial.course(input)).rejects.toMatchObject({
        cause: { code: "consent-missing" },
      });
      await expect(own.call.trial.measures(input)).rejects.toMatchObject({
        cause: { code: "consent-missing" },
      });
      expect((await own.call.trial.get(input)).consentMissing).toMatch(/Withdrawn/);
    });
  });
});
