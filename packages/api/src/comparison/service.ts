import { createHash } from "node:crypto";
import { analysisVersion } from "@acral/analysis";
import { type MeasureName, measureCatalogue } from "@acral/analysis/course";
import type { Prisma } from "@acral/db";
import type { z } from "zod";
import { AppError, notFound } from "../app-error";
import { changedValues, flatValues } from "../audit/policy";
import type { AuditValues } from "../audit/schema";
import { permissionsOf } from "../consent/service";
import { newId } from "../identifiers";
import { alignedTracesOf, measuresOf } from "../measure/service";
import { protocolInForce } from "../protocol/service";
import { changedMeanwhile } from "../revision";
import { type ReadScope, writeInStudy } from "../scope";
import { meanSkinTemperatureName } from "../trace/policy";
import {
  answerComparison,
  type CourseOfTrial,
  seriesName,
  type TrialOfComparison,
  type VolunteerOfComparison,
} from "./policy";
import {
  type ComparisonAnswer,
  type ComparisonSettings,
  comparisonAnswer,
  comparisonSettings,
  type getComparisonInput,
  type saveComparisonInput,
} from "./schema";

const binS = 5;

async function protocolForComparison(scope: ReadScope) {
  const protocol = await protocolInForce(scope.db, scope.access.studyId);
  if (protocol === null) {
    throw new AppError(
      "wrong-state",
      "No protocol is in force yet. Conditions are compared as the protocol in force names them.",
    );
  }
  return protocol;
}

/** Everything an answer rests on, but for the courses. */
async function readFrame(scope: ReadScope, settings: ComparisonSettings) {
  const { studyId } = scope.access;
  const protocol = await protocolForComparison(scope);
  const [volunteerRows, trialRows] = await Promise.all([
    scope.db.volunteer.findMany({
      where: { studyId },
      select: { id: true, code: true },
      orderBy: { code: "asc" },
    }),
    scope.db.trial.findMany({
      where: { studyId, conditionKey: { in: [...settings.conditions] } },
      select: {
        id: true,
        volunteerId: true,
        conditionKey: true,
        occasion: true,
        state: true,
        setAsideReason: true,
      },
      orderBy: [{ occasion: "asc" }, { attempt: "asc" }],
    }),
  ]);
  const consents = await permissionsOf(
    scope,
    volunteerRows.map(({ id }) => id),
    scope.now,
  );
  const volunteers = volunteerRows.map(({ id, code }): VolunteerOfComparison => {
    const decision = consents.get(id)?.stored("take-part");
    return {
      volunteerId: id,
      code,
      excluded: decision?.allowed === true ? null : (decision?.reason ?? "No consent is recorded."),
    };
  });
  const accepted = trialRows.filter(({ state }) => state === "accepted").map(({ id }) => id);
  const { measure, regionId } = settings.outcome;
  const name = measure as MeasureName;
  const { measures, excluded } = await measuresOf(scope, accepted, [
    { name, regionId },
    { name: "baseline", regionId },
  ]);
  return { protocol, volunteers, trialRows, accepted, measures, excluded, name };
}

type Frame = Awaited<ReturnType<typeof readFrame>>;

/** Changes whenever the answer would: settings, people, consents, trials, and what each number rests on. */
function hashOf(frame: Frame, settings: ComparisonSettings): string {
  const { conditions, occasions, phases } = frame.protocol.content;
  return createHash("sha256")
    .update(
      JSON.stringify([
        analysisVersion,
        settings,
        conditions.map(({ key, name }) => [key, name]),
        occasions,
        phases,
        frame.volunteers,
        frame.trialRows,
        frame.measures.map(({ trialId, name, regionId, inputHash }) => [trialId, name, regionId, inputHash]),
        frame.excluded,
      ]),
    )
    .digest("hex");
}

