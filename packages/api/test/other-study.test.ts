import { TRPCError } from "@trpc/server";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { isStudyAction } from "../src/access/policy";
import { inIdentityRole } from "../src/identity/service";
import { emptyImagingRecord } from "../src/imaging/schema";
import { downloadRelease } from "../src/release/service";
import { appRouter } from "../src/root-router";
import { firstContent } from "../src/screening-set/policy";
import { openTestCore, type TestCore, testDatabaseKinds } from "../src/testing";
import {
  commaMap,
  markersFromZero,
  type ReadyStudy,
  readyContent,
  readyStudy,
  recordedTrial,
  stated,
} from "./ready-study";

/** By path, as the router holds them at run time, with the schemas of their inputs. */
const byPath = appRouter._def.procedures as unknown as Record<
  string,
  { _def: { inputs: readonly { shape?: Record<string, unknown> }[] } }
>;

/** The names of the records that a procedure is told of, beside the study. */
function recordsNamedBy(path: string): string[] {
  const keys = byPath[path]?._def.inputs.flatMap(({ shape }) => Object.keys(shape ?? {})) ?? [];
  return [...new Set(keys)].filter((key) => /Id$/.test(key) && key !== "studyId");
}

type Callable = (input: unknown) => Promise<unknown>;

const reason = "Somebody from another study";
const revision = 1;
const room = { airTemperatureC: 23, meanRadiantTemperatureC: 23, relativeHumidityPct: 40, airSpeedMS: 0.1 };
const bodyMeasures = { measuredOn: "2026-01-15", heightCm: 171, massKg: 64 };
const settings = {
  schema: 1 as const,
  outcome: { measure: "change", regionId: null },
  conditions: ["bare", "gloves"] as [string, string],
  occasion: 1,
  course: "temperature" as const,
  level: 0.95,
};

const adjustment = { kind: "time shift" as const, byS: 1 };

