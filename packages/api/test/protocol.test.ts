import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { Actor } from "../src/access/service";
import {
  adviceOnProtocol,
  emptyContent,
  firstExercisePhase,
  missingInProtocol,
  offeredStopCriteria,
  phaseTimes,
} from "../src/protocol/policy";
import { alwaysStop, type DraftContent, draftContent, protocolContent } from "../src/protocol/schema";
import { protocolInForce, protocolOf } from "../src/protocol/service";
import { openTestCore, type TestCore, testDatabaseKinds } from "../src/testing";

function completeContent(): DraftContent {
  return {
    ...emptyContent(),
    phases: [
      { key: "sit", name: "Sitting", kind: "rest", durationS: 600 },
      { key: "step", name: "Stepping", kind: "exercise", durationS: 1200 },
      { key: "stand", name: "Standing", kind: "recovery", durationS: 300 },
    ],
    conditions: [
      { key: "bare", name: "Bare hands", description: "" },
      { key: "gloved", name: "Insulated gloves", description: "" },
    ],
    occasions: 2,
    regions: [{ regionId: "forearm-left-anterior", statistic: "mean" }],
    roomLimits: { ...emptyContent().roomLimits, airTemperatureC: { min: 22, max: 24 } },
    stopCriteria: [alwaysStop, "Dizziness."],
    plannedOutcomes: ["Forearm: change to the end of exercise"],
  };
}

describe("what a protocol lacks", () => {
  it("of an empty draft is named part by part, and nothing of a complete one", () => {
    expect(missingInProtocol(emptyContent()).map((item) => item.path)).toEqual([
      "phases",
      "conditions",
      "regions",
      "roomLimits.airTemperatureC",
      "stopCriteria",
    ]);
    expect(missingInProtocol(completeContent())).toEqual([]);
  });

  it("covers all that the schema of a protocol in force demands, when any one part is taken away", () => {
    const complete = completeContent();
    const [first, ...rest] = complete.phases;
    if (first === undefined) throw new Error("the example has phases");
    const reduced: DraftContent[] = [
      { ...complete, phases: [] },
      { ...complete, phases: [{ ...first, name: "" }, ...rest] },
      { ...complete, phases: [{ ...first, durationS: null }, ...rest] },
      { ...complete, conditions: [] },
      { ...complete, conditions: [{ key: "bare", name: "", description: "" }] },
      { ...complete, regions: [] },
      { ...complete, stopCriteria: [alwaysStop] },
    ];
    for (const content of reduced) {
      expect(draftContent.safeParse(content).success).toBe(true);
      expect(protocolContent.safeParse(content).success).toBe(false);
      expect(missingInProtocol(content)).toHaveLength(1);
    }
    expect(protocolContent.safeParse(complete).success).toBe(true);
  });

  it("includes an exercise phase, because every time axis begins with it", () => {
    const content = completeContent();
    content.phases = content.phases.map((phase) => ({ ...phase, kind: "rest" }));
    expect(missingInProtocol(content).map((item) => item.message)).toEqual([
      expect.stringMatching(/exercise/),
    ]);
  });

  it("is told apart from what is unwise", () => {
    expect(adviceOnProtocol(completeContent())).toEqual([]);
    const content = { ...completeContent(), plannedOutcomes: [] };
    content.phases = content.phases.slice(1);
    expect(adviceOnProtocol(content)).toHaveLength(2);
  });
});

describe("the content of a protocol", () => {
  it("always keeps the volunteer's own wish as the first stop criterion", () => {
    const parsed = draftContent.parse({
      ...completeContent(),
      stopCriteria: ["Pallor.", "", alwaysStop, "Pallor."],
    });
    expect(parsed.stopCriteria).toEqual([alwaysStop, "Pallor."]);
    expect(offeredStopCriteria.every((offered) => offered.source.length > 0)).toBe(true);
  });

  it("refuses a region outside the catalogue, a name or key given twice, limits the wrong way round, and a room that is none", () => {
    const complete = completeContent();
    const refusal = (content: unknown) =>
      draftContent.safeParse(content).error?.issues[0]?.message ?? "accepted";
    expect(refusal({ ...complete, regions: [{ regionId: "tail", statistic: "mean" }] })).toMatch(/catalogue/);
    expect(refusal({ ...complete, regions: [...complete.regions, ...complete.regions] })).toMatch(/twice/);
    expect(
      refusal({
        ...complete,
        conditions: [...complete.conditions, { key: "bare", name: "x", description: "" }],
      }),
    ).toMatch(/bare is used twice/);
    expect(
      refusal({
        ...complete,
        conditions: [...complete.conditions, { key: "other", name: "bare HANDS", description: "" }],
      }),
    ).toMatch(/used twice/);
    const room = (airTemperatureC: unknown) => ({
      ...complete,
      roomLimits: { ...complete.roomLimits, airTemperatureC },
    });
    expect(refusal(room({ min: 24, max: 22 }))).toMatch(/above the upper/);
    expect(refusal(room({ min: 24, max: 295 }))).toMatch(/between -30 and 60 °C/);
    expect(refusal({ ...complete, occasions: 11 })).toMatch(/at most 10/);
  });

  it("gives the planned times of its phases from the start of the first", () => {
    const content = protocolContent.parse(completeContent());
    expect(phaseTimes(content).map(({ key, startS, endS }) => [key, startS, endS])).toEqual([
      ["sit", 0, 600],
      ["step", 600, 1800],
      ["stand", 1800, 2100],
    ]);
    expect(firstExercisePhase(content)).toMatchObject({ key: "step", startS: 600 });
  });
});

