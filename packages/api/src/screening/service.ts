import { decryptField, encryptField, identityFingerprint } from "@acral/db";
import type { z } from "zod";
import { mayDo } from "../access/policy";
import { AppError, notFound } from "../app-error";
import { requirePermission, requireStoredUse } from "../consent/service";
import { takePart } from "../consent-form/schema";
import { newId } from "../identifiers";
import { inIdentityRole, keysForWriting, refuseNaming, requireNotErased } from "../identity/service";
import { dayNotInFuture } from "../moment";
import { type ReadScope, type WriteScope, writeInStudy } from "../scope";
import { contentOfSet, setInForce } from "../screening-set/service";
import { derivedBody } from "../volunteer/policy";
import { answersRefusal, type Body, dayOfTrial, type Judged, judge, type Screened, weighed } from "./policy";
import {
  answers,
  professional,
  type recordClearanceInput,
  type recordScreeningInput,
  type screeningOfVolunteerInput,
  type showAnswersInput,
} from "./schema";

/**
 * What volunteers answered before exercise in the heat, and what licensed professionals decided on it. Answers, names and limits
 * are encrypted with the identity key, and the usual role of the database cannot read the rows.
 */

const answersPlace = (recordId: string) => ({ table: "screening_record", field: "answers", rowId: recordId });
const professionalPlace = (clearanceId: string) => ({
  table: "screening_clearance",
  field: "professional",
  rowId: clearanceId,
});

/** What reading what was answered needs of a scope: one that a link opened has it as well. */
type HealthScope = Pick<ReadScope, "db" | "core"> & { readonly access: { readonly studyId: string } };

const day = (date: Date) => date.toISOString().slice(0, 10);

/** Everything that was recorded of one volunteer, the latest first, in clear. It stays on the server, or is shown on purpose. */
export async function screeningsInClear(scope: HealthScope, volunteerId: string) {
  const { core, access } = scope;
  const rows = await inIdentityRole(scope, (db) =>
    db.screeningRecord.findMany({
      where: { studyId: access.studyId, volunteerId },
      include: { set: true, clearances: { orderBy: [{ recordedAt: "desc" }, { id: "desc" }] } },
      orderBy: [{ recordedAt: "desc" }, { id: "desc" }],
    }),
  );
  return rows.map((row) => ({
    recordId: row.id,
    version: row.set.version,
    content: contentOfSet(row.set),
    answeredOn: day(row.answeredOn),
    recordedAt: row.recordedAt.toISOString(),
    recordedByName: row.recordedByName,
    answers: answers.parse(
      JSON.parse(
        decryptField(
          row.answersCipher,
          answersPlace(row.id),
          row.keyVersion,
          core.identityKeys.at(row.keyVersion),
        ),
      ),
    ),
    clearances: row.clearances.map((clearance) => ({
      clearanceId: clearance.id,
      given: clearance.given,
      decidedOn: day(clearance.decidedOn),
      validUntil: clearance.validUntil === null ? null : day(clearance.validUntil),
      recordedAt: clearance.recordedAt.toISOString(),
      recordedByName: clearance.recordedByName,
      professional: professional.parse(
        JSON.parse(
          decryptField(
            clearance.professionalCipher,
            professionalPlace(clearance.id),
            clearance.keyVersion,
            core.identityKeys.at(clearance.keyVersion),
          ),
        ),
      ),
    })),
  }));
}

type Recorded = Awaited<ReturnType<typeof screeningsInClear>>[number];

const screenedBy = (record: Recorded): Screened => ({
  version: record.version,
  content: record.content,
  answers: record.answers,
  clearance: record.clearances[0] ?? null,
});

async function bodyOf({ db, access }: Pick<ReadScope, "db" | "access">, volunteerId: string): Promise<Body> {
  const row = await db.volunteer.findFirst({
    where: { id: volunteerId, studyId: access.studyId },
    select: { sex: true, birthYear: true, bodyMeasures: { orderBy: { measuredOn: "desc" }, take: 1 } },
  });
  if (row === null) throw notFound("volunteer");
  const [latest] = row.bodyMeasures;
  return {
    sex: row.sex,
    birthYear: row.birthYear,
    massIndex: latest === undefined ? null : derivedBody(latest).massIndexKgM2,
  };
}

async function judged(
  scope: ReadScope,
  volunteerId: string,
  onDay: string,
): Promise<{ judged: Judged; records: Recorded[] }> {
  const inForce = await setInForce(scope);
  if (inForce === null) return { judged: judge(null, null, noBody, onDay), records: [] };
  const body = await bodyOf(scope, volunteerId);
  const records = await screeningsInClear(scope, volunteerId);
  const [latest] = records;
  return {
    judged: judge(inForce, latest === undefined ? null : screenedBy(latest), body, onDay),
    records,
  };
}

