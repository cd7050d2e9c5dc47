import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { secondsBetween } from "../src/file-offset/policy";
import { openTestCore, type TestCore, testDatabaseKinds } from "../src/testing";
import { type ReadyStudy, readyStudy, stated } from "./ready-study";

const text = (value: string) => new TextEncoder().encode(value);

/** What both instruments see, in °C; invented. */
const seen = (t: number) =>
  33 +
  0.3 * Math.sin(t / 31) +
  0.4 * Math.sin(t / 17.3 + 2) +
  0.3 * Math.sin(t / 71) -
  (t > 200 ? 1 - Math.exp(-(t - 200) / 50) : 0);

/** A camera that began at 09:30:00, one row a second. */
function camera(): Uint8Array {
  const rows = Array.from({ length: 500 }, (_, i) => {
    const at = new Date(Date.parse("2026-03-10T09:30:00Z") + i * 1000).toISOString().slice(0, 19);
    return `${at},${seen(i).toFixed(3)}`;
  });
  return text(`time,left forearm anterior (mean °C)\n${rows.join("\n")}\n`);
}

/** A second one, 42 s later on the same forearm, with or without saying when. */
function second(says: boolean): Uint8Array {
  const rows = Array.from({ length: 380 }, (_, i) => {
    const at = new Date(Date.parse("2026-03-10T09:30:42Z") + i * 1000).toISOString().slice(0, 19);
    return `${says ? at : i},${(seen(i + 42) + 0.4).toFixed(3)}`;
  });
  return text(`${says ? "time" : "time (s)"},left hand dorsal (mean °C)\n${rows.join("\n")}\n`);
}

const forearm = { series: "forearm-left-anterior", statistic: "mean" };
const hand = { series: "hand-left-dorsal", statistic: "mean" };

describe("the time between two starts", () => {
  const file = (name: string, startedAt: string | null) => ({ name, startedAt });
  it("is by what both say, with their zones, and else unknown with what to do", () => {
    expect(
      secondsBetween(file("a", "2026-03-10T09:30:00+01:00"), file("b", "2026-03-10T08:30:10.5Z")),
    ).toEqual({ kind: "known", seconds: 10.5 });
    expect(secondsBetween(file("a", "2026-03-10T09:30:00"), file("b", "2026-03-10T09:29:00"))).toEqual({
      kind: "known",
      seconds: -60,
    });
    expect(secondsBetween(file("a", "2026-03-10T09:30:00Z"), file("b", "2026-03-10T09:30:00"))).toMatchObject(
      {
        kind: "unknown",
        reason: expect.stringMatching(/column map of b/),
      },
    );
    expect(secondsBetween(file("a", null), file("b", "2026-03-10T09:30:00"))).toMatchObject({
      kind: "unknown",
      reason: expect.stringMatching(/^a does not say/),
    });
  });
});