/** What a procedure needs beside the record that it is about. */
const besides: Record<string, object> = {
  "team.revokeInvitation": {},
  "team.changeRole": { role: "observer" },
  "team.remove": {},
  "protocol.get": {},
  "protocol.saveDraft": { revision, content: readyContent },
  "protocol.discardDraft": { revision },
  "protocol.putInForce": { revision },
  "volunteer.get": {},
  "volunteer.update": { revision, code: "X1", sex: "male", birthYear: 1990 },
  "volunteer.addBodyMeasures": { bodyMeasures },
  "volunteer.removeBodyMeasures": { reason },
  "identity.reveal": { reason },
  "erasure.ofVolunteer": {},
  "retention.remove": { part: "identity", reason },
  "erasure.erase": { code: "V001", reason },
  "identity.save": { revision: 0, name: "Somebody" },
  "consent.form": {},
  "consent.saveForm": {
    revision,
    title: "T",
    text: "T",
    permissions: [{ key: "take-part", label: "T", required: true }],
  },
  "consent.discardForm": { revision },
  "consent.putFormInForce": { revision },
  "consent.ofVolunteer": {},
  "consent.record": { signedAt: "2026-01-15T10:00:00Z", nameAsSigned: "Somebody", decisions: {} },
  "consent.countersign": {},
  "preference.ofVolunteer": {},
  "preference.save": {
    revision: 0,
    operator: "none",
    companionPresent: true,
    noFace: true,
    clothing: "",
    other: "Taken over",
  },
  "screening.saveSet": { revision, content: firstContent },
  "screening.discardSet": { revision },
  "screening.putSetInForce": { revision },
  "screening.ofVolunteer": {},
  "screening.record": { answeredOn: "2026-01-15", answers: {} },
  "screening.recordClearance": {
    given: true,
    decidedOn: "2026-01-15",
    validUntil: null,
    name: "Somebody",
    profession: "physician",
    limits: "",
  },
  "screening.showAnswers": {},
  "volunteerLink.list": {},
  "volunteerLink.make": { purpose: "sign" },
  "volunteerLink.revoke": {},
  "consent.withdraw": { permission: null, effect: "exclude", effectiveAt: "2026-01-15T10:00:00Z" },
  "trial.get": {},
  "trial.plan": { conditionKey: "gloves", occasion: 2 },
  "trial.saveRoom": { revision, room },
  "trial.saveMarkers": { revision, markers: markersFromZero },
  "trial.discard": { revision },
  "trial.course": {},
  "trial.measures": {},
  "trial.markChecked": { revision },
  "trial.accept": { revision },
  "trial.setAside": { revision, reason },
  "trial.reopen": { revision, reason },
  "imaging.ofTrial": {},
  "imaging.save": { revision: 0, record: emptyImagingRecord() },
  "sourceFile.proposal": {},
  "sourceFile.preview": { columnMap: commaMap() },
  "sourceFile.read": { revision, columnMap: commaMap() },
  "sourceFile.clock": {},
  "sourceFile.estimateOffset": {
    own: { series: "heart rate", statistic: null },
    otherFileId: "another",
    other: { series: "heart rate", statistic: null },
  },
  "sourceFile.setOffset": { revision, method: stated(1) },
  "sourceFile.takeBackOffset": { revision },
  "sourceFile.putBack": { reason },
  "sourceFile.rowsNotUsed": {},
  "sourceFile.remove": { revision, reason },
  "sourceFile.provenance": {},
  "columnMap.files": {},
  "columnMap.readAgain": { revision },
  "columnMap.rename": { revision, name: "Taken over" },
  "columnMap.remove": { revision },
  "quality.ofTrial": {},
  "quality.summary": {},
  "quality.decide": { findingKey: "a-key", decision: "dismissed", note: "Not ours" },
  "quality.clearDecision": { findingKey: "a-key" },
  "quality.preview": { settings: adjustment },
  "quality.adjust": { trialRevision: revision, settings: adjustment, reason },
  "quality.undo": { revision },
  "quality.redo": { revision },
  "quality.reorder": { trialRevision: revision, order: [] },
  "comparison.get": {},
  "comparison.save": { revision, name: "Taken over", settings },
  "comparison.answer": {},
  "comparison.remove": {},
};

describe("the procedures that are told of a record", () => {
  it("are all tried from another study below", () => {
    const told = Object.keys(byPath).filter((path) => isStudyAction(path) && recordsNamedBy(path).length > 0);
    expect(told.sort()).toEqual(Object.keys(besides).sort());
  });
});

