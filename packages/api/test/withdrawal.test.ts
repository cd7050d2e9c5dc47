import { strFromU8, unzipSync } from "fflate";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { ComparisonSettings } from "../src/comparison/schema";
import { differenceBetween } from "../src/consent-again/policy";
import { exportByLink } from "../src/own-withdrawal/service";
import { makeRelease } from "../src/release/service";
import { openTestCore, type TestCore, testDatabaseKinds } from "../src/testing";
import { chunksOf, journeyFile, type ReadyStudy, readyStudy, recordedTrial } from "./ready-study";

const settings: ComparisonSettings = {
  schema: 1,
  outcome: { measure: "change", regionId: "forearm-left-anterior" },
  conditions: ["bare", "gloves"],
  occasion: 1,
  course: "temperature",
  level: 0.95,
};
const share = "share-anonymised-numbers";
const question = { smallestGroup: 2, licence: "CC0-1.0" } as const;
const files = ["visit-bare-one.csv", "visit-gloves-one.csv"];

describe("what a newer consent form asks for beyond what was signed", () => {
  const item = (key: string, label = key, required = false) => ({ key, label, required });
  it("is what it adds, words otherwise, needs, and asks for no longer", () => {
    const signed = [item("take-part", "I take part.", true), item("keep", "Keep."), item("old", "Old.")];
    const newer = [
      item("take-part", "I take part.", true),
      item("keep", "Keep for ten years.", true),
      item("new", "New."),
    ];
    expect(differenceBetween(signed, newer)).toEqual({
      notAsked: ["New."],
      reworded: [{ was: "Keep.", is: "Keep for ten years." }],
      nowRequired: ["Keep for ten years."],
      dropped: ["Old."],
    });
    expect(Object.values(differenceBetween(signed, signed)).flat()).toEqual([]);
  });
});

