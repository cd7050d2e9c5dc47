import { readFileSync } from "node:fs";
import type { ColumnMap } from "@acral/ingest";
import type { Actor } from "../src/access/service";
import { emptyContent } from "../src/protocol/policy";
import { alwaysStop, type DraftContent } from "../src/protocol/schema";
import { openScope, type ReadScope } from "../src/scope";
import type { TestCore } from "../src/testing";
import { receiveSourceFile, type Upload } from "../src/upload/service";

/** A study with a protocol and a consent form in force, in which trials can be planned. Everything in it is invented. */
export interface ReadyStudy {
  readonly studyId: string;
  readonly lead: Actor;
  readonly call: ReturnType<TestCore["caller"]>;
  /** A volunteer who permits everything. */
  volunteer(): Promise<{ volunteerId: string; code: string }>;
  /** A volunteer who has signed nothing. */
  stranger(): Promise<{ volunteerId: string; code: string }>;
  consent(volunteerId: string, refused?: readonly string[]): Promise<void>;
  plan(volunteerId: string, conditionKey?: string, occasion?: number): Promise<string>;
  scope(action?: Parameters<typeof openScope>[3], actor?: Actor): Promise<ReadScope>;
  upload(trialId: string, bytes: Uint8Array, change?: Partial<Upload>): ReturnType<typeof receiveSourceFile>;
}

/** Rest to 120 s, exercise to 420 s, recovery to 600 s: the phases of the hand-written files of the journeys. */
const phases = [
  { key: "sit", name: "Sitting", kind: "rest", durationS: 120 },
  { key: "step", name: "Stepping", kind: "exercise", durationS: 300 },
  { key: "stand", name: "Standing", kind: "recovery", durationS: 180 },
] as const;

export const recordedRegions = [
  "chest-left-anterior",
  "upper-arm-left-lateral",
  "forearm-left-anterior",
  "hand-left-dorsal",
  "thigh-left-anterior",
  "calf-left-posterior",
] as const;

/** The markers of the protocol's phases, from the file's zero. */
export const markersFromZero = [
  { name: "Sitting", phaseKey: "sit", atS: 0 },
  { name: "Stepping", phaseKey: "step", atS: 120 },
  { name: "Standing", phaseKey: "stand", atS: 420 },
  { name: "End", phaseKey: "$end", atS: 600 },
];

/** A stated offset with its reason, as a person enters it. */
export const stated = (offsetS: number) => ({
  kind: "stated" as const,
  offsetS,
  reason: "Read from the room's clock.",
});

export function journeyFile(name: string): Uint8Array {
  return new Uint8Array(readFileSync(new URL(`../../../e2e/files/${name}`, import.meta.url)));
}

/** How the comma dialect of the journeys' files is to be read, decided by hand. */
export function commaMap(): ColumnMap {
  const names = [
    "time",
    "left chest (mean °C)",
    "left upper arm lateral (mean °C)",
    "left forearm anterior (mean °C)",
    "left hand dorsal (mean °C)",
    "left thigh anterior (mean °C)",
    "left calf posterior (mean °C)",
  ];
  return {
    version: 1,
    sheet: null,
    encoding: "utf-8",
    delimiter: ",",
    decimalMark: ".",
    digitGrouping: null,
    quote: '"',
    headerLines: [1],
    firstDataLine: 2,
    layout: "wide",
    time: {
      columns: [0],
      format: "date and time",
      unit: "s",
      dateOrder: "year-month-day",
      frameRate: null,
      zone: null,
      date: null,
      clock: null,
      serialEpoch: 1900,
    },
    columns: names.map((name, index) => {
      const regionId = recordedRegions[index - 1];
      return regionId === undefined
        ? { index, name, use: { kind: "time" as const }, unit: null }
        : { index, name, use: { kind: "region" as const, regionId, statistic: "mean" as const }, unit: "°C" };
    }),
    series: [],
    missing: { words: [], sentinels: [] },
    unreadable: "missing",
    decidedBy: "person",
  };
}

