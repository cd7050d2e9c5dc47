import { csvRow, ZipStream } from "@acral/release";
import type { StudyAccess } from "../access/service";
import { notFound } from "../app-error";
import type { AuditDraft } from "../audit/schema";
import { permissionsOfForm } from "../consent-form/service";
import { decisions as keptDecisions } from "../consent-record/schema";
import type { Core } from "../core";
import { identityInClear, requireNotErased } from "../identity/service";
import { statedPreferences } from "../preference/service";
import { conditionName } from "../protocol/policy";
import { protocolContent } from "../protocol/schema";
import { type ReadScope, type Transaction, writeInStudy } from "../scope";
import { screeningsInClear } from "../screening/service";
import { paperInClear, papersOf } from "../signed-paper/service";
import { plainFileName, readmeOf } from "./policy";

/** What the export needs of a scope: one that a volunteer's own link opened has it as well. */
export interface OwnDataScope {
  readonly db: Transaction;
  readonly core: Core;
  readonly now: Date;
  readonly access: Pick<StudyAccess, "studyId">;
}

export interface OwnData {
  readonly fileName: string;
  /** A ZIP archive, written as it is read. */
  readonly body: AsyncIterable<Uint8Array>;
}

type Cell = string | number | null;

/**
 * Everything that is kept about a volunteer, for the volunteer: JSON, tables, the original files and what was signed. It asks
 * for no permission, since it goes to nobody but the person whom it is about. The audit draft belongs to the transaction that
 * gathers it; bytes of files are read when they are sent.
 */
