import { describe, expect, it } from "vitest";
import type { Actor } from "../src/access/service";
import { renewFirstAccountCode } from "../src/account/service";
import { emptyImagingRecord } from "../src/imaging/schema";
import { downloadRelease } from "../src/release/service";
import { appRouter } from "../src/root-router";
import { openTestCore, testDatabaseKinds } from "../src/testing";
import { commaMap, journeyFile, markersFromZero, readyContent, readyStudy, stated } from "./ready-study";

const byPath = appRouter._def.procedures as unknown as Record<string, { _def: { type: string } }>;
const mutations = Object.keys(byPath).filter((path) => byPath[path]?._def.type === "mutation");

/** Mutations by transport only, for the size of their input: they read and change nothing. */
const changesNothing = ["sourceFile.preview"];

type Callable = (input: unknown) => Promise<Record<string, never>>;

describe.each(testDatabaseKinds())("the audit trail on $name", (kind) => {
  it("gets an entry from every single mutation, with who, what and where", async () => {
    const test = await openTestCore(kind);
    const { prisma } = test.core.database;
    const driven = new Set<string>();

    /** Calls a mutation and insists that it left an entry of its actor, in its study, beside the change. */
    async function drive<T = Record<string, never>>(
      actor: Actor | null,
      path: string,
      input: object,
    ): Promise<T> {
      const last = await prisma.auditEntry.findFirst({ orderBy: { id: "desc" } });
      const [noun = "", verb = ""] = path.split(".");
      const nouns = test.caller(actor) as unknown as Record<string, Record<string, Callable>>;
      const call = nouns[noun]?.[verb];
      if (call === undefined) throw new Error(`no procedure ${path}`);
      const result = await call(input);
      const entries = await prisma.auditEntry.findMany({ where: { id: { gt: last?.id ?? 0n } } });
      expect(entries.length, `${path} leaves an entry`).toBeGreaterThan(0);
      for (const entry of entries) {
        expect(entry.action).not.toBe("");
        expect(entry.subjectId).not.toBe("");
        if (actor !== null) expect(entry.actorId, path).toBe(actor.userId);
        if ("studyId" in input) expect(entry.studyId, path).toBe(input.studyId);
      }
      driven.add(path);
      return result as T;
    }

    const code = await renewFirstAccountCode(test.core);
    await drive(null, "account.createFirst", {
      code,
      name: "First",
      email: "a@example.org",
      password: "four words in a row",
    });

    const study = await readyStudy(test);
    const { studyId, lead } = study;
    const as = <T = Record<string, never>>(path: string, input: object) =>
      drive<T>(lead, path, { studyId, ...input });

    await drive(lead, "study.create", { title: "Another study" });
    await as("study.update", { revision: 1, title: "A title", summary: "", smallestGroup: 2 });

    const invited = await as<{ token: string }>("team.invite", { email: "b@example.org", role: "analyst" });
    await drive(null, "account.acceptInvitation", {
      token: invited.token,
      name: "B",
      password: "four words in a row",
    });
    const person = await test.person("C");
    const other = await as<{ token: string }>("team.invite", { email: person.email, role: "observer" });
    await drive(person, "account.joinStudy", { token: other.token });
    const unused = await as<{ invitationId: string }>("team.invite", {
      email: "d@example.org",
      role: "observer",
    });
    await as("team.revokeInvitation", { invitationId: unused.invitationId });
    await as("team.changeRole", { userId: person.userId, role: "analyst" });
    await as("team.remove", { userId: person.userId });

    const draft = await as<{ protocolId: string; revision: number }>("protocol.startDraft", {});
    await as("protocol.discardDraft", draft);
    const next = await as<{ protocolId: string; revision: number }>("protocol.startDraft", {});
    const saved = await as<{ revision: number }>("protocol.saveDraft", {
      ...next,
      content: readyContent,
    });
    await as("protocol.putInForce", { protocolId: next.protocolId, revision: saved.revision });

    const form = await as<{ formId: string; revision: number }>("consent.startForm", {});
    await as("consent.discardForm", form);
    const text = await as<{ formId: string; revision: number }>("consent.startForm", {});
    const { title, permissions } = await study.call.consent.form({ studyId, formId: text.formId });
    const written = await as<{ revision: number }>("consent.saveForm", {
      ...text,
      title,
      text: "Invented.",
      permissions,
    });
    await as("consent.putFormInForce", { formId: text.formId, revision: written.revision });

    const bodies = [
      { heightCm: 171, massKg: 64 },
      { heightCm: 172, massKg: 65 },
    ];
    const trialIds: string[] = [];
    for (const [index, body] of bodies.entries()) {
      const volunteer = await as<{ volunteerId: string; revision: number; code: string }>(
        "volunteer.register",
        {
          sex: "female",
          birthYear: 1990,
        },
      );
      const { volunteerId } = volunteer;
      const { revision, code: ownCode } = await study.call.volunteer.get({ studyId, volunteerId });
      await as("volunteer.update", { volunteerId, revision, code: ownCode, sex: "female", birthYear: 1991 });
      const measuredOn = "2026-01-15";
      const wrong = await as<{ bodyMeasuresId: string }>("volunteer.addBodyMeasures", {
        volunteerId,
        bodyMeasures: { measuredOn, ...body, massKg: 60 },
      });
      await as("volunteer.removeBodyMeasures", {
        volunteerId,
        bodyMeasuresId: wrong.bodyMeasuresId,
        reason: "Mistyped.",
      });
      await as("volunteer.addBodyMeasures", { volunteerId, bodyMeasures: { measuredOn, ...body } });
      await as("identity.save", { volunteerId, revision: 0, name: "Ulvhild Sandvåg" });
      await as("identity.reveal", { volunteerId, reason: "To call her." });
      await as("consent.record", {
        volunteerId,
        formId: text.formId,
        signedAt: test.core.now().toISOString(),
        nameAsSigned: "Ulvhild Sandvåg",
        decisions: Object.fromEntries(permissions.map(({ key }) => [key, true])),
      });
      const planned = await as<{ trialId: string }>("trial.plan", {
        volunteerId,
        conditionKey: "gloves",
        occasion: 1,
      });
      const { revision: plannedRevision } = await study.call.trial.get({ studyId, trialId: planned.trialId });
      await as("trial.discard", { trialId: planned.trialId, revision: plannedRevision });

      const { trialId } = await as<{ trialId: string }>("trial.plan", {
        volunteerId,
        conditionKey: "bare",
        occasion: 1,
      });
      const at = async () => ({
        trialId,
        revision: (await study.call.trial.get({ studyId, trialId })).revision,
      });
      const room = {
        airTemperatureC: 23,
        meanRadiantTemperatureC: 23,
        relativeHumidityPct: 40,
        airSpeedMS: 0.1,
      };
      await as("trial.saveRoom", { ...(await at()), room });
      await as("imaging.save", { trialId, revision: 0, record: emptyImagingRecord() });
      const name = index === 0 ? "visit-bare-one.csv" : "visit-gloves-one.csv";
      const before = await prisma.auditEntry.count();
      const first = await study.upload(trialId, journeyFile(name));
      expect(await prisma.auditEntry.count(), "an upload leaves an entry").toBeGreaterThan(before);
      const file = async (sourceFileId: string) => ({
        sourceFileId,
        revision: (await study.call.sourceFile.proposal({ studyId, sourceFileId })).revision,
      });
      await as("sourceFile.remove", { ...(await file(first.sourceFileId)), reason: "The wrong file." });
      const { sourceFileId } = await study.upload(trialId, journeyFile(name));
      await as("sourceFile.read", { ...(await file(sourceFileId)), columnMap: commaMap() });
      await as("sourceFile.setOffset", { ...(await file(sourceFileId)), method: stated(0.5) });
      await as("sourceFile.takeBackOffset", await file(sourceFileId));
      await as("columnMap.readAgain", await file(sourceFileId));
      const kept = (await study.call.columnMap.list({ studyId })).rows[0];
      const map = { columnMapId: kept?.columnMapId ?? "", revision: kept?.revision ?? 0 };
      await as("columnMap.rename", { ...map, name: "The comma files" });
      if (index === 1) await as("columnMap.remove", { ...map, revision: map.revision + 1 });
      const shortened = new TextEncoder().encode(
        new TextDecoder().decode(journeyFile(name)).split("\n").slice(0, -5).join("\n"),
      );
      const { revision: replaced } = await file(sourceFileId);
      await study.upload(trialId, shortened, {
        replaces: { sourceFileId, revision: replaced, reason: "Exported once more." },
      });
      await as("sourceFile.putBack", { sourceFileId, reason: "The first export is the right one." });
      await as("trial.saveMarkers", { ...(await at()), markers: markersFromZero });
      await as("trial.markChecked", await at());
      await as("trial.accept", await at());
      await as("trial.setAside", { ...(await at()), reason: "The camera was moved." });
      await as("trial.reopen", { ...(await at()), reason: "It was not." });
      await as("trial.accept", await at());
      trialIds.push(trialId);
    }

    const settings = {
      schema: 1,
      outcome: { measure: "change", regionId: null },
      conditions: ["bare", "gloves"],
      occasion: 1,
      course: "temperature",
      level: 0.95,
    };
    const question = { comparisonId: null, revision: 0, name: "Question", settings };
    const comparison = await as<{ comparisonId: string }>("comparison.save", question);
    await as("comparison.answer", comparison);
    await as("comparison.remove", comparison);

    const wanted = { smallestGroup: 2, licence: "CC0-1.0" };
    await as("release.assess", wanted);
    const made = await as<{ releaseId: string }>("release.make", { ...wanted, reason: "For the test." });
    const before = await prisma.auditEntry.count();
    await downloadRelease(await study.scope("release.download"), made.releaseId);
    expect(await prisma.auditEntry.count(), "a download leaves an entry").toBe(before + 1);

    const { volunteerId } = await prisma.trial.findUniqueOrThrow({ where: { id: trialIds[0] ?? "" } });
    await as("consent.withdraw", {
      volunteerId,
      permission: null,
      effectiveAt: test.core.now().toISOString(),
    });

    expect(mutations.filter((path) => !driven.has(path) && !changesNothing.includes(path))).toEqual([]);
    // Whatever was done to a person, the trail does not say who it is.
    const trail = JSON.stringify(await prisma.auditEntry.findMany(), (_, value: unknown) =>
      typeof value === "bigint" ? value.toString() : value,
    );
    expect(trail).not.toMatch(/Ulvhild|Sandvåg/);
    await test.close();
  });

  it("keeps nothing of a change whose entry cannot be written", async () => {
    const test = await openTestCore(kind);
    const lead = await test.person("Lead");
    const studyId = await test.study(lead, "Before");
    await test.core.database.runScript(`
      create function refuse_entry() returns trigger language plpgsql as $$ begin raise exception 'no entry'; end $$;
      create trigger refuse_entries before insert on audit_entry for each row execute function refuse_entry();`);
    const change = { studyId, revision: 1, title: "After", summary: "", smallestGroup: 3 };
    await expect(test.caller(lead).study.update(change)).rejects.toThrow();
    expect((await test.core.database.prisma.study.findUniqueOrThrow({ where: { id: studyId } })).title).toBe(
      "Before",
    );
    await test.close();
  });
});
