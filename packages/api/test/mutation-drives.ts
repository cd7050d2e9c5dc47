import type { Actor, ActorSession } from "../src/access/service";
import { renewFirstAccountCode } from "../src/account/service";
import { auditExportInput } from "../src/audit/schema";
import { exportAuditTrail } from "../src/audit-export/service";
import { newId } from "../src/identifiers";
import { emptyImagingRecord } from "../src/imaging/schema";
import { invitationQuestions, invitationTexts } from "../src/invitation-text/schema";
import { exportOwnDataByStaff } from "../src/own-data/service";
import { downloadRelease } from "../src/release/service";
import type { ReadScope } from "../src/scope";
import { firstContent } from "../src/screening-set/policy";
import { openPaper, receiveScan } from "../src/signed-paper/service";
import type { TestCore } from "../src/testing";
import { receiveSourceFile } from "../src/upload/service";
import { faultyTrial } from "./adjusted-file";
import {
  chunksOf,
  commaMap,
  journeyFile,
  markersFromZero,
  type ReadyStudy,
  readyContent,
  readyStudy,
  stated,
} from "./ready-study";
import { answersTo, putScreeningInForce } from "./screened-study";
import { codeNow, withSecondFactor } from "./second-factor-codes";

/**
 * How every mutation is driven once, with success: by the path of its procedure, or by the name of its route. A drive makes
 * what it needs through the API and says what is then called with what. `audit-completeness.test.ts` fails for a
 * mutation that has none.
 */

export interface World {
  readonly test: TestCore;
  /** One study for all drives that do not need another, made at the first call. */
  study(): Promise<ReadyStudy>;
}

export interface Step {
  /** Who calls; the lead investigator unless said otherwise, null for nobody who is signed in. */
  readonly actor?: Actor | null;
  readonly input: Readonly<Record<string, unknown>>;
  /** For a route, which is no procedure: what it calls, once it has found out who asks. */
  readonly call?: (scope: ReadScope, input: Readonly<Record<string, unknown>>) => Promise<unknown>;
}

export type Drive = (world: World) => Promise<Step>;

const measuredOn = "2026-01-15";
const password = "four words in a row";
const bodyMeasures = { measuredOn, heightCm: 171, massKg: 64 };
const reason = "For a test.";
const mask = { kind: "mask", fromS: 10, toS: 20, series: null } as const;
const settings = {
  schema: 1,
  outcome: { measure: "change", regionId: null },
  conditions: ["bare", "gloves"] as [string, string],
  occasion: 1,
  course: "temperature",
  level: 0.95,
} as const;
const wanted = { smallestGroup: 2, licence: "CC0-1.0" } as const;

/** A drive in the common study: the input is given its `studyId`. */
const inStudy =
  (prepare: (study: ReadyStudy, test: TestCore) => Promise<Readonly<Record<string, unknown>>>): Drive =>
  async ({ study, test }) => {
    const own = await study();
    return { input: { studyId: own.studyId, ...(await prepare(own, test)) } };
  };

/** The same in a study of its own, for what would be in the way of the others. */
const inOwnStudy =
  (prepare: (study: ReadyStudy, test: TestCore) => Promise<Readonly<Record<string, unknown>>>): Drive =>
  async ({ test }) => {
    const own = await readyStudy(test);
    return { actor: own.lead, input: { studyId: own.studyId, ...(await prepare(own, test)) } };
  };

const always = (input: Readonly<Record<string, unknown>>) => inStudy(async () => input);

async function protocolDraft({ call, studyId }: ReadyStudy) {
  const newest = (await call.protocol.list({ studyId }))[0];
  if (newest?.state === "draft") return { protocolId: newest.protocolId, revision: newest.revision };
  const { protocolId, revision } = await call.protocol.startDraft({ studyId });
  return { protocolId, revision };
}

async function formDraft({ call, studyId }: ReadyStudy) {
  const newest = (await call.consent.forms({ studyId }))[0];
  if (newest?.state === "draft") return { formId: newest.formId, revision: newest.revision };
  const { formId, revision } = await call.consent.startForm({ studyId });
  return { formId, revision };
}