describe.each(testDatabaseKinds())("the protocol of a study on $name", (kind) => {
  let test: TestCore;
  let lead: Actor;
  let studyId: string;
  beforeAll(async () => {
    test = await openTestCore(kind);
    lead = await test.person("Lead");
  });
  afterAll(() => test.close());

  async function draft() {
    studyId = await test.study(lead);
    const call = test.caller(lead).protocol;
    return { call, ...(await call.startDraft({ studyId })) };
  }

  it("is a draft until everything is there, and the refusal names all that is missing", async () => {
    const { call, protocolId, revision } = await draft();
    expect(await protocolInForce(test.core.database.prisma, studyId)).toBeNull();
    await expect(call.putInForce({ studyId, protocolId, revision })).rejects.toMatchObject({
      message: expect.stringMatching(/phases.*condition.*region.*air temperature.*stop criterion/s),
      cause: { code: "invalid", details: { missing: expect.any(Array) } },
    });
    const saved = await call.saveDraft({ studyId, protocolId, revision, content: completeContent() });
    expect(saved).toEqual({ revision: 2, missing: [], advice: [] });
    await call.putInForce({ studyId, protocolId, revision: 2 });
    const inForce = await protocolInForce(test.core.database.prisma, studyId);
    expect(inForce).toMatchObject({ version: 1, content: { occasions: 2 } });
  });

  it("does not change once it is in force: a change is a new version that copies the newest, and the former is retired", async () => {
    const { call, protocolId, revision } = await draft();
    await call.saveDraft({ studyId, protocolId, revision, content: completeContent() });
    await call.putInForce({ studyId, protocolId, revision: 2 });
    const change = { studyId, protocolId, revision: 3 };
    await expect(call.saveDraft({ ...change, content: completeContent() })).rejects.toThrow(
      /no longer a draft/,
    );
    await expect(call.discardDraft(change)).rejects.toThrow(/no longer a draft/);
    await expect(call.putInForce(change)).rejects.toThrow(/no longer a draft/);
    const second = await call.startDraft({ studyId });
    const copy = await call.get({ studyId, protocolId: second.protocolId });
    expect(copy.content).toEqual(completeContent());
    await expect(call.startDraft({ studyId })).rejects.toThrow(/draft already/);
    expect((await protocolInForce(test.core.database.prisma, studyId))?.version).toBe(1);
    await call.putInForce({ studyId, protocolId: second.protocolId, revision: 1 });
    expect((await call.list({ studyId })).map(({ version, state }) => [version, state])).toEqual([
      [2, "in_force"],
      [1, "retired"],
    ]);
    expect((await protocolOf(test.core.database.prisma, studyId, protocolId)).version).toBe(1);
  });

  it("tells the second of two editors, hands over what stands there now, and leaves it as it is", async () => {
    const { call, protocolId, revision } = await draft();
    const other = test.caller(await test.member(studyId, "Other lead", "lead_investigator")).protocol;
    const first = { ...completeContent(), exerciseLoad: "15 steps per minute" };
    await other.saveDraft({ studyId, protocolId, revision, content: first });
    const second = { ...completeContent(), exerciseLoad: "20 steps per minute" };
    await expect(call.saveDraft({ studyId, protocolId, revision, content: second })).rejects.toMatchObject({
      cause: {
        code: "changed-meanwhile",
        details: { current: { revision: 2, content: { exerciseLoad: "15 steps per minute" } } },
      },
    });
    await expect(call.putInForce({ studyId, protocolId, revision })).rejects.toMatchObject({
      cause: { code: "changed-meanwhile" },
    });
    expect((await call.get({ studyId, protocolId })).content.exerciseLoad).toBe("15 steps per minute");
    await call.saveDraft({ studyId, protocolId, revision: 2, content: second });
  });

  it("can be discarded while it is a draft, and every step is in the audit trail", async () => {
    const { call, protocolId, revision } = await draft();
    await call.discardDraft({ studyId, protocolId, revision });
    expect(await call.list({ studyId })).toEqual([]);
    const trail = await test.caller(lead).audit.list({ studyId, subjectKind: "protocol" });
    expect(trail.entries.map((entry) => entry.action)).toEqual([
      "protocol.discardDraft",
      "protocol.startDraft",
    ]);
  });

  it("of another study is not there", async () => {
    const { protocolId } = await draft();
    const elsewhere = await test.study(lead);
    const call = test.caller(lead).protocol;
    await expect(call.get({ studyId: elsewhere, protocolId })).rejects.toThrow(/no such protocol/);
    await expect(
      call.saveDraft({ studyId: elsewhere, protocolId, revision: 1, content: completeContent() }),
    ).rejects.toThrow(/no such protocol/);
  });
});
