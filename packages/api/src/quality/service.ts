import type { Prisma } from "@acral/db";
import { adjustmentTitle, onClock, timeShiftOf } from "../adjustment/policy";
import { adjustmentSettings } from "../adjustment/schema";
import { requireStoredUse } from "../consent/service";
import { permissionKeys } from "../consent-form/policy";
import { findingTitle } from "../finding/policy";
import { findingOf, refreshFindings } from "../finding/service";
import { derive } from "../measure/policy";
import type { ReadScope } from "../scope";
import { seriesLabel } from "../trace/policy";
import { tracesOfTrial } from "../trace/service";
import { stepAllowed } from "../trial/policy";
import { findTrial } from "../trial/service";
import { measuresBothWays, standingOf, verdictOf } from "./policy";

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
  await requireStoredUse(scope, trial.volunteerId, permissionKeys.takePart, scope.now);
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
