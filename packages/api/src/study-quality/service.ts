import { permissionsOf } from "../consent/service";
import { permissionKeys } from "../consent-form/policy";
import { kindOf, refreshFindings } from "../finding/service";
import { conditionName } from "../protocol/policy";
import { type ProtocolContent, protocolContent } from "../protocol/schema";
import { protocolInForce } from "../protocol/service";
import { type Standing, standingOf } from "../quality/policy";
import type { QualityOfStudyInput } from "../quality/schema";
import type { ReadScope } from "../scope";
import { type CountedFinding, countByKind, inOrderOf, largestOf } from "./policy";

/** How long one answer may compute findings that are stale or not there yet; the rest waits for the next one. */
const budgetMs = 3000;

interface FileQuality {
  readonly sourceFileId: string;
  readonly fileName: string;
  readonly day: string;
  readonly dayFromUpload: boolean;
  readonly layout: string | null;
  readonly findings: readonly CountedFinding[];
  readonly missingShare: number | null;
}

/** Quality over the trials of a study, so that an instrument that fails shows as a pattern across days. */
export async function qualityOfStudy(scope: ReadScope, input: QualityOfStudyInput) {
  const { studyId } = scope.access;
  const trials = await scope.db.trial.findMany({
    where: {
      studyId,
      state: { not: "set_aside" },
      ...(input.conditionKey === undefined ? {} : { conditionKey: input.conditionKey }),
      ...(input.volunteer === undefined || input.volunteer === ""
        ? {}
        : { volunteer: { code: { contains: input.volunteer, mode: "insensitive" } } }),
      sourceFiles: { some: { state: "read" } },
    },
    select: {
      id: true,
      volunteerId: true,
      conditionKey: true,
      occasion: true,
      state: true,
      protocolId: true,
      volunteer: { select: { code: true } },
      protocol: { select: { content: true } },
    },
  });
  const consents = await permissionsOf(
    scope,
    [...new Set(trials.map(({ volunteerId }) => volunteerId))],
    scope.now,
  );
  const permitted = trials.filter(
    ({ volunteerId }) => consents.get(volunteerId)?.stored(permissionKeys.takePart).allowed === true,
  );
  const trialIds = permitted.map(({ id }) => id);
  const { waiting } = await refreshFindings(scope, { trialId: { in: trialIds } }, budgetMs);
  const files = await filesOf(scope, trialIds, waiting);
  const contents = new Map<string, ProtocolContent>();
  const contentOf = (trial: (typeof trials)[number]) => {
    const known = contents.get(trial.protocolId) ?? protocolContent.parse(trial.protocol.content);
    contents.set(trial.protocolId, known);
    return known;
  };
  const all = permitted
    .map((trial) => {
      const own = files.get(trial.id) ?? [];
      const findings = own.flatMap((file) => file.findings);
      const count = (standing: Standing) =>
        findings.filter((finding) => finding.standing === standing).length;
      const shares = own.flatMap(({ missingShare }) => missingShare ?? []);
      return {
        trialId: trial.id,
        volunteerId: trial.volunteerId,
        volunteerCode: trial.volunteer.code,
        conditionKey: trial.conditionKey,
        conditionName: conditionName(contentOf(trial), trial.conditionKey),
        occasion: trial.occasion,
        state: trial.state,
        recordedOn: own.map(({ day }) => day).sort()[0] ?? null,
        files: own.map(({ sourceFileId, fileName }) => ({
          sourceFileId,
          fileName,
          waiting: waiting.has(sourceFileId),
        })),
        kinds: countByKind(findings),
        findings: findings.length,
        open: count("open"),
        adjusted: count("adjusted"),
        accepted: count("accepted"),
        dismissed: count("dismissed"),
        stepC: largestOf(findings, "common step"),
        driftC: largestOf(findings, "reference drift") ?? largestOf(findings, "common drift"),
        missingShare: shares.length === 0 ? null : Math.max(...shares),
      };
    })
    .filter(
      (row) =>
        (input.kinds.length === 0 || row.kinds.some(({ kind }) => input.kinds.includes(kind))) &&
        (input.standing === "any" || row[input.standing] > 0) &&
        (input.from === undefined || (row.recordedOn ?? "") >= input.from) &&
        (input.to === undefined || (row.recordedOn ?? "9999") <= input.to),
    )
    .sort(inOrderOf(input));
  const protocol = await protocolInForce(scope.db, studyId);
  return {
    total: all.length,
    /** All trials of the study with a file that is read, whatever the filter. */
    inStudy: await scope.db.trial.count({
      where: { studyId, state: { not: "set_aside" }, sourceFiles: { some: { state: "read" } } },
    }),
    withoutConsent: trials.length - permitted.length,
    /** Files whose findings are not computed yet: ask again. */
    waiting: waiting.size,
    conditions: (protocol?.content.conditions ?? []).map(({ key, name }) => ({ key, name })),
    rows: all.slice((input.page - 1) * input.pageSize, input.page * input.pageSize),
    /** One per file of all trials that match, whatever the page: for figures over the days of recording. */
    recordings: all.flatMap((row) =>
      (files.get(row.trialId) ?? [])
        .filter(({ sourceFileId }) => !waiting.has(sourceFileId))
        .map(({ sourceFileId, fileName, day, dayFromUpload, layout, findings, missingShare }) => ({
          trialId: row.trialId,
          sourceFileId,
          fileName,
          label: `${row.volunteerCode} · ${row.conditionName} · occasion ${row.occasion}`,
          day,
          /** The file does not say when it was recorded: the day of its upload stands for it. */
          dayFromUpload,
          /** What its kind of file is called: the nearest thing to an instrument that a file tells. */
          layout,
          stepC: largestOf(findings, "common step"),
          driftC: largestOf(findings, "common drift"),
          referenceC: largestOf(findings, "reference drift"),
          missingShare,
          spikes: findings.filter(({ kind }) => kind === "spike").length,
          findings: findings.length,
          open: findings.filter(({ standing }) => standing === "open").length,
        })),
    ),
  };
}

