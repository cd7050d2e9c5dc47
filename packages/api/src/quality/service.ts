import type { Prisma } from "@acral/db";
import { adjustmentTitle, onClock, timeShiftOf } from "../adjustment/policy";
import { adjustmentSettings } from "../adjustment/schema";
import { permissionsOf, requirePermission } from "../consent/service";
import { permissionKeys } from "../consent-form/policy";
import { findingTitle } from "../finding/policy";
import { findingOf, kindOf, refreshFindings } from "../finding/service";
import { derive } from "../measure/policy";
import { conditionName } from "../protocol/policy";
import { protocolContent } from "../protocol/schema";
import { protocolInForce } from "../protocol/service";
import type { ReadScope } from "../scope";
import { seriesLabel } from "../trace/policy";
import { tracesOfTrial } from "../trace/service";
import { stepAllowed } from "../trial/policy";
import { findTrial } from "../trial/service";
import {
  type CountedFinding,
  countByKind,
  largestOf,
  measuresBothWays,
  type Standing,
  standingOf,
  verdictOf,
} from "./policy";
import type { QualityOfStudyInput } from "./schema";

const inOrder = [{ position: "asc" }, { id: "asc" }] satisfies Prisma.AdjustmentOrderByWithRelationInput[];
const oldestFirst = [
  { uploadedAt: "asc" },
  { id: "asc" },
] satisfies Prisma.SourceFileOrderByWithRelationInput[];

async function namesOf(scope: ReadScope, userIds: readonly string[]): Promise<(userId: string) => string> {
  const people = await scope.db.user.findMany({
    where: { id: { in: [...new Set(userIds)] } },
    select: { id: true, name: true },
  });
  const names = new Map(people.map(({ id, name }) => [id, name]));
  return (userId) => names.get(userId) ?? "somebody who has no account any more";
}

/** What the quality checks noticed in the files of a trial, what was decided, and what is adjusted. */
export async function qualityOfTrial(scope: ReadScope, trialId: string) {
  const { trial } = await findTrial(scope, trialId);
  await requirePermission(scope, trial.volunteerId, permissionKeys.takePart, scope.now);
  const { studyId } = scope.access;
  const { waiting } = await refreshFindings(scope, { trialId });
  const files = await scope.db.sourceFile.findMany({
    where: { studyId, trialId, state: "read" },
    select: {
      id: true,
      name: true,
      revision: true,
      offsetS: true,
      findings: { orderBy: { place: "asc" } },
      decisions: true,
      adjustments: { orderBy: inOrder },
    },
    orderBy: oldestFirst,
  });
  const nameOf = await namesOf(
    scope,
    files.flatMap(({ decisions, adjustments }) => [
      ...decisions.map(({ decidedById }) => decidedById),
      ...adjustments.map(({ madeById }) => madeById),
    ]),
  );
  const shown = files.map((file) => {
    const adjustments = file.adjustments.map((row) => ({
      row,
      settings: adjustmentSettings.parse(row.settings),
    }));
    const active = adjustments.filter(({ row }) => row.state === "active");
    const clockS = file.offsetS + timeShiftOf(active.map(({ settings }) => settings));
    const decisions = new Map(file.decisions.map((row) => [row.findingKey, row]));
    return {
      sourceFileId: file.id,
      fileName: file.name,
      revision: file.revision,
      /** Where the file's own zero lies on the trial's clock, its time shifts included. */
      clockS,
      /** The file was changed while it was being checked: ask again. */
      waiting: waiting.has(file.id),
      findings: file.findings.map((row) => {
        const { series, proposal, ...finding } = findingOf(row);
        const decided = decisions.get(row.key);
        const adjustedBy = active.find(({ row: one }) => one.findingKey === row.key)?.row.id ?? null;
        return {
          ...finding,
          title: findingTitle(finding),
          fromS: finding.fromS + clockS,
          toS: finding.toS + clockS,
          series: series.map(({ regionId, statistic }) => ({
            series: regionId,
            statistic,
            label: seriesLabel({ kind: "region", series: regionId, statistic }),
          })),
          decision:
            decided === undefined
              ? null
              : {
                  decision: decided.verdict,
                  note: decided.note,
                  by: nameOf(decided.decidedById),
                  at: decided.decidedAt.toISOString(),
                },
          adjustedBy,
          standing: standingOf(decided?.verdict ?? null, adjustedBy),
          proposal: proposal === null ? null : onClock(proposal, clockS),
        };
      }),
      adjustments: adjustments.map(({ row, settings }) => ({
        adjustmentId: row.id,
        kind: settings.kind,
        settings: onClock(settings, clockS),
        title: adjustmentTitle(onClock(settings, clockS)),
        reason: row.reason,
        state: row.state,
        setBackBecause: row.setBackBecause,
        position: row.position,
        findingKey: row.findingKey,
        by: nameOf(row.madeById),
        at: row.madeAt.toISOString(),
        revision: row.revision,
        largestChangeC: row.largestChangeC,
        maskedSamples: row.maskedSamples,
      })),
    };
  });
  return {
    trialRevision: trial.revision,
    state: trial.state,
    canChange: stepAllowed("change", trial.state),
    files: shown,
    openFindings: shown.flatMap(({ findings }) => findings).filter(({ standing }) => standing === "open")
      .length,
  };
}