export async function exportOwnData(
  scope: OwnDataScope,
  volunteerId: string,
): Promise<{ readonly result: OwnData; readonly audit: readonly [AuditDraft] }> {
  const { db, access, now } = scope;
  const { studyId } = access;
  const volunteer = await db.volunteer.findFirst({
    where: { id: volunteerId, studyId },
    include: {
      study: { select: { title: true } },
      bodyMeasures: { orderBy: { measuredOn: "asc" } },
      consentRecords: { include: { form: true }, orderBy: { signedAt: "asc" } },
      withdrawals: { orderBy: { effectiveAt: "asc" } },
      releases: { include: { release: { select: { number: true, madeAt: true, reason: true } } } },
    },
  });
  if (volunteer === null) throw notFound("volunteer");
  requireNotErased(volunteer);
  const identity = await identityInClear(scope, volunteerId);
  const trials = await db.trial.findMany({
    where: { studyId, volunteerId },
    include: {
      protocol: { select: { version: true, content: true } },
      markers: { orderBy: { atS: "asc" } },
      sourceFiles: { orderBy: { uploadedAt: "asc" } },
      measures: { orderBy: [{ name: "asc" }, { regionId: "asc" }] },
      imagingRecord: true,
      adjustments: { orderBy: { position: "asc" } },
      findings: { orderBy: { place: "asc" } },
    },
    orderBy: [{ conditionKey: "asc" }, { occasion: "asc" }, { attempt: "asc" }],
  });
  const trail = await db.auditEntry.findMany({
    where: { studyId, volunteerId },
    orderBy: { sequence: "asc" },
    select: { at: true, action: true, subjectLabel: true, reason: true },
  });
  const papers = await papersOf(scope, volunteerId);
  const screenings = await screeningsInClear(scope, volunteerId);
  const { inWords: _, revision: __, ...preferences } = await statedPreferences(scope, volunteerId);
  const labelled = trials.map((trial, index) => ({
    ...trial,
    place: index + 1,
    condition: conditionName(protocolContent.parse(trial.protocol.content), trial.conditionKey),
  }));
  const files = labelled.flatMap((trial) =>
    trial.sourceFiles.map((file, index) => ({
      path: `files/trial-${trial.place}/${index + 1}-${plainFileName(file.name)}`,
      sha256: file.sha256,
      trial: trial.place,
      name: file.name,
      sizeBytes: file.sizeBytes,
      state: file.state,
      uploadedAt: file.uploadedAt.toISOString(),
    })),
  );
  const whole = {
    study: volunteer.study.title,
    asOf: now.toISOString(),
    code: volunteer.code,
    sex: volunteer.sex,
    birthYear: volunteer.birthYear,
    registeredAt: volunteer.registeredAt.toISOString(),
    identity,
    bodyMeasures: volunteer.bodyMeasures.map(({ measuredOn, heightCm, massKg, skinfoldsMm }) => ({
      measuredOn: measuredOn.toISOString().slice(0, 10),
      heightCm,
      massKg,
      skinfoldsMm,
    })),
    consents: volunteer.consentRecords.map((record) => ({
      signedAt: record.signedAt.toISOString(),
      form: { title: record.form.title, version: record.form.version, text: record.form.text },
      decisions: permissionsOfForm(record.form).map(({ key, label }) => ({
        permission: label,
        allowed: keptDecisions.parse(record.decisions)[key] ?? null,
      })),
    })),
    preferences,
    screenings: screenings.map(({ version, answeredOn, content, answers, clearances }) => ({
      version,
      answeredOn,
      answers: [...content.rules, ...content.questions].map(({ key, text }) => ({
        text,
        answer: answers[key] ?? null,
      })),
      // The professional's name is the professional's own.
      clearances: clearances.map(({ given, decidedOn, validUntil, professional }) => ({
        given,
        decidedOn,
        validUntil,
        profession: professional.profession,
        limits: professional.limits,
      })),
    })),
    withdrawals: volunteer.withdrawals.map(({ permission, effectiveAt, reason }) => ({
      permission: permission ?? "all",
      effectiveAt: effectiveAt.toISOString(),
      reason,
    })),
    trials: labelled.map((trial) => ({
      trial: trial.place,
      condition: trial.condition,
      occasion: trial.occasion,
      attempt: trial.attempt,
      state: trial.state,
      plannedFor: trial.plannedFor?.toISOString() ?? null,
      setAsideReason: trial.setAsideReason,
      room: {
        airTemperatureC: trial.airTemperatureC,
        meanRadiantTemperatureC: trial.meanRadiantTemperatureC,
        relativeHumidityPct: trial.relativeHumidityPct,
        airSpeedMS: trial.airSpeedMS,
      },
      markers: trial.markers.map(({ name, phaseKey, atS }) => ({ name, phaseKey, atS })),
      imaging: trial.imagingRecord?.content ?? null,
      findings: trial.findings.map(({ kind, fromS, toS, meaning }) => ({ kind, fromS, toS, meaning })),
      adjustments: trial.adjustments.map(({ kind, settings, reason, state }) => ({
        kind,
        settings,
        reason,
        state,
      })),
      measures: trial.measures.map(({ name, regionId, value, unit, unavailable }) => ({
        name,
        regionId,
        value,
        unit,
        unavailable,
      })),
    })),
    files: files.map(({ sha256, ...file }) => ({ ...file, sha256 })),
    papers,
    releases: volunteer.releases.map(({ release }) => ({
      number: release.number,
      madeAt: release.madeAt.toISOString(),
      reason: release.reason,
    })),
    /** What was done with it, and why where a reason was asked. Who of the team did it is not yours alone. */
    whatWasDone: trail.map(({ at, action, subjectLabel, reason }) => ({
      at: at.toISOString(),
      action,
      about: subjectLabel,
      reason,
    })),
  };
  const day = now.toISOString().slice(0, 10);
  const texts: Record<string, string> = {
    "README.txt": readmeOf(volunteer.code, volunteer.study.title, day),
    "own-data.json": `${JSON.stringify(whole, null, 2)}\n`,
    "body-measures.csv": table(
      ["measured on", "height (cm)", "mass (kg)"],
      whole.bodyMeasures.map(({ measuredOn, heightCm, massKg }) => [measuredOn, heightCm, massKg]),
    ),
    "consents.csv": table(
      ["on", "what", "permission", "allowed"],
      [
        ...whole.consents.flatMap(({ signedAt, form, decisions }) =>
          decisions.map(({ permission, allowed }): Cell[] => [
            signedAt,
            `signed version ${form.version}`,
            permission,
            allowed === null ? null : allowed ? "yes" : "no",
          ]),
        ),
        ...whole.withdrawals.map(({ effectiveAt, permission }): Cell[] => [
          effectiveAt,
          "taken back",
          permission,
          "no",
        ]),
      ],
    ),
    "trials.csv": table(
      ["trial", "condition", "occasion", "state", "planned for", "air temperature (°C)"],
      whole.trials.map(({ trial, condition, occasion, state, plannedFor, room }) => [
        trial,
        condition,
        occasion,
        state,
        plannedFor,
        room.airTemperatureC,
      ]),
    ),
    "measures.csv": table(
      ["trial", "measure", "region", "value", "unit"],
      whole.trials.flatMap(({ trial, measures }) =>
        measures.map(({ name, regionId, value, unit }): Cell[] => [trial, name, regionId, value, unit]),
      ),
    ),
  };
  const scans: { path: string; bytes: Uint8Array }[] = [];
  for (const [index, paper] of papers.entries()) {
    scans.push({
      path: `consent-papers/${index + 1}-${paper.kind}.${ending(paper.mediaType)}`,
      bytes: await paperInClear(scope, paper.paperId),
    });
  }
  return {
    result: {
      fileName: `own-data-${plainFileName(volunteer.code)}-${day}.zip`,
      body: packed(scope.core, texts, files, scans),
    },
    audit: [
      {
        action: "ownData.export",
        subject: { kind: "volunteer", id: volunteerId, label: volunteer.code },
        after: { trials: trials.length, files: files.length, papers: scans.length },
      },
    ],
  };
}