const noBody: Body = { sex: "not_stated", birthYear: null, massIndex: null };

/**
 * The gate beside consent: returns when the screening of a study lets the volunteer begin a trial, or when the study has none in
 * force, and throws otherwise. Within a transaction the volunteer is held by the consent gate, which is asked before it, so that
 * nothing is recorded in between.
 */
export async function requireScreening(
  scope: ReadScope,
  trial: { readonly volunteerId: string; readonly plannedFor: Date | null },
): Promise<void> {
  const { judged: now } = await judged(scope, trial.volunteerId, dayOfTrial(trial.plannedFor, scope.now));
  if (now.why === null) return;
  const volunteer = await findVolunteer(scope, trial.volunteerId);
  throw new AppError(
    "screening-missing",
    `Volunteer ${volunteer.code} may not begin this trial. ${[now.why, ...now.because].join(" ")} Nothing was stored. Answers and clearances are recorded on the volunteer's page.`,
    { details: { volunteerId: volunteer.id, volunteerCode: volunteer.code, state: now.state } },
  );
}

/**
 * How the screening of a volunteer stands. Which rule, which caution and which limits is told to those who conduct trials; who
 * else is in the study learns that there is something, and not what.
 */
export async function screeningOfVolunteer(
  scope: ReadScope,
  input: z.output<typeof screeningOfVolunteerInput>,
) {
  const volunteer = await findVolunteer(scope, input.volunteerId);
  const trial =
    input.trialId === undefined
      ? null
      : await scope.db.trial.findFirst({
          where: { id: input.trialId, studyId: scope.access.studyId, volunteerId: volunteer.id },
          select: { plannedFor: true },
        });
  if (input.trialId !== undefined && trial === null) throw notFound("trial");
  const { judged: now, records } = await judged(
    scope,
    volunteer.id,
    dayOfTrial(trial?.plannedFor ?? null, scope.now),
  );
  const conducts = mayDo(scope.access.role, "screening.showAnswers");
  const clearance = records[0]?.clearances[0];
  return {
    volunteerId: volunteer.id,
    state: now.state,
    why: now.why,
    because: conducts ? now.because : [],
    cautions: conducts ? now.cautions : [],
    /** With which limits the clearance that counts was given. */
    limits: conducts && now.state === "cleared" ? (clearance?.professional.limits ?? "") : "",
    records: records.map((record, index) => ({
      recordId: record.recordId,
      version: record.version,
      answeredOn: record.answeredOn,
      recordedAt: record.recordedAt,
      recordedByName: record.recordedByName,
      latest: index === 0,
      clearances: record.clearances.map(({ professional: _, ...rest }) => rest),
    })),
  };
}

export function recordScreening(scope: ReadScope, input: z.output<typeof recordScreeningInput>) {
  return writeInStudy(scope, async (write) => {
    const { access, now } = write;
    const volunteer = await holdVolunteer(write, input.volunteerId);
    // What somebody says of their health is kept only of those who agreed to take part.
    await requirePermission(write, volunteer.id, takePart, now);
    const set = await setInForce(write);
    if (set === null) {
      throw new AppError(
        "wrong-state",
        "No screening is in force, so there is nothing to answer. Put one in force first.",
      );
    }
    if (set.setId !== input.setId) {
      throw new AppError(
        "changed-meanwhile",
        `Version ${set.version} of the screening came into force meanwhile. Nothing was recorded; your answers are kept here. Read the new questions, and ask what they add.`,
        { details: { current: { setId: set.setId, version: set.version } } },
      );
    }
    const refusal = answersRefusal(set.content, input.answers);
    if (refusal !== null) throw new AppError("invalid", refusal.message, { field: `answers.${refusal.key}` });
    dayNotInFuture(input.answeredOn, now, "answeredOn", "The day of the answers");
    const recordId = newId();
    const keys = await keysForWriting(write);
    await inIdentityRole(write, (health) =>
      health.screeningRecord.create({
        data: {
          id: recordId,
          studyId: access.studyId,
          volunteerId: volunteer.id,
          screeningSetId: set.setId,
          answeredOn: new Date(`${input.answeredOn}T00:00:00Z`),
          answersCipher: encryptField(JSON.stringify(input.answers), answersPlace(recordId), keys),
          keyVersion: keys.current,
          recordedAt: now,
          recordedByName: access.actor.name,
        },
      }),
    );
    const { excluded, needClearance } = weighed(set.content, input.answers);
    return {
      result: { recordId, excluded: excluded.length, needClearance: needClearance.length },
      audit: [
        {
          action: "screening.record",
          subject: { kind: "volunteer", id: volunteer.id, label: volunteer.code },
          // How many, and never which: the trail is read by more people than the answers are.
          after: {
            screeningVersion: set.version,
            answeredOn: input.answeredOn,
            answers: "recorded",
            "rules that exclude": excluded.length,
            "answers that need clearance": needClearance.length,
          },
        },
      ],
    };
  });
}