async function coursesOf(
  scope: ReadScope,
  frame: Frame,
  regionId: string | null,
): Promise<Map<string, CourseOfTrial>> {
  const wanted =
    regionId === null
      ? [{ series: meanSkinTemperatureName, statistic: null }]
      : [
          { series: regionId, statistic: "mean" },
          { series: regionId, statistic: "point" },
        ];
  const { traces } = await alignedTracesOf(scope, frame.accepted, wanted);
  const courses = new Map<string, CourseOfTrial>();
  for (const { trialId, statistic, aligned } of traces) {
    // A region is compared by its mean, or by its single point where there is no mean, like its measures.
    if (courses.has(trialId) && statistic !== "mean") continue;
    courses.set(trialId, {
      fromS: aligned.firstBin * aligned.binS,
      binS: aligned.binS,
      values: aligned.values,
    });
  }
  return courses;
}

async function answer(
  scope: ReadScope,
  frame: Frame,
  settings: ComparisonSettings,
): Promise<ComparisonAnswer> {
  const courses = await coursesOf(scope, frame, settings.outcome.regionId);
  const left = new Map(frame.excluded.map(({ trialId, reason }) => [trialId, reason]));
  const trials = frame.trialRows.map((row): TrialOfComparison => {
    const own = frame.measures.filter(({ trialId }) => trialId === row.id);
    const outcome = own.find(({ name }) => name === frame.name);
    const reason = left.get(row.id) ?? outcome?.unavailable ?? null;
    return {
      trialId: row.id,
      volunteerId: row.volunteerId,
      conditionKey: row.conditionKey,
      occasion: row.occasion,
      state: row.state,
      setAsideReason: row.setAsideReason,
      outcome: outcome === undefined && reason === null ? null : { value: outcome?.value ?? null, reason },
      baseline: own.find(({ name }) => name === "baseline")?.value ?? null,
      course: courses.get(row.id) ?? null,
    };
  });
  const { conditions, occasions, phases } = frame.protocol.content;
  return answerComparison({
    settings,
    conditions,
    occasions,
    phases,
    binS,
    volunteers: frame.volunteers,
    trials,
  });
}

/** The answer to settings that are not saved (yet). */
export async function previewComparison(scope: ReadScope, settings: ComparisonSettings) {
  const frame = await readFrame(scope, settings);
  return { answer: await answer(scope, frame, settings), inputHash: hashOf(frame, settings) };
}

export async function comparisonOutcomes(scope: ReadScope) {
  const { content } = await protocolForComparison(scope);
  const regionIds = [...new Set(content.regions.map(({ regionId }) => regionId))];
  return {
    measures: measureCatalogue,
    regions: [
      { regionId: null, label: seriesName(null) },
      ...regionIds.map((regionId) => ({ regionId, label: seriesName(regionId) })),
    ],
    conditions: content.conditions.map(({ key, name }) => ({ key, name })),
    occasions: content.occasions,
    plannedOutcomes: content.plannedOutcomes,
  };
}

export async function listComparisons(scope: ReadScope) {
  const rows = await scope.db.comparison.findMany({
    where: { studyId: scope.access.studyId },
    orderBy: { createdAt: "desc" },
  });
  return rows.map((row) => ({
    comparisonId: row.id,
    name: row.name,
    settings: comparisonSettings.parse(row.settings),
    answeredAt: row.answeredAt?.toISOString() ?? null,
    revision: row.revision,
  }));
}

async function findComparison(scope: ReadScope, comparisonId: string) {
  const row = await scope.db.comparison.findFirst({
    where: { id: comparisonId, studyId: scope.access.studyId },
  });
  if (row === null) throw notFound("comparison");
  return row;
}

/**
 * A saved comparison with its answer. When anything beneath it changed since it was stored, the answer is computed
 * anew and said to be so: an answer that holds somebody who has withdrawn since is never shown.
 */