async function recorded(study: ReadyStudy) {
  const { volunteerId } = await study.volunteer();
  await study.call.volunteer.addBodyMeasures({ studyId: study.studyId, volunteerId, bodyMeasures });
  const made = await recordedTrialOf(study, volunteerId);
  return { volunteerId, ...made };
}

async function paperRecord({ call, studyId, volunteer }: ReadyStudy) {
  const { volunteerId } = await volunteer();
  const { history } = await call.consent.ofVolunteer({ studyId, volunteerId });
  return { volunteerId, recordId: history[0]?.id ?? "" };
}

async function linkToSign({ call, studyId, stranger }: ReadyStudy) {
  const { volunteerId } = await stranger();
  return call.volunteerLink.make({ studyId, volunteerId, purpose: "sign" });
}

/** The link, and the code of the volunteer whose page it opens. */
async function linkToOwnPage({ call, studyId, volunteer }: ReadyStudy) {
  const { volunteerId, code } = await volunteer();
  const { token } = await call.volunteerLink.make({ studyId, volunteerId, purpose: "own" });
  return { token, code };
}

const invitation = Object.fromEntries(invitationQuestions.map((question) => [question, "Invented."]));

async function invitedByLink(study: ReadyStudy) {
  const { studyId, call } = study;
  const { revision } = await call.invitationText.get({ studyId });
  await call.invitationText.save({ studyId, revision, texts: invitationTexts.parse(invitation) });
  const { volunteerId } = await study.stranger();
  const { token } = await call.volunteerLink.make({ studyId, volunteerId, purpose: "invitation" });
  return { token };
}

const preferences = {
  operator: "female",
  companionPresent: true,
  noFace: false,
  clothing: "",
  other: "",
} as const;

async function setDraft({ call, studyId }: ReadyStudy) {
  const newest = (await call.screening.sets({ studyId }))[0];
  if (newest?.state === "draft") return { setId: newest.setId, revision: newest.revision };
  const { setId, revision } = await call.screening.startSet({ studyId });
  return { setId, revision };
}

/** A study of its own: a screening in force would stop the trials of the others. */
async function screened(study: ReadyStudy, test: TestCore) {
  const { volunteerId } = await study.volunteer();
  const set = await putScreeningInForce(study);
  const answered = { volunteerId, setId: set.setId, answeredOn: test.core.now().toISOString().slice(0, 10) };
  return { ...answered, answers: answersTo(set.content, ["heart"]) };
}

const inventedScan = new TextEncoder().encode("%PDF-1.7 an invented scan");

let files = 0;

/** The file of a journey with other bytes each time, since no file is in a study twice: its last value has a digit more. */
function ownFile(): Uint8Array {
  files++;
  return new TextEncoder().encode(
    `${new TextDecoder().decode(journeyFile("visit-bare-one.csv")).trimEnd()}${files}\n`,
  );
}

async function recordedTrialOf(study: ReadyStudy, volunteerId: string) {
  const { studyId, call } = study;
  const trialId = await study.plan(volunteerId);
  const { sourceFileId } = await study.upload(trialId, ownFile());
  await call.sourceFile.read({ studyId, sourceFileId, revision: 1, columnMap: commaMap() });
  const { revision } = await call.trial.get({ studyId, trialId });
  await call.trial.saveMarkers({ studyId, trialId, revision, markers: markersFromZero });
  return { trialId, sourceFileId };
}

async function trialAt({ call, studyId }: ReadyStudy, trialId: string) {
  return { trialId, revision: (await call.trial.get({ studyId, trialId })).revision };
}

async function fileAt({ call, studyId }: ReadyStudy, sourceFileId: string) {
  return { sourceFileId, revision: (await call.sourceFile.proposal({ studyId, sourceFileId })).revision };
}

async function planned(study: ReadyStudy) {
  const { volunteerId } = await study.volunteer();
  return trialAt(study, await study.plan(volunteerId));
}

async function accepted(study: ReadyStudy) {
  const { trialId, volunteerId } = await recorded(study);
  await study.call.trial.accept({ studyId: study.studyId, ...(await trialAt(study, trialId)) });
  return { trialId, volunteerId };
}

