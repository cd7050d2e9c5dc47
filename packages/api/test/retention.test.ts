import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { dueDate, monthsLater } from "../src/retention/policy";
import { openTestCore, type TestCore, testDatabaseKinds } from "../src/testing";
import { type ReadyStudy, readyStudy, recordedTrial } from "./ready-study";

const none = { identity: null, recordings: null, "consent records": null };

describe("when something is due", () => {
  it("is so many months after a day, on the last day of a shorter month", () => {
    expect(monthsLater("2026-01-31", 1)).toBe("2026-02-28");
    expect(monthsLater("2024-01-31", 1)).toBe("2024-02-29");
    expect(monthsLater("2026-11-15", 14)).toBe("2028-01-15");
    expect(monthsLater("2026-05-31", 0)).toBe("2026-05-31");
  });

  it("is the earlier of the end of the study and the withdrawal, and never without a statement", () => {
    const times = {
      endedOn: "2026-01-31",
      afterEnd: { ...none, identity: 12 },
      afterWithdrawal: { ...none, identity: 1 },
    };
    expect(dueDate(times, "identity", null)).toEqual({ on: "2027-01-31", because: "end of the study" });
    expect(dueDate(times, "identity", "2026-03-10")).toEqual({ on: "2026-04-10", because: "withdrawal" });
    expect(dueDate(times, "recordings", "2026-03-10")).toBeNull();
    expect(dueDate({ ...times, endedOn: null }, "identity", null)).toBeNull();
  });
});

describe.each(testDatabaseKinds())("the retention plan of a study on $name", { timeout: 300_000 }, (kind) => {
  let test: TestCore;
  let study: ReadyStudy;
  let volunteerId: string;
  let code: string;
  beforeAll(async () => {
    test = await openTestCore(kind);
    study = await readyStudy(test);
    ({ volunteerId, code } = await study.volunteer());
    await study.call.identity.save({
      studyId: study.studyId,
      volunteerId,
      revision: 0,
      name: "Ulvhild Sandvåg",
    });
    await recordedTrial(study, volunteerId);
  }, 300_000);
  afterAll(() => test.close());

  const remove = (part: "identity" | "recordings" | "consent records") =>
    study.call.retention.remove({ studyId: study.studyId, volunteerId, part, reason: "Its time is over" });

  it("says nothing is due while nothing is stated, and lets nothing be removed", async () => {
    const { due, next } = await study.call.retention.due({ studyId: study.studyId });
    expect({ due, next }).toEqual({ due: [], next: null });
    await expect(remove("identity")).rejects.toThrow(/not due/);
  });

  it("lists what is due, removes it part by part on purpose, and the consent records last", async () => {
    const { studyId, call } = study;
    const months = { identity: 0, recordings: 1, "consent records": 1 };
    await call.retention.savePlan({
      studyId,
      revision: 0,
      endedOn: "2020-01-31",
      afterEnd: months,
      afterWithdrawal: none,
    });
    await expect(
      call.retention.savePlan({ studyId, revision: 0, endedOn: null, afterEnd: none, afterWithdrawal: none }),
    ).rejects.toMatchObject({ cause: { code: "changed-meanwhile" } });
    const { due } = await call.retention.due({ studyId });
    expect(due.map((row) => [row.code, row.part, row.on])).toEqual([
      [code, "identity", "2020-01-31"],
      [code, "recordings", "2020-02-29"],
      [code, "consent records", "2020-02-29"],
    ]);
    await expect(remove("consent records")).rejects.toThrow(/go last/);
    const { sha256 } = await test.core.database.prisma.sourceFile.findFirstOrThrow({ where: { studyId } });

    expect(await remove("recordings")).toEqual({ bytesGone: true });
    expect(await test.core.blobs.has(sha256)).toBe(false);
    const { rows } = await call.trial.list({ studyId });
    expect(rows.map(({ state }) => state)).toEqual(["set_aside"]);

    await remove("identity");
    expect((await call.volunteer.get({ studyId, volunteerId })).identity.hasName).toBe(false);
    // The name as signed stays with the consent record.
    expect((await call.identity.find({ studyId, text: "Quendolin Abendroth" })).volunteers).toHaveLength(1);

    await remove("consent records");
    expect((await call.volunteer.get({ studyId, volunteerId })).participation).toBe("nothing signed");
    expect((await call.identity.find({ studyId, text: "Quendolin Abendroth" })).volunteers).toEqual([]);
    expect((await call.retention.due({ studyId })).due).toEqual([]);
    const trail = await call.audit.list({ studyId, action: "retention.remove" });
    expect(trail.entries.map(({ after }) => after)).toMatchObject([
      { removed: "consent records" },
      { removed: "identity" },
      { removed: "recordings", dueOn: "2020-02-29", because: "end of the study", files: 1 },
    ]);
  });

  it("begins with the withdrawal of a volunteer where the plan says so", async () => {
    const { studyId, call } = study;
    const other = await study.volunteer();
    await call.identity.save({
      studyId,
      volunteerId: other.volunteerId,
      revision: 0,
      name: "Torvald Ekmark",
    });
    await call.consent.withdraw({
      studyId,
      volunteerId: other.volunteerId,
      permission: null,
      effect: "exclude",
      effectiveAt: test.core.now().toISOString(),
    });
    await call.retention.savePlan({
      studyId,
      revision: 1,
      endedOn: null,
      afterEnd: none,
      afterWithdrawal: { ...none, identity: 1 },
    });
    const before = await call.retention.due({ studyId });
    expect(before.due).toEqual([]);
    expect(before.next).toMatchObject({ code: other.code, part: "identity", because: "withdrawal" });
    test.setNow(new Date(Date.now() + 40 * 24 * 60 * 60_000));
    expect((await call.retention.due({ studyId })).due).toMatchObject([
      { code: other.code, part: "identity" },
    ]);
  });
});