async function filesOf(
  scope: ReadScope,
  trialIds: readonly string[],
  waiting: ReadonlySet<string>,
): Promise<ReadonlyMap<string, readonly FileQuality[]>> {
  const { studyId } = scope.access;
  const [rows, layouts] = await Promise.all([
    scope.db.sourceFile.findMany({
      where: { studyId, trialId: { in: [...trialIds] }, state: "read" },
      select: {
        id: true,
        trialId: true,
        name: true,
        startedAt: true,
        uploadedAt: true,
        fingerprint: true,
        qualityCheck: { select: { values: true, missing: true } },
        findings: { select: { key: true, kind: true, size: true, unit: true }, orderBy: { place: "asc" } },
        decisions: { select: { findingKey: true, verdict: true } },
        adjustments: { where: { state: "active" }, select: { id: true, findingKey: true } },
      },
      orderBy: [{ uploadedAt: "asc" }, { id: "asc" }],
    }),
    scope.db.columnMap.findMany({ where: { studyId }, select: { fingerprint: true, name: true } }),
  ]);
  const layoutNames = new Map(layouts.map(({ fingerprint, name }) => [fingerprint, name]));
  const files = new Map<string, FileQuality[]>();
  for (const row of rows) {
    const verdicts = new Map(row.decisions.map(({ findingKey, verdict }) => [findingKey, verdict]));
    const adjustedBy = new Map(row.adjustments.map(({ id, findingKey }) => [findingKey, id]));
    // Stale findings are not shown, not even as a count.
    const findings = waiting.has(row.id) ? [] : row.findings;
    const check = waiting.has(row.id) ? null : row.qualityCheck;
    const file: FileQuality = {
      sourceFileId: row.id,
      fileName: row.name,
      day: (row.startedAt ?? row.uploadedAt.toISOString()).slice(0, 10),
      dayFromUpload: row.startedAt === null,
      layout: row.fingerprint === null ? null : (layoutNames.get(row.fingerprint) ?? null),
      findings: findings.map(({ key, kind, size, unit }) => ({
        kind: kindOf(kind),
        size,
        unit,
        standing: standingOf(verdicts.get(key) ?? null, adjustedBy.get(key) ?? null),
      })),
      missingShare: check === null || check.values === 0 ? null : check.missing / check.values,
    };
    files.set(row.trialId, [...(files.get(row.trialId) ?? []), file]);
  }
  return files;
}