export async function getComparison(scope: ReadScope, input: z.output<typeof getComparisonInput>) {
  const row = await findComparison(scope, input.comparisonId);
  const settings = comparisonSettings.parse(row.settings);
  const frame = await readFrame(scope, settings);
  const inputHash = hashOf(frame, settings);
  const stored =
    row.inputHash === inputHash && row.answer !== null ? comparisonAnswer.parse(row.answer) : null;
  return {
    comparisonId: row.id,
    name: row.name,
    revision: row.revision,
    settings,
    answer: stored ?? (await answer(scope, frame, settings)),
    inputHash,
    outOfDate: stored === null,
    answeredAt: row.answeredAt?.toISOString() ?? null,
  };
}

const storedAnswer = (value: ComparisonAnswer) => value as unknown as Prisma.InputJsonObject;

/** Saves the question with its answer of now. */
export async function saveComparison(scope: ReadScope, input: z.output<typeof saveComparisonInput>) {
  const { answer: fresh, inputHash } = await previewComparison(scope, input.settings);
  return writeInStudy(scope, async ({ db, access, now }) => {
    const data = {
      name: input.name,
      settings: input.settings as Prisma.InputJsonObject,
      answer: storedAnswer(fresh),
      inputHash,
      answeredAt: now,
    };
    const after = questionOf(input.name, input.settings);
    if (input.comparisonId === null) {
      const comparisonId = newId();
      await db.comparison.create({
        data: {
          id: comparisonId,
          studyId: access.studyId,
          createdAt: now,
          createdById: access.actor.userId,
          ...data,
        },
      });
      return {
        result: { comparisonId, revision: 1 },
        audit: [
          {
            action: "comparison.create",
            subject: { kind: "comparison", id: comparisonId, label: input.name },
            after,
          },
        ],
      };
    }
    const row = await db.comparison.findFirst({ where: { id: input.comparisonId, studyId: access.studyId } });
    if (row === null) throw notFound("comparison");
    const changed = await db.comparison.updateMany({
      where: { id: row.id, revision: input.revision },
      data: { ...data, revision: { increment: 1 } },
    });
    if (changed.count === 0) {
      throw changedMeanwhile("comparison", {
        name: row.name,
        settings: row.settings,
        revision: row.revision,
      });
    }
    return {
      result: { comparisonId: row.id, revision: input.revision + 1 },
      audit: [
        {
          action: "comparison.change",
          subject: { kind: "comparison", id: row.id, label: input.name },
          ...changedValues(
            { ...questionOf(row.name, comparisonSettings.parse(row.settings)), inputHash: row.inputHash },
            { ...after, inputHash },
          ),
        },
      ],
    };
  });
}

/** A question as the audit trail tells of it. */
const questionOf = (name: string, settings: ComparisonSettings): AuditValues => ({
  name,
  ...flatValues(settings),
});

/** Stores the answer of now under an unchanged question. */
export async function storeAnswer(scope: ReadScope, input: z.output<typeof getComparisonInput>) {
  const row = await findComparison(scope, input.comparisonId);
  const { answer: fresh, inputHash } = await previewComparison(scope, comparisonSettings.parse(row.settings));
  return writeInStudy(scope, async ({ db, now }) => {
    await db.comparison.update({
      where: { id: row.id },
      data: { answer: storedAnswer(fresh), inputHash, answeredAt: now },
    });
    return {
      result: { inputHash },
      audit: [
        {
          action: "comparison.answer",
          subject: { kind: "comparison", id: row.id, label: row.name },
          before: { inputHash: row.inputHash },
          after: { inputHash, n: fresh.test?.n ?? 0 },
        },
      ],
    };
  });
}

export function removeComparison(scope: ReadScope, input: z.output<typeof getComparisonInput>) {
  return writeInStudy(scope, async (write) => {
    const row = await findComparison(write, input.comparisonId);
    await write.db.comparison.delete({ where: { id: row.id } });
    return {
      result: null,
      audit: [
        {
          action: "comparison.remove",
          subject: { kind: "comparison", id: row.id, label: row.name },
          before: questionOf(row.name, comparisonSettings.parse(row.settings)),
        },
      ],
    };
  });
}
