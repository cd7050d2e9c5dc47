import type { TrialState } from "@acral/db";
import type { z } from "zod";
import { notFound } from "../app-error";
import { whyNotUsed } from "../consent/policy";
import { permissionsOf } from "../consent/service";
import { permissionKeys } from "../consent-form/policy";
import { reportingColumns, reportingFactsOf } from "../imaging/service";
import { conditionName } from "../protocol/policy";
import { type ProtocolContent, protocolContent } from "../protocol/schema";
import {
  completenessOf,
  completenessOverTrials,
  countedItems,
  incompleteTrials,
  reportingSource,
} from "../reporting/policy";
import type { ReadScope } from "../scope";
import { trialLabel } from "../trial/policy";
import { methodsParagraphs, type TrialOfMethods, yearOf } from "./policy";
import type { methodsInput, TrialChoice } from "./schema";

const statesOf: Readonly<Record<TrialChoice, TrialState[]>> = {
  accepted: ["accepted"],
  recorded: ["recorded", "checked", "accepted"],
};

/** The methods text and the completeness of reporting, over the trials of volunteers who permit their use now. */
export async function methodsOfStudy(scope: ReadScope, input: z.output<typeof methodsInput>) {
  const { studyId } = scope.access;
  const study = await scope.db.study.findUnique({
    where: { id: studyId },
    select: { title: true, smallestGroup: true },
  });
  if (study === null) throw notFound("study");
  const rows = await scope.db.trial.findMany({
    where: { studyId, state: { in: statesOf.recorded } },
    select: {
      ...reportingColumns,
      id: true,
      state: true,
      stateChangedAt: true,
      volunteerId: true,
      conditionKey: true,
      occasion: true,
      plannedFor: true,
      protocol: { select: { id: true, version: true, content: true } },
    },
    orderBy: [
      { volunteer: { code: "asc" } },
      { conditionKey: "asc" },
      { occasion: "asc" },
      { attempt: "asc" },
    ],
  });
  const consents = await permissionsOf(scope, [...new Set(rows.map((row) => row.volunteerId))], scope.now);
  const permitted = rows.filter((row) => {
    const use = consents.get(row.volunteerId)?.stored(permissionKeys.takePart);
    return use !== undefined && whyNotUsed(use, row.stateChangedAt) === null;
  });
  const inChoice = (choice: TrialChoice) => permitted.filter(({ state }) => statesOf[choice].includes(state));
  const choice = input.trials ?? (inChoice("accepted").length > 0 ? "accepted" : "recorded");
  const chosen = inChoice(choice);
  const bodies = await scope.db.bodyMeasures.findMany({
    where: { studyId, volunteerId: { in: [...new Set(chosen.map((row) => row.volunteerId))] } },
    select: { volunteerId: true, heightCm: true, massKg: true },
    // The last of each volunteer is what the map keeps.
    orderBy: [{ measuredOn: "asc" }, { createdAt: "asc" }],
  });
  const bodyOf = new Map(bodies.map((body) => [body.volunteerId, body]));
  const contents = new Map<string, ProtocolContent>();

  const trials = chosen.map((row) => {
    const protocol = contents.get(row.protocol.id) ?? protocolContent.parse(row.protocol.content);
    contents.set(row.protocol.id, protocol);
    const facts = reportingFactsOf(row, protocol);
    const { sex, birthYear, code } = row.volunteer;
    const year = yearOf(row.sourceFiles[0]?.startedAt ?? row.plannedFor?.toISOString() ?? null);
    const body = bodyOf.get(row.volunteerId);
    const condition = conditionName(protocol, row.conditionKey);
    const methods: TrialOfMethods = {
      volunteerId: row.volunteerId,
      sex,
      ageYears: year === null || birthYear === null ? null : year - birthYear,
      heightCm: body?.heightCm ?? null,
      massKg: body?.massKg ?? null,
      conditionName: condition,
      protocolVersion: row.protocol.version,
      protocol,
      facts,
    };
    const label = trialLabel({ code, condition, occasion: row.occasion });
    return { trialId: row.id, label, methods, completeness: completenessOf(facts) };
  });
  return {
    title: study.title,
    smallestGroup: study.smallestGroup,
    choice,
    /** How many trials each choice holds. */
    counts: { accepted: inChoice("accepted").length, recorded: permitted.length },
    /** Trials of this choice that are left out since their volunteers do not permit taking part now. */
    withoutConsent: rows.filter(({ state }) => statesOf[choice].includes(state)).length - chosen.length,
    volunteers: new Set(chosen.map(({ volunteerId }) => volunteerId)).size,
    paragraphs: methodsParagraphs(trials.map(({ methods }) => methods)),
    items: completenessOverTrials(trials.map(({ completeness }) => completeness)),
    countedItems,
    ...incompleteTrials(trials),
    source: reportingSource,
  };
}