export async function* chunksOf(bytes: Uint8Array, size = 700): AsyncGenerator<Uint8Array> {
  for (let at = 0; at < bytes.length; at += size) yield bytes.subarray(at, at + size);
}

/** A protocol that can be put in force. */
export const readyContent: DraftContent = {
  ...emptyContent(),
  phases: [...phases],
  conditions: [
    { key: "bare", name: "bare hands", description: "" },
    { key: "gloves", name: "insulated gloves", description: "" },
  ],
  occasions: 2,
  regions: recordedRegions.map((regionId) => ({ regionId, statistic: "mean" })),
  roomLimits: {
    ...emptyContent().roomLimits,
    airTemperatureC: { min: 22, max: 24 },
    airSpeedMS: { max: 0.2 },
  },
  stopCriteria: [alwaysStop, "Dizziness."],
};

export async function readyStudy(test: TestCore): Promise<ReadyStudy> {
  const lead = await test.person("Lead");
  const studyId = await test.study(lead);
  const call = test.caller(lead);
  const draft = await call.protocol.startDraft({ studyId });
  const saved = await call.protocol.saveDraft({
    studyId,
    protocolId: draft.protocolId,
    revision: draft.revision,
    content: readyContent,
  });
  await call.protocol.putInForce({ studyId, protocolId: draft.protocolId, revision: saved.revision });
  const form = await call.consent.startForm({ studyId });
  const { title, permissions } = await call.consent.form({ studyId, formId: form.formId });
  const text = "An invented text for a test.";
  const written = await call.consent.saveForm({
    studyId,
    formId: form.formId,
    revision: form.revision,
    title,
    text,
    permissions,
  });
  await call.consent.putFormInForce({ studyId, formId: form.formId, revision: written.revision });

  const register = () => call.volunteer.register({ studyId, sex: "female", birthYear: 1990 });
  const consent = async (volunteerId: string, refused: readonly string[] = []) => {
    await call.consent.record({
      studyId,
      volunteerId,
      formId: form.formId,
      signedAt: test.core.now().toISOString(),
      nameAsSigned: "Quendolin Abendroth",
      decisions: Object.fromEntries(permissions.map(({ key }) => [key, !refused.includes(key)])),
    });
  };
  const scope: ReadyStudy["scope"] = (action = "file.upload", actor = lead) =>
    openScope(test.core, actor, studyId, action);
  return {
    studyId,
    lead,
    call,
    consent,
    scope,
    async volunteer() {
      const { volunteerId, code } = await register();
      await consent(volunteerId);
      return { volunteerId, code };
    },
    async stranger() {
      const { volunteerId, code } = await register();
      return { volunteerId, code };
    },
    async plan(volunteerId, conditionKey = "bare", occasion = 1) {
      return (await call.trial.plan({ studyId, volunteerId, conditionKey, occasion })).trialId;
    },
    async upload(trialId, bytes, change = {}) {
      return receiveSourceFile(await scope(), {
        trialId,
        name: "visit.csv",
        declaredBytes: bytes.length,
        declaredSha256: null,
        body: chunksOf(bytes),
        replaces: null,
        ...change,
      });
    },
  };
}

/** A trial with one file that was read, ready to be accepted. */
export async function recordedTrial(study: ReadyStudy, volunteerId: string, file = "visit-bare-one.csv") {
  const { studyId, call } = study;
  const trialId = await study.plan(volunteerId);
  const { sourceFileId } = await study.upload(trialId, journeyFile(file));
  await call.sourceFile.read({ studyId, sourceFileId, revision: 1, columnMap: commaMap() });
  const { revision } = await call.trial.get({ studyId, trialId });
  await call.trial.saveMarkers({ studyId, trialId, revision, markers: markersFromZero });
  return { trialId, sourceFileId };
}