describe.each(testDatabaseKinds())("a lead investigator of another study, on $name", (kind) => {
  let test: TestCore;
  let other: ReadyStudy;
  let ids: Record<string, string>;
  let releaseId: string;
  let before: unknown;

  /** Every row of the first study. */
  async function everything(studyId: string) {
    const { prisma } = test.core.database;
    const where = { studyId };
    return Promise.all([
      prisma.membership.findMany({ where, orderBy: { userId: "asc" } }),
      prisma.invitation.findMany({ where }),
      prisma.protocol.findMany({ where, orderBy: { id: "asc" } }),
      prisma.volunteer.findMany({ where }),
      inIdentityRole({ db: prisma, core: test.core }, (db) => db.identity.findMany({ where })),
      prisma.bodyMeasures.findMany({ where }),
      prisma.preference.findMany({ where }),
      prisma.screeningSet.findMany({ where }),
      prisma.consentForm.findMany({ where, orderBy: { id: "asc" } }),
      prisma.consentRecord.findMany({ where }),
      prisma.withdrawal.findMany({ where }),
      prisma.volunteerLink.findMany({ where }),
      prisma.trial.findMany({ where }),
      prisma.imagingRecord.findMany({ where }),
      prisma.marker.findMany({ where, orderBy: { id: "asc" } }),
      prisma.sourceFile.findMany({ where }),
      prisma.columnMap.findMany({ where }),
      prisma.fileOffset.findMany({ where }),
      prisma.qualityCheck.findMany({ where }),
      prisma.finding.findMany({ where, orderBy: { id: "asc" } }),
      prisma.findingDecision.findMany({ where }),
      prisma.adjustment.findMany({ where }),
      prisma.comparison.findMany({ where }),
      prisma.auditEntry.count({ where }),
    ]);
  }

  let studyId: string;
  beforeAll(async () => {
    test = await openTestCore(kind);
    const study = await readyStudy(test);
    ({ studyId } = study);
    const { call } = study;
    other = await readyStudy(test);
    const { volunteerId } = await study.volunteer();
    const measures = await call.volunteer.addBodyMeasures({ studyId, volunteerId, bodyMeasures });
    const { trialId, sourceFileId } = await recordedTrial(study, volunteerId);
    const comparison = await call.comparison.save({
      studyId,
      comparisonId: null,
      revision: 0,
      name: "Own",
      settings,
    });
    const { trialRevision } = await call.quality.ofTrial({ studyId, trialId });
    const adjusted = await call.quality.adjust({
      studyId,
      sourceFileId,
      trialRevision,
      settings: adjustment,
      reason: "The clock was late.",
    });
    const invitation = await call.team.invite({ studyId, email: "own@example.org", role: "analyst" });
    const member = await test.member(studyId, "Member", "analyst");
    releaseId = "a-release";
    await test.core.database.prisma.release.create({
      data: {
        id: releaseId,
        studyId,
        number: 1,
        reason: "For the test.",
        rule: {},
        report: {},
        sha256: "0".repeat(64),
        sizeBytes: 1,
        madeById: study.lead.userId,
      },
    });
    ids = {
      volunteerId,
      trialId,
      sourceFileId,
      adjustmentId: adjusted.adjustmentId,
      columnMapId: (await call.columnMap.list({ studyId })).rows[0]?.columnMapId ?? "",
      bodyMeasuresId: measures.bodyMeasuresId,
      comparisonId: comparison.comparisonId,
      invitationId: invitation.invitationId,
      userId: member.userId,
      protocolId: (await call.protocol.startDraft({ studyId })).protocolId,
      formId: (await call.consent.startForm({ studyId })).formId,
      setId: (await call.screening.startSet({ studyId })).setId,
      recordId: (await call.consent.ofVolunteer({ studyId, volunteerId })).history[0]?.id ?? "",
      linkId: (await call.volunteerLink.make({ studyId, volunteerId, purpose: "own" })).linkId,
    };
    before = await everything(studyId);
  });
  afterAll(() => test.close());

  it.each(Object.entries(besides))("finds nothing there by %s, and changes nothing", async (path, rest) => {
    const [noun = "", verb = ""] = path.split(".");
    const nouns = other.call as unknown as Record<string, Record<string, Callable>>;
    const named = Object.fromEntries(recordsNamedBy(path).map((key) => [key, ids[key]]));
    const refusal: unknown = await nouns[noun]?.[verb]?.({ studyId: other.studyId, ...named, ...rest }).then(
      () => "answered",
      (error: unknown) => (error instanceof TRPCError ? error.code : error),
    );
    expect(refusal).toBe("NOT_FOUND");
    expect(await everything(studyId)).toEqual(before);
  });

  it("finds no release, no entry of the audit trail and no row of a list there", async () => {
    await expect(downloadRelease(await other.scope("release.download"), releaseId)).rejects.toMatchObject({
      code: "not-found",
    });
    const { call } = other;
    const own = { studyId: other.studyId };
    const lists = [
      await call.audit.list(own),
      await call.volunteer.list(own),
      await call.trial.list(own),
      await call.quality.ofStudy(own),
      await call.comparison.list(own),
      await call.release.list(own),
      await call.team.list(own),
      await call.protocol.list(own),
      await call.consent.forms(own),
    ];
    for (const id of [...Object.values(ids), releaseId]) expect(JSON.stringify(lists)).not.toContain(id);
  });
});
