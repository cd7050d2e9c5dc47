import { strFromU8, unzipSync } from "fflate";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { AppError } from "../src/app-error";
import { rotateKeys } from "../src/identity-key/service";
import { exportOwnDataByStaff } from "../src/own-data/service";
import { openTestCore, type TestCore, testDatabaseKinds } from "../src/testing";
import { journeyFile, type ReadyStudy, readyStudy } from "./ready-study";
import { answersTo, putScreeningInForce } from "./screened-study";

const room = { airTemperatureC: 23, meanRadiantTemperatureC: 23, relativeHumidityPct: 40, airSpeedMS: 0.1 };
const professional = { name: "Ottilie Brandner", profession: "physician", limits: "At most ten minutes." };
/** How a refusal of the screening reads below; whatever else goes wrong reads otherwise. */
const stopped = (state: string) => `screening-missing: ${state}`;
const said = (error: unknown): string =>
  error instanceof AppError ? `${error.code}: ${String(error.details.state)}` : String(error);

describe.each(testDatabaseKinds())("the screening before exercise in the heat, on $name", (kind) => {
  let test: TestCore;
  let study: ReadyStudy;
  let today: string;

  beforeAll(async () => {
    test = await openTestCore(kind);
    today = test.core.now().toISOString().slice(0, 10);
  });
  afterAll(() => test.close());

  let files = 0;
  function ownFile(): Uint8Array {
    files++;
    const text = new TextDecoder().decode(journeyFile("visit-bare-one.csv"));
    return new TextEncoder().encode(text.replaceAll("33.60", `33.${60 + files}`));
  }

  /** The two ways by which a trial begins: its room is entered, its first file is uploaded. */
  async function begin(trialId: string) {
    const { studyId, call } = study;
    const { revision } = await call.trial.get({ studyId, trialId });
    const roomEntered = await call.trial.saveRoom({ studyId, trialId, revision, room }).then(
      () => "done",
      (error: Error) => said(error.cause),
    );
    const uploaded = await study.upload(trialId, ownFile()).then(() => "done", said);
    return [roomEntered, uploaded];
  }

  async function prepared() {
    study = await readyStudy(test);
    const { volunteerId, code } = await study.volunteer();
    const set = await putScreeningInForce(study);
    return { volunteerId, code, set, trialId: await study.plan(volunteerId) };
  }

  const record = (
    volunteerId: string,
    set: Awaited<ReturnType<typeof putScreeningInForce>>,
    yes: string[] = [],
  ) =>
    study.call.screening.record({
      studyId: study.studyId,
      volunteerId,
      setId: set.setId,
      answeredOn: today,
      answers: answersTo(set.content, yes),
    });
  const clear = (volunteerId: string, recordId: string, change: object = {}) =>
    study.call.screening.recordClearance({
      studyId: study.studyId,
      volunteerId,
      recordId,
      given: true,
      decidedOn: today,
      validUntil: null,
      ...professional,
      ...change,
    });
  const standing = (volunteerId: string) =>
    study.call.screening.ofVolunteer({ studyId: study.studyId, volunteerId });

  it("stops nobody before a study has put it in force", async () => {
    study = await readyStudy(test);
    const { volunteerId } = await study.volunteer();
    await study.call.screening.startSet({ studyId: study.studyId });
    expect(await begin(await study.plan(volunteerId))).toEqual(["done", "done"]);
    expect((await standing(volunteerId)).state).toBe("not set up");
  });

  it("lets a trial be planned, and not begun, until the questions are answered", async () => {
    const { volunteerId, set, trialId } = await prepared();
    const refused = stopped("not screened");
    expect(await begin(trialId)).toEqual([refused, refused]);
    expect((await study.call.trial.get({ studyId: study.studyId, trialId })).sourceFiles).toEqual([]);
    await record(volunteerId, set);
    expect(await begin(trialId)).toEqual(["done", "done"]);
  });

  it("waits for a licensed professional where an answer needs it, and stops when the clearance is refused or over", async () => {
    const { volunteerId, set, trialId } = await prepared();
    const { recordId, needClearance } = await record(volunteerId, set, ["heart", "skin"]);
    expect(needClearance).toBe(1);
    for (const [change, state] of [
      [null, "needs clearance"],
      [{ given: false }, "clearance refused"],
    ] as const) {
      if (change !== null) await clear(volunteerId, recordId, change);
      const refused = stopped(state);
      expect(await begin(trialId)).toEqual([refused, refused]);
    }
    await clear(volunteerId, recordId, { validUntil: today });
    const cleared = await standing(volunteerId);
    expect(cleared).toMatchObject({ state: "cleared", why: null, limits: professional.limits });
    expect(cleared.cautions).toHaveLength(1);
    expect(await begin(trialId)).toEqual(["done", "done"]);
    test.setNow(new Date(test.core.now().getTime() + 48 * 3600_000));
    const over = stopped("clearance over");
    expect(await begin(trialId)).toEqual([over, over]);
    test.setNow(new Date());
    // Newer answers need a clearance of their own.
    await record(volunteerId, set, ["fever"]);
    expect((await standing(volunteerId)).state).toBe("needs clearance");
    await expect(clear(volunteerId, recordId)).rejects.toMatchObject({ cause: { code: "wrong-state" } });
  });

  it("excludes by its rules and limits with the reason, which a clearance does not lift", async () => {
    const { volunteerId, set, trialId } = await prepared();
    const { studyId, call } = study;
    const { recordId } = await call.screening.record({
      studyId,
      volunteerId,
      setId: set.setId,
      answeredOn: today,
      answers: { ...answersTo(set.content, ["heart"]), "unwell-today": "yes" },
    });
    await clear(volunteerId, recordId);
    expect(await begin(trialId)).toEqual([stopped("excluded"), stopped("excluded")]);
    await expect(study.upload(trialId, ownFile())).rejects.toThrow("Feels ill on the day");
    // Who does not conduct trials learns that there is something, and not what.
    const observer = test.caller(await test.member(studyId, "Observer", "observer"));
    const seen = await observer.screening.ofVolunteer({ studyId, volunteerId });
    expect(seen).toMatchObject({ state: "excluded", because: [], cautions: [], limits: "" });
    const young = await call.volunteer.register({
      studyId,
      sex: "female",
      birthYear: new Date().getUTCFullYear() - 17,
    });
    expect((await standing(young.volunteerId)).because).toEqual([
      expect.stringContaining("at least 18 years"),
    ]);
  });

  it("never changes once in force: another version asks again, and answers to the older one do not count", async () => {
    const { volunteerId, set, trialId } = await prepared();
    const { studyId, call } = study;
    await record(volunteerId, set);
    const change = { studyId, setId: set.setId, revision: set.revision };
    const never = { cause: { code: "wrong-state" } };
    await expect(call.screening.saveSet({ ...change, content: set.content })).rejects.toMatchObject(never);
    await expect(call.screening.discardSet(change)).rejects.toMatchObject(never);
    const draft = await call.screening.startSet({ studyId });
    const content = { ...set.content, questions: set.content.questions.slice(0, 2) };
    const saved = await call.screening.saveSet({
      studyId,
      setId: draft.setId,
      revision: draft.revision,
      content,
    });
    await expect(
      call.screening.saveSet({ studyId, setId: draft.setId, revision: draft.revision, content }),
    ).rejects.toMatchObject({ cause: { code: "changed-meanwhile" } });
    expect((await standing(volunteerId)).state).toBe("nothing found");
    await call.screening.putSetInForce({ studyId, setId: draft.setId, revision: saved.revision });
    const refused = stopped("older version");
    expect(await begin(trialId)).toEqual([refused, refused]);
    const versions = await call.screening.sets({ studyId });
    expect(versions.map(({ version, state }) => [version, state])).toEqual([
      [2, "in_force"],
      [1, "retired"],
    ]);
    expect(versions[1]?.content).toEqual(set.content);
    await expect(record(volunteerId, set)).rejects.toMatchObject({ cause: { code: "changed-meanwhile" } });
  });

  it("keeps answers of those who take part alone, names what is not answered, and refuses a person's name", async () => {
    const { volunteerId, set } = await prepared();
    const { studyId, call } = study;
    const { volunteerId: stranger } = await study.stranger();
    await expect(record(stranger, set)).rejects.toMatchObject({ cause: { code: "consent-missing" } });
    const { heart: _, ...rest } = answersTo(set.content);
    const input = { studyId, volunteerId, setId: set.setId, answeredOn: today };
    await expect(call.screening.record({ ...input, answers: rest })).rejects.toMatchObject({
      cause: { code: "invalid", field: "answers.heart" },
    });
    const { recordId } = await record(volunteerId, set, ["heart"]);
    await expect(
      clear(volunteerId, recordId, { limits: "Quendolin rests after each step." }),
    ).rejects.toMatchObject({ cause: { code: "invalid", field: "limits" } });
    const preference = {
      studyId,
      volunteerId,
      revision: 0,
      operator: "female",
      companionPresent: true,
      noFace: true,
    } as const;
    await expect(
      call.preference.save({ ...preference, clothing: "", other: "Call me Abendroth" }),
    ).rejects.toMatchObject({ cause: { code: "invalid", field: "other" } });
  });

  it("holds no answer in clear in the database or the trail, goes along with a rotation, to the volunteer, and away with an erasure", async () => {
    const { volunteerId, code, set } = await prepared();
    const { studyId, call } = study;
    const { recordId } = await record(volunteerId, set, ["heart"]);
    await clear(volunteerId, recordId);
    const preference = { operator: "female", companionPresent: true, noFace: true, other: "" } as const;
    await call.preference.save({
      studyId,
      volunteerId,
      revision: 0,
      ...preference,
      clothing: "A long shirt.",
    });
    const entries = await test.core.database.prisma.auditEntry.findMany({ where: { studyId, volunteerId } });
    const trail = JSON.stringify(entries.map(({ action, before, after }) => ({ action, before, after })));
    expect(trail).toContain("answers that need clearance");
    for (const secret of [professional.name, professional.limits, "heart", "circulation"]) {
      expect(trail).not.toContain(secret);
    }
    const rows = () =>
      test.core.database.query(
        `select answers_cipher, professional_cipher from screening_record r
         join screening_clearance c on c.screening_record_id = r.id where r.volunteer_id = $1`,
        [volunteerId],
      );
    const [kept] = await rows();
    expect(Buffer.from(kept?.answers_cipher as Uint8Array).toString("latin1")).not.toContain("yes");
    expect(Buffer.from(kept?.professional_cipher as Uint8Array).toString("latin1")).not.toContain("Brandner");
    const { version } = await rotateKeys(test.core, () => undefined);
    const [shown] = await call.screening.showAnswers({ studyId, volunteerId });
    expect(shown?.answers.find(({ key }) => key === "heart")?.answer).toBe("yes");
    expect(shown?.clearances[0]).toMatchObject(professional);
    expect(await test.core.database.query("select distinct key_version as v from screening_record")).toEqual([
      { v: version },
    ]);

    const { body } = await exportOwnDataByStaff(await study.scope("ownData.export"), volunteerId);
    const chunks: Uint8Array[] = [];
    for await (const chunk of body) chunks.push(chunk);
    const files = unzipSync(new Uint8Array(Buffer.concat(chunks)));
    const own = strFromU8(files["own-data.json"] ?? new Uint8Array());
    expect(JSON.parse(own)).toMatchObject({
      preferences: { ...preference, clothing: "A long shirt." },
      screenings: [
        {
          answeredOn: today,
          answers: expect.arrayContaining([
            { text: expect.stringContaining("your circulation"), answer: "yes" },
          ]),
          clearances: [{ given: true, profession: "physician", limits: professional.limits }],
        },
      ],
    });
    // The name of the professional belongs to somebody else.
    expect(own).not.toContain(professional.name);

    await call.erasure.erase({ studyId, volunteerId, code, reason: "For a test." });
    expect(await rows()).toEqual([]);
    expect(await test.core.database.prisma.preference.count({ where: { volunteerId } })).toBe(0);
    await expect(record(volunteerId, set)).rejects.toMatchObject({ cause: { code: "wrong-state" } });
  });
});