async function keptMap(study: ReadyStudy) {
  await recorded(study);
  const row = (await study.call.columnMap.list({ studyId: study.studyId })).rows[0];
  return { columnMapId: row?.columnMapId ?? "", revision: row?.revision ?? 0 };
}

async function savedComparison(study: ReadyStudy) {
  const { comparisonId } = await study.call.comparison.save({
    studyId: study.studyId,
    comparisonId: null,
    revision: 0,
    name: "A question",
    settings,
  });
  return { comparisonId };
}

async function invited({ call, studyId }: ReadyStudy, email: string) {
  return call.team.invite({ studyId, email, role: "observer" });
}

/** A study of its own with two volunteers that can be released together. */
async function releasable(test: TestCore) {
  const study = await readyStudy(test);
  await accepted(study);
  await accepted(study);
  await study.call.study.update({
    studyId: study.studyId,
    revision: 1,
    title: "A title",
    summary: "",
    smallestGroup: 2,
  });
  return study;
}

async function withFinding(study: ReadyStudy) {
  const { volunteerId } = await study.volunteer();
  files++;
  const { trialId, sourceFileId } = await faultyTrial(study, volunteerId, { stepC: 0.8, seed: 1000 + files });
  const { files: shown } = await study.call.quality.ofTrial({ studyId: study.studyId, trialId });
  return { trialId, sourceFileId, findingKey: shown[0]?.findings[0]?.key ?? "" };
}

async function adjusted(study: ReadyStudy) {
  const { trialId, sourceFileId } = await recorded(study);
  const { revision: trialRevision } = await trialAt(study, trialId);
  const { adjustmentId } = await study.call.quality.adjust({
    studyId: study.studyId,
    sourceFileId,
    trialRevision,
    settings: mask,
    reason,
  });
  return { trialId, sourceFileId, adjustmentId };
}

async function replacedFile(study: ReadyStudy) {
  const { trialId, sourceFileId } = await recorded(study);
  const { revision } = await fileAt(study, sourceFileId);
  await study.upload(trialId, ownFile(), { replaces: { sourceFileId, revision, reason } });
  return sourceFileId;
}

/** A session in the database, begun now. */
async function sessionOf(test: TestCore, actor: Actor): Promise<ActorSession> {
  const id = newId();
  const provedAt = test.core.now();
  const expiresAt = new Date(provedAt.getTime() + 12 * 3600_000);
  await test.core.database.prisma.session.create({
    data: { id, token: newId(), userId: actor.userId, expiresAt, createdAt: provedAt },
  });
  return { id, provedAt };
}

async function signedInPerson(test: TestCore): Promise<Actor> {
  const person = await test.person("Somebody who is signed in");
  return { ...person, session: await sessionOf(test, person) };
}