describe.each(testDatabaseKinds())("several files on one clock, on $name", (kind) => {
  let test: TestCore;
  let study: ReadyStudy;
  beforeAll(async () => {
    test = await openTestCore(kind);
  });
  afterAll(() => test.close());

  async function twoFiles(says: boolean) {
    study = await readyStudy(test);
    const { call, studyId } = study;
    const { volunteerId } = await study.volunteer();
    const trialId = await study.plan(volunteerId);
    const ids: string[] = [];
    for (const [name, bytes] of [
      ["camera.csv", camera()],
      ["second.csv", second(says)],
    ] as const) {
      const { sourceFileId } = await study.upload(trialId, bytes, { name });
      const { proposal, revision } = await call.sourceFile.proposal({ studyId, sourceFileId });
      if (proposal === null) throw new Error("a plain table is proposed");
      await call.sourceFile.read({ studyId, sourceFileId, revision, columnMap: proposal.columnMap });
      ids.push(sourceFileId);
    }
    const [otherFileId = "", sourceFileId = ""] = ids;
    const clock = () => call.sourceFile.clock({ studyId, sourceFileId });
    const set = async (method: Parameters<typeof call.sourceFile.setOffset>[0]["method"]) =>
      call.sourceFile.setOffset({
        studyId,
        sourceFileId,
        revision: (await clock()).revision,
        method,
      });
    return { trialId, otherFileId, sourceFileId, clock, set };
  }

  it("are put there by absolute time where both say when they began", async () => {
    const { otherFileId, clock, set } = await twoFiles(true);
    const before = await clock();
    expect(before).toMatchObject({ offsetS: 0, inForce: null, before: null });
    expect(before.others[0]?.byAbsoluteTime).toEqual({ kind: "known", offsetS: 42 });
    expect(await set({ kind: "absolute time", otherFileId })).toMatchObject({ offsetS: 42 });
    const after = await clock();
    expect(after.inForce?.how).toMatch(
      /By absolute time: this file began at .*09:30:42.*camera\.csv at .*09:30:00/,
    );
    expect(after.inForce?.setBy).toBe("Lead");
    expect(after.before).toEqual({ offsetS: 0, how: null });
  });

  it("are put there by an event that both saw, counted from where the other file lies", async () => {
    const { otherFileId, sourceFileId, clock, set, trialId } = await twoFiles(false);
    expect((await clock()).others[0]?.byAbsoluteTime).toMatchObject({ kind: "unknown" });
    await expect(set({ kind: "absolute time", otherFileId })).rejects.toMatchObject({
      cause: { code: "invalid", field: "otherFileId" },
    });
    const event = { kind: "same event", event: "the light went out", hereS: 58, thereS: 100 } as const;
    expect(await set({ ...event, otherFileId })).toMatchObject({ offsetS: 42 });
    expect((await clock()).inForce?.how).toBe(
      "By an event that both saw (the light went out): at 58 s in this file, at 100 s in camera.csv.",
    );
    // On the trial's clock there is no other file.
    expect(await set({ ...event, otherFileId: null, thereS: 99 })).toMatchObject({ offsetS: 41 });
    // Back by one, and by one more.
    const { call, studyId } = study;
    const back = async () =>
      call.sourceFile.takeBackOffset({ studyId, sourceFileId, revision: (await clock()).revision });
    expect((await clock()).before).toMatchObject({
      offsetS: 42,
      how: expect.stringMatching(/100 s in camera/),
    });
    expect(await back()).toMatchObject({ offsetS: 42 });
    expect(await back()).toMatchObject({ offsetS: 0 });
    await expect(back()).rejects.toMatchObject({ cause: { code: "wrong-state" } });
    const { entries } = await call.audit.list({ studyId, action: "sourceFile.takeBackOffset" });
    expect(entries).toHaveLength(2);
    expect((await call.trial.get({ studyId, trialId })).sourceFiles[1]).toMatchObject({
      offsetS: 0,
      offsetHow: null,
    });
  });

  it("are put there by an estimate that was looked at, with its correlation, and by no other", async () => {
    const { otherFileId, sourceFileId, clock, set } = await twoFiles(false);
    const { call, studyId } = study;
    const pair = { own: hand, otherFileId, other: forearm };
    const estimate = await call.sourceFile.estimateOffset({ studyId, sourceFileId, ...pair });
    if (estimate.agreement.kind === "none") throw new Error(estimate.agreement.reason);
    expect(Math.abs(estimate.agreement.offsetS - 42)).toBeLessThan(0.1);
    expect(estimate.agreement.correlation).toBeGreaterThan(0.99);
    expect(estimate.agreement.doubts).toEqual([]);
    expect(estimate.unit).toBe("°C");
    expect(estimate.lines.after?.timesS[0]).toBeCloseTo(42, 0);
    const { offsetS } = estimate.agreement;
    await expect(set({ kind: "estimate", ...pair, offsetS: offsetS + 1 })).rejects.toMatchObject({
      cause: { code: "changed-meanwhile" },
    });
    await set({ kind: "estimate", ...pair, offsetS });
    expect((await clock()).inForce?.how).toMatch(
      /Estimated where Left hand, dorsal \(mean\) agrees best with Left forearm, anterior \(mean\) of camera\.csv: correlation (1\.00|0\.99)/,
    );
    // Once placed, nothing more has to be moved.
    const again = await call.sourceFile.estimateOffset({ studyId, sourceFileId, ...pair });
    expect(again.agreement).toMatchObject({ kind: "found" });
    if (again.agreement.kind === "found") expect(Math.abs(again.agreement.shiftS)).toBeLessThan(0.1);
    await expect(
      call.sourceFile.estimateOffset({ studyId, sourceFileId, ...pair, otherFileId: sourceFileId }),
    ).rejects.toThrow(/compared with itself/);
    await expect(
      call.sourceFile.estimateOffset({ studyId, sourceFileId, ...pair, other: hand }),
    ).rejects.toThrow(/no such series/);
  });

  it("are stated with a reason, which names nobody", async () => {
    const { clock, set } = await twoFiles(false);
    await expect(set({ ...stated(3), reason: "" })).rejects.toThrow(/Say how you know it/);
    await expect(set({ ...stated(3), reason: "Abendroth said so" })).rejects.toMatchObject({
      cause: { code: "invalid", field: "method.reason" },
    });
    await set(stated(3));
    expect((await clock()).inForce?.how).toBe("Stated: Read from the room's clock.");
  });
});