/** A trial's measures with its adjustments and without, and whether its conclusions survive. */
export async function qualitySummary(scope: ReadScope, trialId: string) {
  const { trial, content } = await findTrial(scope, trialId);
  const quality = await qualityOfTrial(scope, trialId);
  const markers = await scope.db.marker.findMany({
    where: { studyId: scope.access.studyId, trialId: trial.id },
    orderBy: [{ atS: "asc" }, { id: "asc" }],
  });
  const adjustments = quality.files.flatMap((file) =>
    file.adjustments.filter(({ state }) => state === "active"),
  ).length;
  const adjusted = derive(await tracesOfTrial(scope, trialId), markers, content.phases);
  const recorded =
    adjustments === 0
      ? adjusted
      : derive(await tracesOfTrial(scope, trialId, "recorded"), markers, content.phases);
  const measures = measuresBothWays(adjusted, recorded);
  const counts = { adjustments, open: quality.openFindings };
  const { survives, sentence } = verdictOf(
    measures,
    counts,
    adjusted.kind === "unavailable" ? adjusted.reason : null,
  );
  return { verdict: sentence, survives, ...counts, measures };
}

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
    ({ volunteerId }) => consents.get(volunteerId)?.has(permissionKeys.takePart) === true,
  );
  const trialIds = permitted.map(({ id }) => id);
  const { waiting } = await refreshFindings(scope, { trialId: { in: trialIds } }, budgetMs);
  const files = await filesOf(scope, trialIds, waiting);
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
        conditionName: conditionName(protocolContent.parse(trial.protocol.content), trial.conditionKey),
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
    .sort(by(input));
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
      orderBy: oldestFirst,
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

interface Sortable {
  readonly trialId: string;
  readonly volunteerCode: string;
  readonly conditionName: string;
  readonly occasion: number;
  readonly recordedOn: string | null;
  readonly open: number;
  readonly stepC: number | null;
  readonly driftC: number | null;
  readonly missingShare: number | null;
}

function by({ sort, direction }: Pick<QualityOfStudyInput, "sort" | "direction">) {
  const sign = direction === "ascending" ? 1 : -1;
  const text = (a: string, b: string) => (a < b ? -1 : a > b ? 1 : 0);
  const sortedBy = (row: Sortable): string | number => {
    switch (sort) {
      case "date":
        return row.recordedOn ?? "";
      case "volunteer":
        return row.volunteerCode;
      case "condition":
        return row.conditionName;
      case "open":
        return row.open;
      case "step":
        return Math.abs(row.stepC ?? 0);
      case "drift":
        return Math.abs(row.driftC ?? 0);
      case "missing":
        return row.missingShare ?? 0;
    }
  };
  return (a: Sortable, b: Sortable): number => {
    const [left, right] = [sortedBy(a), sortedBy(b)];
    const main =
      typeof left === "number" && typeof right === "number"
        ? left - right
        : text(String(left), String(right));
    return (
      sign * main ||
      text(a.volunteerCode, b.volunteerCode) ||
      a.occasion - b.occasion ||
      text(a.trialId, b.trialId)
    );
  };
}