export const drives: Readonly<Record<string, Drive>> = {
  "account.createFirst": async ({ test }) => {
    // Comes first: it is open only while no account exists.
    const code = await renewFirstAccountCode(test.core);
    return { actor: null, input: { code, name: "First", email: "first@example.org", password } };
  },
  "account.acceptInvitation": async ({ study }) => {
    const { token } = await invited(await study(), "new@example.org");
    return { actor: null, input: { token, name: "New", password } };
  },
  "account.joinStudy": async ({ test, study }) => {
    const actor = await test.person("Somebody with an account");
    return { actor, input: { token: (await invited(await study(), actor.email)).token } };
  },

  "session.end": async ({ test }) => {
    const actor = await signedInPerson(test);
    return { actor, input: { sessionId: actor.session?.id } };
  },
  "session.endOthers": async ({ test }) => {
    const actor = await signedInPerson(test);
    await sessionOf(test, actor);
    return { actor, input: {} };
  },
  "session.prove": async ({ test }) => {
    const actor = await signedInPerson(test);
    const { prisma } = test.core.database;
    const { password: passwords } = await test.core.auth.$context;
    const hash = await passwords.hash(password);
    const { userId } = actor;
    await prisma.account.create({
      data: { id: newId(), accountId: userId, providerId: "credential", userId, password: hash },
    });
    return { actor, input: { password } };
  },

  "secondFactor.begin": async ({ test }) => ({ actor: await signedInPerson(test), input: {} }),
  "secondFactor.confirm": async ({ test }) => {
    const actor = await signedInPerson(test);
    const { secret } = await test.caller(actor).secondFactor.begin();
    return { actor, input: { code: codeNow(test, secret) } };
  },
  "secondFactor.renewRecoveryCodes": async ({ test }) => {
    const { actor, recoveryCodes } = await withSecondFactor(test, await signedInPerson(test));
    return { actor, input: { code: recoveryCodes[0] } };
  },
  "secondFactor.remove": async ({ test }) => {
    const { actor, recoveryCodes } = await withSecondFactor(test, await signedInPerson(test));
    return { actor, input: { code: recoveryCodes[0] } };
  },

  "study.create": async () => ({ input: { title: "Another study" } }),
  "study.update": inStudy(async ({ call, studyId }) => {
    const { revision } = await call.study.get({ studyId });
    return { revision, title: "Another title", summary: "In words.", smallestGroup: 4 };
  }),

  "study.requireSecondFactor": inStudy(async ({ lead, call }, test) => {
    if ((await call.secondFactor.state()).inForceSince === null) await withSecondFactor(test, lead);
    return { required: true };
  }),

  "team.invite": always({ email: "somebody@example.org", role: "analyst" }),
  "team.revokeInvitation": inStudy(async (study) => {
    const { invitationId } = await invited(study, "nobody@example.org");
    return { invitationId };
  }),
  "team.changeRole": inStudy(async ({ studyId }, test) => {
    const { userId } = await test.member(studyId, "A member", "observer");
    return { userId, role: "analyst" };
  }),
  "team.remove": inStudy(async ({ studyId }, test) => {
    const { userId } = await test.member(studyId, "Another member", "observer");
    return { userId };
  }),

  "protocol.startDraft": inOwnStudy(async () => ({})),
  "protocol.saveDraft": inStudy(async (study) => ({
    ...(await protocolDraft(study)),
    content: { ...readyContent, exerciseLoad: "As hard as it goes." },
  })),
  "protocol.discardDraft": inStudy((study) => protocolDraft(study)),
  "protocol.putInForce": inOwnStudy((study) => protocolDraft(study)),

  "volunteer.register": always({ sex: "female", birthYear: 1990 }),
  "volunteer.update": inStudy(async (study) => {
    const { volunteerId, code } = await study.volunteer();
    return { volunteerId, revision: 1, code, sex: "male", birthYear: 1991 };
  }),
  "volunteer.addBodyMeasures": inStudy(async (study) => {
    const { volunteerId } = await study.volunteer();
    return { volunteerId, bodyMeasures };
  }),
  "volunteer.removeBodyMeasures": inStudy(async ({ call, studyId, volunteer }) => {
    const { volunteerId } = await volunteer();
    const { bodyMeasuresId } = await call.volunteer.addBodyMeasures({ studyId, volunteerId, bodyMeasures });
    return { volunteerId, bodyMeasuresId, reason };
  }),

  "identity.save": inStudy(async (study) => {
    const { volunteerId } = await study.volunteer();
    return { volunteerId, revision: 0, name: "Ulvhild Sandvåg" };
  }),
  "identity.reveal": inStudy(async ({ call, studyId, volunteer }) => {
    const { volunteerId } = await volunteer();
    await call.identity.save({ studyId, volunteerId, revision: 0, name: "Ulvhild Sandvåg" });
    return { volunteerId, reason };
  }),

  "identity.find": inStudy(async () => ({ text: "Ulvhild Sandvåg" })),

  "retention.savePlan": inOwnStudy(async () => ({
    revision: 0,
    endedOn: "2026-01-31",
    afterEnd: { identity: 0, recordings: 1, "consent records": null },
    afterWithdrawal: { identity: null, recordings: null, "consent records": null },
  })),
  "retention.remove": inOwnStudy(async ({ call, studyId, volunteer }) => {
    const { volunteerId } = await volunteer();
    await call.identity.save({ studyId, volunteerId, revision: 0, name: "Ulvhild Sandvåg" });
    const months = { identity: 0, recordings: null, "consent records": null };
    await call.retention.savePlan({
      studyId,
      revision: 0,
      endedOn: "2020-01-31",
      afterEnd: months,
      afterWithdrawal: months,
    });
    return { volunteerId, part: "identity", reason };
  }),
  "erasure.erase": inStudy(async (study) => {
    const { volunteerId, code } = await study.volunteer();
    return { volunteerId, code, reason };
  }),

  "consent.startForm": inOwnStudy(async () => ({})),
  "consent.saveForm": inStudy(async (study) => {
    const draft = await formDraft(study);
    const { title, permissions } = await study.call.consent.form({
      studyId: study.studyId,
      formId: draft.formId,
    });
    return { ...draft, title, permissions, text: "Invented." };
  }),
  "consent.discardForm": inStudy((study) => formDraft(study)),
  "consent.putFormInForce": inOwnStudy((study) => formDraft(study)),
  "consent.record": inStudy(async ({ call, studyId, stranger }, test) => {
    const { volunteerId } = await stranger();
    const form = (await call.consent.forms({ studyId })).find(({ state }) => state === "in_force");
    const { permissions } = await call.consent.form({ studyId, formId: form?.formId ?? "" });
    return {
      volunteerId,
      formId: form?.formId,
      signedAt: test.core.now().toISOString(),
      nameAsSigned: "Ulvhild Sandvåg",
      decisions: Object.fromEntries(permissions.map(({ key }) => [key, true])),
    };
  }),
  "consent.withdraw": inStudy(async (study, test) => {
    const { volunteerId } = await study.volunteer();
    return { volunteerId, permission: null, effect: "stop", effectiveAt: test.core.now().toISOString() };
  }),
  "consent.countersign": inStudy(async (study) => ({
    recordId: (await paperRecord(study)).recordId,
  })),
  "consent.addScan": async ({ study }) => {
    const own = await study();
    return {
      actor: own.lead,
      input: { studyId: own.studyId, recordId: (await paperRecord(own)).recordId },
      call: (scope, input) =>
        receiveScan(scope, { recordId: String(input.recordId), body: chunksOf(inventedScan) }),
    };
  },
  "consent.openPaper": async ({ study }) => {
    const own = await study();
    const { recordId } = await paperRecord(own);
    const scope = await own.scope("consent.addScan");
    const { paperId } = await receiveScan(scope, { recordId, body: chunksOf(inventedScan) });
    return {
      actor: own.lead,
      input: { studyId: own.studyId, paperId },
      call: (reading, input) => openPaper(reading, { paperId: String(input.paperId) }),
    };
  },

  "invitationText.save": inOwnStudy(async () => ({ revision: 0, texts: invitation })),
  "preference.save": inStudy(async ({ stranger }) => ({
    volunteerId: (await stranger()).volunteerId,
    revision: 0,
    ...preferences,
  })),
  "screening.startSet": inOwnStudy(async () => ({})),
  "screening.saveSet": inStudy(async (study) => ({ ...(await setDraft(study)), content: firstContent })),
  "screening.discardSet": inStudy((study) => setDraft(study)),
  "screening.putSetInForce": inOwnStudy((study) => setDraft(study)),
  "screening.record": inOwnStudy(screened),
  "screening.recordClearance": inOwnStudy(async (study, test) => {
    const { volunteerId, ...input } = await screened(study, test);
    const { recordId } = await study.call.screening.record({ studyId: study.studyId, volunteerId, ...input });
    const decided = { given: true, decidedOn: input.answeredOn, validUntil: null };
    return {
      volunteerId,
      recordId,
      ...decided,
      name: "Ottilie Brandner",
      profession: "physician",
      limits: "",
    };
  }),
  "screening.showAnswers": inOwnStudy(async (study) => ({
    volunteerId: (await study.volunteer()).volunteerId,
  })),
  "forYou.invitation": async ({ study }) => ({ actor: null, input: await invitedByLink(await study()) }),
  "forYou.statePreferences": async ({ study }) => ({
    actor: null,
    input: { ...(await invitedByLink(await study())), revision: 0, ...preferences },
  }),

  "volunteerLink.make": inStudy(async ({ stranger }) => ({
    volunteerId: (await stranger()).volunteerId,
    purpose: "sign",
  })),
  "volunteerLink.revoke": inStudy(async (study) => ({ linkId: (await linkToSign(study)).linkId })),
  "forYou.read": async ({ study }) => ({
    actor: null,
    input: { token: (await linkToSign(await study())).token },
  }),
  "forYou.sign": async ({ study, test }) => {
    const { token } = await linkToSign(await study());
    const { form } = await test.caller(null).forYou.read({ token });
    return {
      actor: null,
      input: {
        token,
        formId: form.formId,
        decisions: Object.fromEntries(form.permissions.map(({ key }) => [key, true])),
        name: "Ulvhild Sandvåg",
        strokes: null,
        confirmed: true,
      },
    };
  },
  "forYou.own": async ({ study }) => ({
    actor: null,
    input: { token: (await linkToOwnPage(await study())).token },
  }),
  "forYou.withdraw": async ({ study }) => ({
    actor: null,
    input: { token: (await linkToOwnPage(await study())).token, permission: null, effect: "exclude" },
  }),
  "forYou.erase": async ({ study }) => ({ actor: null, input: await linkToOwnPage(await study()) }),

  "trial.plan": inStudy(async (study) => {
    const { volunteerId } = await study.volunteer();
    return { volunteerId, conditionKey: "gloves", occasion: 1 };
  }),
  "trial.saveRoom": inStudy(async (study) => ({
    ...(await planned(study)),
    room: { airTemperatureC: 23, meanRadiantTemperatureC: 23, relativeHumidityPct: 40, airSpeedMS: 0.1 },
  })),
  "trial.saveMarkers": inStudy(async (study) => {
    const { trialId } = await recorded(study);
    return {
      ...(await trialAt(study, trialId)),
      markers: markersFromZero.map((marker) => ({ ...marker, atS: marker.atS / 2 })),
    };
  }),
  "trial.discard": inStudy((study) => planned(study)),
  "trial.markChecked": inStudy(async (study) => trialAt(study, (await recorded(study)).trialId)),
  "trial.accept": inStudy(async (study) => trialAt(study, (await recorded(study)).trialId)),
  "trial.setAside": inStudy(async (study) => ({ ...(await planned(study)), reason })),
  "trial.reopen": inStudy(async (study) => ({
    ...(await trialAt(study, (await accepted(study)).trialId)),
    reason,
  })),

  "imaging.save": inStudy(async (study) => {
    const { trialId } = await planned(study);
    return { trialId, revision: 0, record: emptyImagingRecord() };
  }),

  "sourceFile.preview": inStudy(async (study) => ({
    sourceFileId: (await recorded(study)).sourceFileId,
    columnMap: commaMap(),
  })),
  "sourceFile.read": inStudy(async (study) => {
    const { trialId } = await planned(study);
    const { sourceFileId } = await study.upload(trialId, ownFile());
    return { ...(await fileAt(study, sourceFileId)), columnMap: commaMap() };
  }),
  "sourceFile.setOffset": inStudy(async (study) => ({
    ...(await fileAt(study, (await recorded(study)).sourceFileId)),
    method: stated(0.5),
  })),
  "sourceFile.takeBackOffset": inStudy(async (study) => {
    const { sourceFileId } = await recorded(study);
    const at = await fileAt(study, sourceFileId);
    await study.call.sourceFile.setOffset({ studyId: study.studyId, ...at, method: stated(0.5) });
    return fileAt(study, sourceFileId);
  }),
  "sourceFile.putBack": inStudy(async (study) => ({ sourceFileId: await replacedFile(study), reason })),
  "sourceFile.remove": inStudy(async (study) => ({
    ...(await fileAt(study, (await recorded(study)).sourceFileId)),
    reason,
  })),

  "columnMap.readAgain": inStudy(async (study) => fileAt(study, (await recorded(study)).sourceFileId)),
  "columnMap.rename": inStudy(async (study) => ({ ...(await keptMap(study)), name: "The comma files" })),
  "columnMap.remove": inStudy((study) => keptMap(study)),

  "quality.decide": inStudy(async (study) => {
    const { sourceFileId, findingKey } = await withFinding(study);
    return { sourceFileId, findingKey, decision: "accepted" };
  }),
  "quality.clearDecision": inStudy(async (study) => {
    const { sourceFileId, findingKey } = await withFinding(study);
    const { studyId, call } = study;
    await call.quality.decide({ studyId, sourceFileId, findingKey, decision: "accepted" });
    return { sourceFileId, findingKey };
  }),
  "quality.preview": inStudy(async (study) => ({
    sourceFileId: (await recorded(study)).sourceFileId,
    settings: mask,
  })),
  "quality.adjust": inStudy(async (study) => {
    const { trialId, sourceFileId } = await recorded(study);
    const { revision: trialRevision } = await trialAt(study, trialId);
    return { sourceFileId, trialRevision, settings: mask, reason };
  }),
  "quality.undo": inStudy(async (study) => ({
    adjustmentId: (await adjusted(study)).adjustmentId,
    revision: 1,
  })),
  "quality.redo": inStudy(async (study) => {
    const { adjustmentId } = await adjusted(study);
    await study.call.quality.undo({ studyId: study.studyId, adjustmentId, revision: 1 });
    return { adjustmentId, revision: 2 };
  }),
  "quality.reorder": inStudy(async (study) => {
    const { trialId, sourceFileId, adjustmentId } = await adjusted(study);
    const { revision: trialRevision } = await trialAt(study, trialId);
    const second = await study.call.quality.adjust({
      studyId: study.studyId,
      sourceFileId,
      trialRevision,
      settings: { ...mask, fromS: 30, toS: 40 },
      reason,
    });
    const { revision } = await trialAt(study, trialId);
    return { sourceFileId, trialRevision: revision, order: [second.adjustmentId, adjustmentId] };
  }),

  "comparison.save": inStudy(async (study) => ({
    ...(await savedComparison(study)),
    revision: 1,
    name: "The question in other words",
    settings,
  })),
  "comparison.answer": inStudy((study) => savedComparison(study)),
  "comparison.remove": inStudy((study) => savedComparison(study)),

  "release.assess": async ({ test }) => {
    const { lead, studyId } = await releasable(test);
    return { actor: lead, input: { studyId, ...wanted } };
  },
  "release.make": async ({ test }) => {
    const { lead, studyId } = await releasable(test);
    return { actor: lead, input: { studyId, ...wanted, reason } };
  },

  "file.upload": async ({ study }) => {
    const own = await study();
    const { trialId } = await planned(own);
    const bytes = ownFile();
    return {
      input: { studyId: own.studyId, trialId },
      call: (scope, input) =>
        receiveSourceFile(scope, {
          trialId: String(input.trialId),
          name: "visit.csv",
          declaredBytes: bytes.length,
          declaredSha256: null,
          replaces: null,
          body: chunksOf(bytes),
        }),
    };
  },
  "release.download": async ({ test }) => {
    const { lead, studyId, call } = await releasable(test);
    const { releaseId } = await call.release.make({ studyId, ...wanted, reason });
    return {
      actor: lead,
      input: { studyId, releaseId },
      call: (scope, input) => downloadRelease(scope, String(input.releaseId)),
    };
  },
  "ownData.export": async ({ study }) => {
    const { studyId, volunteer } = await study();
    return {
      input: { studyId, volunteerId: (await volunteer()).volunteerId },
      call: (scope, input) => exportOwnDataByStaff(scope, String(input.volunteerId)),
    };
  },
  "audit.export": async ({ study }) => ({
    input: { studyId: (await study()).studyId, format: "csv" },
    call: (scope, input) => exportAuditTrail(scope, auditExportInput.parse(input), (action) => action),
  }),
};
