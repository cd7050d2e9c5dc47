import { TrialState } from "@acral/db";
import type { z } from "zod";
import type { Actor } from "../access/service";
import { AppError, notFound } from "../app-error";
import { permissionsOf } from "../consent/service";
import { takePart } from "../consent-form/schema";
import type { Core } from "../core";
import { newId } from "../identifiers";
import { changedMeanwhile } from "../revision";
import { type ReadScope, writeInStudy, writeOutsideStudies } from "../scope";
import { stepsOfStudy } from "./policy";
import type { createStudyInput, updateStudyInput } from "./schema";

export async function listStudies(core: Core, actor: Actor) {
  const rows = await core.database.prisma.membership.findMany({
    where: { userId: actor.userId },
    include: { study: { include: { _count: { select: { volunteers: true, trials: true } } } } },
    orderBy: [{ study: { createdAt: "desc" } }],
  });
  return rows.map((row) => ({
    studyId: row.studyId,
    title: row.study.title,
    summary: row.study.summary,
    role: row.role,
    volunteers: row.study._count.volunteers,
    trials: row.study._count.trials,
    createdAt: row.study.createdAt.toISOString(),
  }));
}

export function createStudy(core: Core, actor: Actor, input: z.output<typeof createStudyInput>) {
  return writeOutsideStudies(core, async (db, now) => {
    const studyId = newId();
    await db.study.create({
      data: { id: studyId, title: input.title, summary: input.summary, createdAt: now },
    });
    await db.membership.create({
      data: { studyId, userId: actor.userId, role: "lead_investigator", createdAt: now },
    });
    return {
      result: { studyId },
      actor,
      studyId,
      audit: [
        {
          action: "study.create",
          subject: { kind: "study", id: studyId, label: input.title },
          after: { title: input.title },
        },
      ],
    };
  });
}

export async function getStudy(scope: ReadScope) {
  const study = await scope.db.study.findUnique({ where: { id: scope.access.studyId } });
  if (study === null) throw notFound("study");
  return {
    studyId: study.id,
    title: study.title,
    summary: study.summary,
    smallestGroup: study.smallestGroup,
    leadsNeedSecondFactor: study.leadsNeedSecondFactor,
    leadWithoutSecondFactor: scope.access.leadWithoutSecondFactor,
    revision: study.revision,
    createdAt: study.createdAt.toISOString(),
    role: scope.access.role,
  };
}

/** Where the study stands, and what to do next. */
export async function overviewOfStudy(scope: ReadScope) {
  const { db, now } = scope;
  const { studyId } = scope.access;
  const where = { studyId };
  const [protocol, consentForm, volunteers, trialGroups, comparisons, releases] = await Promise.all([
    db.protocol.findFirst({
      where: { studyId, state: "in_force" },
      select: { version: true, inForceAt: true },
    }),
    db.consentForm.findFirst({
      where: { studyId, state: "in_force" },
      select: { version: true, inForceAt: true },
    }),
    db.volunteer.findMany({ where, select: { id: true } }),
    db.trial.groupBy({ by: ["state"], where, _count: { _all: true } }),
    db.comparison.count({ where }),
    db.release.count({ where }),
  ]);
  const consents = await permissionsOf(
    scope,
    volunteers.map((volunteer) => volunteer.id),
    now,
  );
  const decisions = [...consents.values()].map((consent) => consent.decide(takePart));
  const trials = Object.values(TrialState).map((state) => ({
    state,
    count: trialGroups.find((group) => group.state === state)?._count._all ?? 0,
  }));
  const inState = (...states: TrialState[]) =>
    trials.reduce((sum, trial) => sum + (states.includes(trial.state) ? trial.count : 0), 0);
  const permitted = decisions.filter((decision) => decision.allowed).length;
  const withdrawn = decisions.filter(
    (decision) =>
      !decision.allowed && (decision.why === "withdrawn" || decision.why === "required withdrawn"),
  ).length;
  return {
    protocol: inForceOf(protocol),
    consentForm: inForceOf(consentForm),
    volunteers: { registered: volunteers.length, permitted, withdrawn },
    trials,
    comparisons,
    releases,
    steps: stepsOfStudy({
      protocolInForce: protocol !== null,
      consentFormInForce: consentForm !== null,
      volunteers: volunteers.length,
      permitted,
      trials: inState("planned", "recorded", "checked", "accepted"),
      recorded: inState("recorded", "checked", "accepted"),
      accepted: inState("accepted"),
      comparisons,
      releases,
    }),
  };
}

const inForceOf = (row: { version: number; inForceAt: Date | null } | null) =>
  row === null ? null : { version: row.version, inForceAt: row.inForceAt?.toISOString() ?? null };

export function updateStudy(scope: ReadScope, input: z.output<typeof updateStudyInput>) {
  return writeInStudy(scope, async ({ db, access }) => {
    const before = await db.study.findUnique({ where: { id: access.studyId } });
    if (before === null) throw notFound("study");
    const changed = await db.study.updateMany({
      where: { id: access.studyId, revision: input.revision },
      data: {
        title: input.title,
        summary: input.summary,
        smallestGroup: input.smallestGroup,
        revision: { increment: 1 },
      },
    });
    if (changed.count === 0) {
      const { title, summary, smallestGroup, revision } = before;
      throw changedMeanwhile("study", { title, summary, smallestGroup, revision });
    }
    return {
      result: { revision: input.revision + 1 },
      audit: [
        {
          action: "study.update",
          subject: { kind: "study", id: access.studyId, label: input.title },
          before: { title: before.title, summary: before.summary, smallestGroup: before.smallestGroup },
          after: { title: input.title, summary: input.summary, smallestGroup: input.smallestGroup },
        },
      ],
    };
  });
}

/** Whoever asks it of others has it: otherwise the first one shut out would be oneself. */
export function requireSecondFactor(scope: ReadScope, required: boolean): Promise<null> {
  return writeInStudy(scope, async ({ db, access }) => {
    const own = await db.secondFactor.findUnique({ where: { userId: access.actor.userId } });
    if (required && (own === null || own.confirmedAt === null)) {
      throw new AppError(
        "wrong-state",
        "Set up a second factor on the page “Your account” first: you would be the first whom the study shuts out.",
      );
    }
    const study = await db.study.findUnique({ where: { id: access.studyId } });
    if (study === null) throw notFound("study");
    const { count } = await db.study.updateMany({
      where: { id: access.studyId, leadsNeedSecondFactor: !required },
      data: { leadsNeedSecondFactor: required },
    });
    if (count === 0) throw new AppError("wrong-state", "This is so already; somebody else changed it.");
    return {
      result: null,
      audit: [
        {
          action: "study.requireSecondFactor",
          subject: { kind: "study", id: access.studyId, label: study.title },
          before: { leadsNeedSecondFactor: !required },
          after: { leadsNeedSecondFactor: required },
        },
      ],
    };
  });
}
