import type { TestCore } from "../src/testing";
import { commaMap, journeyFile, type ReadyStudy, recordedTrial } from "./ready-study";

export type Inputs = Readonly<Record<string, unknown>>;

/** The records that an input names, beside its study. */
export function recordsNamedIn(input: Inputs): string[] {
  return Object.keys(input).filter((key) => /Id$/.test(key) && key !== "studyId" && input[key] !== null);
}

const settings = {
  schema: 1,
  outcome: { measure: "change", regionId: null },
  conditions: ["bare", "gloves"],
  occasion: 1,
  course: "temperature",
  level: 0.95,
};
const chest = { series: "chest-left-anterior", statistic: "mean" };

/** Records of the study that queries can be asked about. */
export async function ids(study: ReadyStudy, test: TestCore): Promise<Inputs> {
  const { studyId, call } = study;
  const { volunteerId } = await study.volunteer();
  const bodyMeasures = { measuredOn: "2026-01-15", heightCm: 171, massKg: 64 };
  await call.volunteer.addBodyMeasures({ studyId, volunteerId, bodyMeasures });
  const { trialId, sourceFileId } = await recordedTrial(study, volunteerId);
  // The same recording with one digit more, since no file is in a study twice: another file of the trial.
  // A zero more, which no count of the drives makes: no file is in a study twice.
  const again = `${new TextDecoder().decode(journeyFile("visit-bare-one.csv")).trimEnd()}0\n`;
  const second = await study.upload(trialId, new TextEncoder().encode(again));
  await call.sourceFile.read({
    studyId,
    sourceFileId: second.sourceFileId,
    revision: 1,
    columnMap: commaMap(),
  });
  const { comparisonId } = await call.comparison.save({
    studyId,
    comparisonId: null,
    revision: 0,
    name: "A question",
    settings: { ...settings, schema: 1, conditions: ["bare", "gloves"], course: "temperature" },
  });
  const protocols = await call.protocol.list({ studyId });
  const forms = await call.consent.forms({ studyId });
  const maps = await call.columnMap.list({ studyId });
  return {
    volunteerId,
    trialId,
    sourceFileId,
    otherFileId: second.sourceFileId,
    comparisonId,
    protocolId: protocols[0]?.protocolId,
    formId: forms[0]?.formId,
    columnMapId: maps.rows[0]?.columnMapId,
    userId: (await test.member(studyId, "A member", "observer")).userId,
  };
}

const nothing = () => ({});
const of =
  (...keys: readonly string[]) =>
  (known: Inputs) =>
    Object.fromEntries(keys.map((key) => [key, known[key]]));

/** What every query of a study is asked with, beside the study, so that it is answered to whoever may ask it. */
export const queryInputs: Readonly<Record<string, (known: Inputs) => Inputs>> = {
  "study.get": nothing,
  "study.overview": nothing,
  "team.list": nothing,
  "protocol.list": nothing,
  "protocol.get": of("protocolId"),
  "volunteer.list": nothing,
  "volunteer.get": of("volunteerId"),
  "erasure.ofVolunteer": of("volunteerId"),
  "retention.due": nothing,
  "consent.forms": nothing,
  "consent.form": of("formId"),
  "consent.askAgain": nothing,
  "consent.ofVolunteer": of("volunteerId"),
  "invitationText.get": nothing,
  "preference.ofVolunteer": of("volunteerId"),
  "screening.sets": nothing,
  "screening.ofVolunteer": of("volunteerId", "trialId"),
  "volunteerLink.list": of("volunteerId"),
  "trial.list": nothing,
  "trial.get": of("trialId"),
  "trial.course": of("trialId"),
  "trial.measures": of("trialId"),
  "imaging.ofTrial": of("trialId"),
  "sourceFile.proposal": of("sourceFileId"),
  "sourceFile.clock": of("sourceFileId"),
  "sourceFile.estimateOffset": (known) => ({
    ...of("sourceFileId", "otherFileId")(known),
    own: chest,
    other: chest,
  }),
  "sourceFile.rowsNotUsed": of("sourceFileId"),
  "sourceFile.provenance": of("sourceFileId"),
  "columnMap.list": nothing,
  "columnMap.files": of("columnMapId"),
  "quality.ofTrial": of("trialId"),
  "quality.summary": of("trialId"),
  "quality.ofStudy": nothing,
  "comparison.list": nothing,
  "comparison.get": of("comparisonId"),
  "comparison.outcomes": nothing,
  "comparison.preview": () => ({ settings }),
  "methods.get": nothing,
  "release.list": nothing,
  "audit.list": nothing,
  "audit.choices": nothing,
};