describe.each(testDatabaseKinds())(
  "a withdrawal with a chosen effect on $name",
  { timeout: 120_000 },
  (kind) => {
    let test: TestCore;
    let study: ReadyStudy;
    let made = 0;

    beforeAll(async () => {
      test = await openTestCore(kind);
      study = await readyStudy(test);
      // Two who stay, so that releases can be made without whoever goes.
      await accepted();
      await accepted();
    }, 120_000);
    afterAll(() => test.close());

    /** Bytes of their own, since no file is in a study twice. */
    function ownFile(): Uint8Array {
      made++;
      const text = new TextDecoder().decode(journeyFile(files[0] ?? "")).trimEnd();
      return new TextEncoder().encode(`${text}${made}\n`);
    }

    /** A volunteer with one accepted trial and the link to the own page. */
    async function accepted() {
      const { studyId, call } = study;
      const volunteer = await study.volunteer();
      await call.volunteer.addBodyMeasures({
        studyId,
        volunteerId: volunteer.volunteerId,
        bodyMeasures: { measuredOn: "2026-01-15", heightCm: 172, massKg: 65, skinfoldsMm: null },
      });
      const upload = { ...study, upload: (trialId: string) => study.upload(trialId, ownFile()) };
      const { trialId } = await recordedTrial(upload, volunteer.volunteerId);
      const { revision } = await call.trial.get({ studyId, trialId });
      await call.trial.accept({ studyId, trialId, revision });
      const { token } = await call.volunteerLink.make({
        studyId,
        volunteerId: volunteer.volunteerId,
        purpose: "own",
      });
      return { ...volunteer, trialId, token };
    }

    const nobody = () => test.caller(null).forYou;
    const now = () => test.core.now().toISOString();
    const withdraw = (volunteerId: string, permission: string | null, effect: "stop" | "exclude") =>
      study.call.consent.withdraw({
        studyId: study.studyId,
        volunteerId,
        permission,
        effect,
        effectiveAt: now(),
      });
    const compared = async (code: string) => {
      const { answer } = await study.call.comparison.preview({ studyId: study.studyId, settings });
      return answer.missing.filter((item) => item.code === code && item.conditionKey === "bare").length === 0;
    };
    const offered = async (code: string) => {
      const { withoutPermission } = await study.call.release.assess({ studyId: study.studyId, ...question });
      return !withoutPermission.some((item) => item.code === code);
    };
    const told = (work: Promise<unknown>) =>
      work.then(
        () => "answered",
        (error: unknown) => (error instanceof Error ? error.message : String(error)),
      );

    it("is refused without one: nothing is chosen for anybody", async () => {
      const { volunteerId, token } = await accepted();
      const all = { studyId: study.studyId, volunteerId, permission: null, effectiveAt: now() };
      await expect(study.call.consent.withdraw(all as never)).rejects.toThrow(/Choose what happens/);
      await expect(nobody().withdraw({ token, permission: null } as never)).rejects.toThrow(
        /Choose what happens/,
      );
      expect(await study.call.consent.ofVolunteer({ studyId: study.studyId, volunteerId })).toMatchObject({
        gates: [{ shut: null }, { shut: null }, { shut: null }],
      });
    });

    it("stop only: nothing new, while what was accepted stays shown and compared; and no later release shares it", async () => {
      const { studyId, call } = study;
      const { volunteerId, code, trialId } = await accepted();
      await withdraw(volunteerId, null, "stop");
      await expect(study.plan(volunteerId, "gloves")).rejects.toThrow(/does not permit/);
      expect(await compared(code)).toBe(true);
      expect(await offered(code)).toBe(false);
      expect((await call.trial.course({ studyId, trialId })).traces.length).toBeGreaterThan(0);
      expect(await call.trial.get({ studyId, trialId })).toMatchObject({
        storedUse: true,
        consentMissing: expect.stringMatching(/Withdrawn on/),
      });
      const { gates, history } = await call.consent.ofVolunteer({ studyId, volunteerId });
      expect(gates.map(({ what, shut }) => [what, shut === null])).toEqual([
        ["record", false],
        ["use", true],
        ["release", false],
      ]);
      expect(history[0]).toMatchObject({ kind: "withdrawal", effect: "stop" });
      const trail = await call.audit.list({ studyId, action: "consent.withdraw", volunteerCode: code });
      expect(trail.entries[0]?.after).toMatchObject({ effect: expect.stringMatching(/^stop only/) });

      // Later the volunteer goes further, and then there is nothing left to take back.
      await withdraw(volunteerId, null, "exclude");
      expect(await compared(code)).toBe(false);
      await expect(call.trial.course({ studyId, trialId })).rejects.toThrow(/does not permit/);
      await expect(withdraw(volunteerId, null, "exclude")).rejects.toThrow(/nothing to withdraw/);
    });

    it("stop only of recording leaves the sharing of what is stored, and exclude takes it out of everything", async () => {
      const { volunteerId, code } = await accepted();
      await withdraw(volunteerId, "record-thermal-images", "stop");
      await expect(study.plan(volunteerId, "gloves")).rejects.toThrow(/does not permit/);
      expect([await compared(code), await offered(code)]).toEqual([true, true]);
      await withdraw(volunteerId, "record-thermal-images", "exclude");
      expect([await compared(code), await offered(code)]).toEqual([false, false]);
    });

    it.each(["stop", "exclude"] as const)(
      "%s of sharing: in no later release, and compared as before",
      async (effect) => {
        const { volunteerId, code } = await accepted();
        expect(await offered(code)).toBe(true);
        await withdraw(volunteerId, share, effect);
        expect([await compared(code), await offered(code)]).toEqual([true, false]);
        expect(await study.plan(volunteerId, "gloves")).toBeTypeOf("string");
      },
    );

    it("by the volunteer's own link holds at once, without an account, a reason or a password", async () => {
      const { studyId, call } = study;
      const { code, token, volunteerId } = await accepted();
      await nobody().withdraw({ token, permission: share, effect: "stop" });
      const own = await nobody().own({ token });
      expect(own.permissions.find(({ key }) => key === share)).toMatchObject({
        allowed: false,
        storedUse: true,
      });
      expect(await offered(code)).toBe(false);
      const trail = await call.audit.list({ studyId, action: "forYou.withdraw", volunteerCode: code });
      expect(trail.entries[0]).toMatchObject({ actorName: `volunteer ${code}, by link`, reason: null });
      const { history } = await call.consent.ofVolunteer({ studyId, volunteerId });
      expect(history[0]).toMatchObject({ by: "the volunteer, by link", effect: "stop" });
      const sign = await call.volunteerLink.make({ studyId, volunteerId, purpose: "sign" });
      const other = { token: sign.token, permission: null, effect: "stop" as const };
      await expect(nobody().withdraw(other)).rejects.toThrow(/cannot be used/);
    });

    it("erasure by the own link asks for the code, removes all of it, and the link opens nothing any more", async () => {
      const { studyId, call } = study;
      const { code, token, volunteerId } = await accepted();
      await expect(nobody().erase({ token, code: "V999" })).rejects.toThrow(/nothing was erased/);
      const erased = await nobody().erase({ token, code });
      expect(erased).toMatchObject({ code, releases: [], bytesGone: true });
      expect(await call.volunteer.get({ studyId, volunteerId })).toMatchObject({
        erasedAt: expect.any(String),
      });
      for (const work of [
        nobody().own({ token }),
        nobody().withdraw({ token, permission: null, effect: "stop" }),
        nobody().erase({ token, code }),
        exportByLink(test.core, { token }, ""),
      ]) {
        expect(await told(work)).toMatch(/This link cannot be used/);
      }
      const trail = await call.audit.list({ studyId, action: "erasure.erase", volunteerCode: code });
      expect(trail.entries[0]).toMatchObject({ actorName: `volunteer ${code}, by link` });
    });

    it("own data by the own link are handed out with an entry", async () => {
      const { code, token } = await accepted();
      const { body, fileName } = await exportByLink(test.core, { token }, "");
      const parts: Uint8Array[] = [];
      for await (const part of body) parts.push(part);
      const archive = unzipSync(new Uint8Array(Buffer.concat(parts)));
      expect(fileName).toContain(code);
      expect(JSON.parse(strFromU8(archive["own-data.json"] ?? new Uint8Array()))).toMatchObject({ code });
      const trail = await study.call.audit.list({
        studyId: study.studyId,
        action: "ownData.export",
        volunteerCode: code,
      });
      expect(trail.entries[0]).toMatchObject({ actorName: `volunteer ${code}, by link` });
    });

    describe("races", () => {
      it("two withdrawals at once: one takes, the other is told, and the stricter one holds", async () => {
        const same = await accepted();
        const answers = await Promise.all([
          told(nobody().withdraw({ token: same.token, permission: null, effect: "exclude" })),
          told(withdraw(same.volunteerId, null, "exclude")),
        ]);
        expect(answers.filter((answer) => answer === "answered")).toHaveLength(1);
        expect(answers.find((answer) => answer !== "answered")).toMatch(/nothing to withdraw/);
        const { prisma } = test.core.database;
        expect(await prisma.withdrawal.count({ where: { volunteerId: same.volunteerId } })).toBe(1);

        const other = await accepted();
        await Promise.all([
          told(nobody().withdraw({ token: other.token, permission: null, effect: "exclude" })),
          told(withdraw(other.volunteerId, null, "stop")),
        ]);
        expect(await compared(other.code)).toBe(false);
      });

      it("two erasures at once, and beside a withdrawal: one erases, nothing hangs, nothing is left", async () => {
        const { code, token, volunteerId } = await accepted();
        const answers = await Promise.all([
          told(nobody().erase({ token, code })),
          told(nobody().withdraw({ token, permission: null, effect: "stop" })),
          told(nobody().erase({ token, code })),
          told(study.call.erasure.erase({ studyId: study.studyId, volunteerId, code, reason: "A race" })),
        ]);
        expect([answers[0], answers[2], answers[3]].filter((answer) => answer === "answered")).toHaveLength(
          1,
        );
        for (const answer of answers) {
          expect(answer).toMatch(/^answered$|cannot be used|was erased/);
        }
        const { prisma } = test.core.database;
        const where = { volunteerId };
        expect(await prisma.withdrawal.count({ where })).toBe(0);
        expect(await prisma.volunteerLink.count({ where })).toBe(0);
        expect(await prisma.trial.count({ where })).toBe(0);
      });

      it.each(["withdraw", "erase"] as const)(
        "%s by link during an upload: the file is refused",
        async (what) => {
          const { code, token, volunteerId } = await accepted();
          const trialId = await study.plan(volunteerId, "gloves");
          const file = ownFile();
          async function* slowly() {
            yield* chunksOf(file);
            if (what === "erase") await nobody().erase({ token, code });
            else await nobody().withdraw({ token, permission: null, effect: "stop" });
          }
          await expect(study.upload(trialId, file, { body: slowly() })).rejects.toMatchObject({
            code: what === "erase" ? "not-found" : "consent-missing",
          });
          expect(await test.core.database.prisma.sourceFile.count({ where: { trialId } })).toBe(0);
        },
      );

      it.each(["withdraw", "erase"] as const)(
        "%s by link while a release is being made stops it, whether or not its bytes were written",
        async (what) => {
          const { code, token, volunteerId } = await accepted();
          const scope = await study.scope("release.make");
          const blobs = {
            ...test.core.blobs,
            async put(...given: Parameters<typeof test.core.blobs.put>) {
              const stored = await test.core.blobs.put(...given);
              if (what === "erase") await nobody().erase({ token, code });
              else await nobody().withdraw({ token, permission: share, effect: "stop" });
              return stored;
            },
          };
          const making = makeRelease(
            { ...scope, core: { ...scope.core, blobs } },
            { studyId: study.studyId, ...question, reason: "A race." },
          );
          await expect(making).rejects.toThrow(/changed while the release was being made/);
          const { prisma } = test.core.database;
          expect(await prisma.releaseVolunteer.count({ where: { volunteerId } })).toBe(0);
        },
      );

      it("withdrawals and releases at once: nobody is in a release that was made after their withdrawal", async () => {
        const goes = await accepted();
        const results = await Promise.allSettled([
          study.call.release.make({ studyId: study.studyId, ...question, reason: "A race." }),
          nobody().withdraw({ token: goes.token, permission: share, effect: "stop" }),
          study.call.release.make({ studyId: study.studyId, ...question, reason: "A race." }),
        ]);
        expect(results[1]?.status).toBe("fulfilled");
        const { prisma } = test.core.database;
        const entries = await prisma.auditEntry.findMany({
          where: { studyId: study.studyId, action: { in: ["release.make", "forYou.withdraw"] } },
          orderBy: { sequence: "asc" },
        });
        const taken = entries.findIndex((entry) => entry.volunteerId === goes.volunteerId);
        const later = entries.slice(taken + 1).map(({ subjectId }) => subjectId);
        const holding = await prisma.releaseVolunteer.count({
          where: { volunteerId: goes.volunteerId, releaseId: { in: later } },
        });
        expect([taken >= 0, holding]).toEqual([true, 0]);
      });
    });

    it("a new form version asks those again who take part by an older one, and the old one covers what it said", async () => {
      const own = await readyStudy(test);
      const { studyId, call } = own;
      const stays = await own.volunteer();
      const gone = await own.volunteer();
      await call.consent.withdraw({
        studyId,
        volunteerId: gone.volunteerId,
        permission: null,
        effect: "stop",
        effectiveAt: now(),
      });
      expect((await call.consent.askAgain({ studyId })).concerned).toEqual([]);
      const { formId, revision } = await call.consent.startForm({ studyId });
      const { title, text, permissions } = await call.consent.form({ studyId, formId });
      const more = { key: "keep-sound", label: "Sound may be kept.", required: false };
      const form = { studyId, formId, title, text, permissions: [...permissions, more] };
      const saved = await call.consent.saveForm({ ...form, revision });
      await call.consent.putFormInForce({ studyId, formId, revision: saved.revision });

      const asked = await call.consent.askAgain({ studyId });
      expect(asked).toMatchObject({
        version: 2,
        upToDate: 0,
        concerned: [
          { code: stays.code, signedVersion: 1, notAsked: ["Sound may be kept."], linkUntil: null },
        ],
      });
      const standing = await call.consent.ofVolunteer({ studyId, volunteerId: stays.volunteerId });
      expect(standing.permissions.find(({ key }) => key === "keep-sound")).toMatchObject({
        why: "not asked",
      });
      expect(standing.permissions.filter(({ allowed }) => allowed)).toHaveLength(permissions.length);

      const { token } = await call.volunteerLink.make({
        studyId,
        volunteerId: stays.volunteerId,
        purpose: "sign",
      });
      expect((await call.consent.askAgain({ studyId })).concerned[0]?.linkUntil).toBeTypeOf("string");
      const decisions = Object.fromEntries([...permissions, more].map(({ key }) => [key, true]));
      const signature = { name: "Quendolin Abendroth", strokes: null, confirmed: true as const };
      await nobody().sign({ token, formId, decisions, ...signature });
      expect(await call.consent.askAgain({ studyId })).toMatchObject({ concerned: [], upToDate: 1 });
    });

    // The last one, since it stops the clock.
    it("stop only from an earlier moment on does not cover what was accepted after it", async () => {
      const { studyId, call } = study;
      const own = await study.volunteer();
      const began = now();
      test.setNow(new Date(test.core.now().getTime() + 10 * 60_000));
      const upload = { ...study, upload: (trialId: string) => study.upload(trialId, ownFile()) };
      const { trialId } = await recordedTrial(upload, own.volunteerId);
      const { revision } = await call.trial.get({ studyId, trialId });
      await call.trial.accept({ studyId, trialId, revision });
      expect(await compared(own.code)).toBe(true);
      const given = { studyId, volunteerId: own.volunteerId, permission: null, effect: "stop" as const };
      await call.consent.withdraw({ ...given, effectiveAt: began });
      expect(await compared(own.code)).toBe(false);
    });
  },
);