/** The export for a person of the team, who hands it to the volunteer. */
export function exportOwnDataByStaff(scope: ReadScope, volunteerId: string): Promise<OwnData> {
  return writeInStudy(scope, (write) => exportOwnData(write, volunteerId));
}

const endings: Readonly<Record<string, string>> = {
  "application/pdf": "pdf",
  "image/png": "png",
  "image/jpeg": "jpg",
  "application/json": "json",
};
const ending = (mediaType: string) => endings[mediaType] ?? "bin";

/** The byte order mark lets spreadsheet programs read the text as UTF-8. */
const table = (head: readonly string[], rows: readonly (readonly Cell[])[]) =>
  `\ufeff${[head, ...rows].map((row) => csvRow(row.map((cell) => (cell === null ? "" : String(cell))))).join("")}`;

/** So many bytes are sent at a time. */
const pieceBytes = 64 * 1024;

async function* packed(
  core: Core,
  texts: Readonly<Record<string, string>>,
  files: readonly { readonly path: string; readonly sha256: string }[],
  papers: readonly { readonly path: string; readonly bytes: Uint8Array }[],
): AsyncGenerator<Uint8Array> {
  const zip = new ZipStream();
  function* ready(atLeast = pieceBytes) {
    const piece = zip.take(atLeast);
    if (piece !== null) yield piece;
  }
  for (const [path, text] of Object.entries(texts)) {
    const file = zip.startFile(path);
    file.write(text);
    file.end();
    yield* ready();
  }
  for (const { path, bytes } of papers) {
    const file = zip.startFile(path);
    file.writeBytes(bytes);
    file.end();
    yield* ready();
  }
  for (const { path, sha256 } of files) {
    const file = zip.startFile(path);
    for await (const chunk of core.blobs.read(sha256)) {
      file.writeBytes(chunk);
      yield* ready();
    }
    file.end();
  }
  zip.end();
  yield* ready(0);
}