export function recordClearance(scope: ReadScope, input: z.output<typeof recordClearanceInput>) {
  return writeInStudy(scope, async (write) => {
    const { access, now } = write;
    const volunteer = await holdVolunteer(write, input.volunteerId);
    await requirePermission(write, volunteer.id, takePart, now);
    const [latest] = await screeningsInClear(write, volunteer.id);
    if (latest === undefined || latest.recordId !== input.recordId) {
      throw new AppError(
        "wrong-state",
        latest === undefined
          ? "There are no such answers of this volunteer."
          : "Newer answers were recorded meanwhile. A clearance counts for the answers that were decided on: show the newest ones to the professional.",
      );
    }
    const { decidedOn, validUntil } = input;
    dayNotInFuture(decidedOn, now, "decidedOn", "The day of the decision");
    if (decidedOn < latest.answeredOn) {
      throw new AppError(
        "invalid",
        `The decision (${decidedOn}) lies before the answers (${latest.answeredOn}) that it is about.`,
        { field: "decidedOn" },
      );
    }
    if (validUntil !== null && validUntil < decidedOn) {
      throw new AppError("invalid", "The last day on which the clearance counts lies before the decision.", {
        field: "validUntil",
      });
    }
    await refuseNaming(write, volunteer.id, input.limits, "limits");
    const clearanceId = newId();
    const keys = await keysForWriting(write);
    const place = professionalPlace(clearanceId);
    const who = professional.parse(input);
    await inIdentityRole(write, (health) =>
      health.screeningClearance.create({
        data: {
          id: clearanceId,
          studyId: access.studyId,
          volunteerId: volunteer.id,
          screeningRecordId: latest.recordId,
          given: input.given,
          decidedOn: new Date(`${decidedOn}T00:00:00Z`),
          validUntil: validUntil === null ? null : new Date(`${validUntil}T00:00:00Z`),
          professionalCipher: encryptField(JSON.stringify(who), place, keys),
          keyVersion: keys.current,
          recordedAt: now,
          recordedByName: access.actor.name,
        },
      }),
    );
    return {
      result: { clearanceId },
      audit: [
        {
          action: "screening.recordClearance",
          subject: { kind: "volunteer", id: volunteer.id, label: volunteer.code },
          after: {
            clearance: input.given ? "given" : "refused",
            decidedOn,
            validUntil,
            professional: identityFingerprint(who.name, place, keys),
            limits: who.limits === "" ? "none" : "recorded",
          },
        },
      ],
    };
  });
}

/** The answers and who decided on them, shown on purpose: each call leaves an audit entry. */
export function showAnswers(scope: ReadScope, input: z.output<typeof showAnswersInput>) {
  return writeInStudy(scope, async (write) => {
    const volunteer = await findVolunteer(write, input.volunteerId);
    requireNotErased(volunteer);
    await requireStoredUse(write, volunteer.id, takePart, write.now);
    const records = await screeningsInClear(write, volunteer.id);
    return {
      result: records.map(({ recordId, version, answeredOn, content, answers: given, clearances }) => ({
        recordId,
        version,
        answeredOn,
        answers: [...content.rules, ...content.questions].map(({ key, text }) => ({
          key,
          text,
          answer: given[key] ?? null,
        })),
        clearances: clearances.map(({ clearanceId, professional: who }) => ({ clearanceId, ...who })),
      })),
      audit: [
        {
          action: "screening.showAnswers",
          subject: { kind: "volunteer", id: volunteer.id, label: volunteer.code },
          after: { records: records.length },
        },
      ],
    };
  });
}

async function findVolunteer(scope: ReadScope, volunteerId: string) {
  const volunteer = await scope.db.volunteer.findFirst({
    where: { id: volunteerId, studyId: scope.access.studyId },
    select: { id: true, code: true, erasedAt: true },
  });
  if (volunteer === null) throw notFound("volunteer");
  return volunteer;
}

async function holdVolunteer(write: WriteScope, volunteerId: string) {
  await write.db
    .$queryRaw`select id from volunteer where id = ${volunteerId} and study_id = ${write.access.studyId} for update`;
  const volunteer = await findVolunteer(write, volunteerId);
  requireNotErased(volunteer);
  return volunteer;
}
