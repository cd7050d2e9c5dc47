import { randomBytes } from "node:crypto";
import { regionById } from "@acral/analysis/skin";
import { Prisma } from "@acral/db";
import {
  assessDisclosure,
  type DisclosureReport,
  disclosureRuleSchema,
  forbiddenStringsOf,
  type RegionToRelease,
  type ReleaseFrame,
  ReleaseRefusedError,
  seededRandom,
  type TraceToRelease,
  type TrialToRelease,
  type VolunteerToRelease,
  writeRelease,
} from "@acral/release";
import type { z } from "zod";
import { AppError, notFound } from "../app-error";
import { type Anchor, anchorText } from "../audit-chain/schema";
import { chainHead } from "../audit-chain/service";
import { holdBlob, removeUnnamedBlob } from "../blob/service";
import { whyNotUsed } from "../consent/policy";
import { permissionsOf } from "../consent/service";
import { takePart } from "../consent-form/schema";
import { newId } from "../identifiers";
import { identitiesForComparison } from "../identity/service";
import { phasesOf } from "../marker/policy";
import { measuresOf } from "../measure/service";
import { protocolContent } from "../protocol/schema";
import { protocolInForce } from "../protocol/service";
import { type ReadScope, writeInStudy } from "../scope";
import { recordingOf } from "../trace/policy";
import { tracesOfTrial } from "../trace/service";
import { ageInYears, keptOf, sharingPermission, whyNotReleased } from "./policy";
import { type assessReleaseInput, keptReport, keptRule, licences, type makeReleaseInput } from "./schema";

type AssessInput = z.output<typeof assessReleaseInput>;

interface Gathered {
  readonly frame: ReleaseFrame;
  readonly codes: ReadonlyMap<string, string>;
  readonly auditHead: Anchor | null;
  /** Volunteers who are not offered, and why. */
  readonly withoutPermission: readonly { readonly code: string; readonly reason: string }[];
}

async function gather(scope: ReadScope, input: AssessInput): Promise<Gathered> {
  const { studyId } = scope.access;
  const [study, protocol, last, auditHead] = await Promise.all([
    scope.db.study.findUniqueOrThrow({ where: { id: studyId } }),
    protocolInForce(scope.db, studyId),
    scope.db.release.findFirst({ where: { studyId }, orderBy: { number: "desc" }, select: { number: true } }),
    chainHead(scope.db, studyId),
  ]);
  if (protocol === null) {
    throw new AppError(
      "wrong-state",
      "No protocol is in force. A release describes its data by the protocol in force.",
    );
  }
  const rows = await scope.db.volunteer.findMany({
    where: { studyId },
    include: { bodyMeasures: { orderBy: [{ measuredOn: "desc" }, { createdAt: "desc" }], take: 1 } },
    orderBy: { code: "asc" },
  });
  const consents = await permissionsOf(
    scope,
    rows.map(({ id }) => id),
    scope.now,
  );
  const reasonOf = (id: string): string | null => whyNotReleased(consents.get(id));
  const permitted = rows.filter(({ id }) => reasonOf(id) === null);
  const trials = await trialsToRelease(
    scope,
    permitted.map(({ id }) => id),
  );
  const measured = new Set(trials.map(({ volunteerKey }) => volunteerKey));
  const volunteers = permitted
    .filter(({ id }) => measured.has(id))
    .map(
      (row): VolunteerToRelease => ({
        key: row.id,
        sex: row.sex === "not_stated" ? null : row.sex,
        ageYears: ageInYears(row.birthYear, row.registeredAt),
        heightCm: row.bodyMeasures[0]?.heightCm ?? null,
        massKg: row.bodyMeasures[0]?.massKg ?? null,
      }),
    );
  const { phases, conditions } = protocol.content;
  return {
    codes: new Map(rows.map(({ id, code }) => [id, code])),
    auditHead,
    withoutPermission: rows.flatMap(({ id, code }) => {
      const reason = reasonOf(id) ?? (measured.has(id) ? null : "No accepted trial.");
      return reason === null ? [] : [{ code, reason }];
    }),
    frame: {
      study: { title: study.title, summary: study.summary },
      release: {
        number: (last?.number ?? 0) + 1,
        createdOn: scope.now.toISOString().slice(0, 10),
        licence: licences[input.licence],
        ...(auditHead !== null && { auditHead: { entry: auditHead.sequence, sha256: auditHead.hash } }),
      },
      protocol: {
        version: protocol.version,
        phases: phases.map(({ name, kind, durationS }) => ({ name, kind, durationS })),
        conditions: conditions.map(({ name, description }) => ({ name, description })),
        regions: await regionsToRelease(scope, trials),
      },
      volunteers,
      trials,
      rule: disclosureRuleSchema.parse({ k: input.smallestGroup }),
      forbiddenStrings: (await identitiesForComparison(scope)).flatMap(forbiddenStringsOf),
    },
  };
}

async function trialsToRelease(scope: ReadScope, volunteerIds: readonly string[]): Promise<TrialToRelease[]> {
  const rows = await scope.db.trial.findMany({
    where: { studyId: scope.access.studyId, state: "accepted", volunteerId: { in: [...volunteerIds] } },
    include: { markers: true, protocol: { select: { content: true } } },
    orderBy: { id: "asc" },
  });
  const { measures, excluded } = await measuresOf(
    scope,
    rows.map(({ id }) => id),
    "all",
    [sharingPermission],
  );
  const left = new Set(excluded.map(({ trialId }) => trialId));
  const trials: TrialToRelease[] = [];
  for (const row of rows) {
    if (left.has(row.id)) continue;
    const content = protocolContent.parse(row.protocol.content);
    const recording = recordingOf(await tracesOfTrial(scope, row.id));
    trials.push({
      key: row.id,
      volunteerKey: row.volunteerId,
      conditionName: content.conditions.find(({ key }) => key === row.conditionKey)?.name ?? row.conditionKey,
      occasion: row.occasion,
      room: {
        airTemperatureC: row.airTemperatureC,
        meanRadiantTemperatureC: row.meanRadiantTemperatureC,
        relativeHumidityPct: row.relativeHumidityPct,
        airSpeedMS: row.airSpeedMS,
      },
      phases: phasesOf(row.markers, content.phases, recording?.toS ?? 0).map(
        ({ name, kind, startS, endS }) => ({
          name,
          kind,
          startS,
          endS,
        }),
      ),
      measures: measures
        .filter(({ trialId }) => trialId === row.id)
        // Every measure of the catalogue is a temperature, a time or a rate of skin: none uses body measures.
        .map(({ name, regionId, value, unit }) => ({ name, regionId, value, unit, usesBodyMeasures: false })),
    });
  }
  return trials;
}

async function regionsToRelease(
  scope: ReadScope,
  trials: readonly TrialToRelease[],
): Promise<RegionToRelease[]> {
  const traced = await scope.db.trace.findMany({
    where: {
      studyId: scope.access.studyId,
      trialId: { in: trials.map(({ key }) => key) },
      regionId: { not: null },
    },
    select: { regionId: true },
    distinct: ["regionId"],
  });
  const measured = trials.flatMap(({ measures }) => measures.map(({ regionId }) => regionId));
  const ids = new Set([...traced.map(({ regionId }) => regionId), ...measured].filter((id) => id !== null));
  return [...ids].sort().map((id) => {
    const { site, side, aspect, label } = regionById(id);
    return { id, site, side, aspect, label };
  });
}

async function* tracesToRelease(scope: ReadScope, trialId: string): AsyncGenerator<TraceToRelease> {
  for (const file of await tracesOfTrial(scope, trialId)) {
    for (const { kind, series, statistic, unit, values } of file.traces) {
      yield {
        target:
          kind === "region"
            ? { kind, regionId: series, statistic: statistic ?? "mean" }
            : { kind: "channel", channel: series },
        unit,
        timeBase: file.timeBase,
        // They are stored as float32, and written as the shortest decimals that give the same float32 back.
        values: Float32Array.from(values),
      };
    }
  }
}

function shown(report: DisclosureReport, gathered: Gathered) {
  return {
    releaseNumber: gathered.frame.release.number,
    refusals: report.refusals,
    warnings: report.warnings,
    volunteers: report.volunteers,
    trials: report.trials,
    before: report.before,
    after: report.after,
    columns: report.columns,
    withoutLeavingOut: report.withoutLeavingOut,
    groups: report.groups,
    withheld: report.withheld,
    remainingRisks: report.remainingRisks,
    leftOut: report.leftOut.map(({ key, reason }) => ({ code: gathered.codes.get(key) ?? "", reason })),
    withoutPermission: gathered.withoutPermission,
  };
}

/** What a release would show and hide, before anything is written. */
export async function assessRelease(scope: ReadScope, input: AssessInput) {
  const gathered = await gather(scope, input);
  return shown(assessDisclosure(gathered.frame), gathered);
}

const refused = (error: ReleaseRefusedError) =>
  new AppError("release-refused", error.message, { details: { places: error.places }, cause: error });

/**
 * Makes the next release. The bytes are complete before the register's row is written, and the row is written only
 * when everybody in it still permits it and every trial in it still counts: a withdrawal during the making stops it.
 */
export async function makeRelease(scope: ReadScope, input: z.output<typeof makeReleaseInput>) {
  const gathered = await gather(scope, input);
  const { frame } = gathered;
  const report = assessDisclosure(frame);
  const bytes = writeRelease(
    {
      ...frame,
      traces: (trialKey) => tracesToRelease(scope, trialKey),
      random: seededRandom(randomBytes(32)),
    },
    report,
  );
  const blob = await scope.core.blobs.put(bytes).catch((error: unknown) => {
    throw error instanceof ReleaseRefusedError ? refused(error) : error;
  });
  const leftOut = new Set(report.leftOut.map(({ key }) => key));
  const released = frame.volunteers.map(({ key }) => key).filter((key) => !leftOut.has(key));
  return writeInStudy(scope, async (write) => {
    const { db, access, core } = write;
    const { studyId } = access;
    await db.$queryRaw`select id from study where id = ${studyId} for update`;
    await db.$queryRaw(
      Prisma.sql`select id from volunteer where study_id = ${studyId} and id in (${Prisma.join(released)}) for share`,
    );
    const consents = await permissionsOf(write, released, core.now());
    const lost = released.filter((id) => whyNotReleased(consents.get(id)) !== null);
    const taken = await db.release.findFirst({ where: { studyId, number: frame.release.number } });
    const written = frame.trials.filter(({ volunteerKey }) => !leftOut.has(volunteerKey));
    const accepted = await db.trial.findMany({
      where: {
        studyId,
        id: { in: written.map(({ key }) => key) },
        state: "accepted",
        stateChangedAt: { lte: scope.now },
      },
      select: { volunteerId: true, stateChangedAt: true },
    });
    const standing = accepted.filter(({ volunteerId, stateChangedAt }) => {
      const use = consents.get(volunteerId)?.stored(takePart);
      return use !== undefined && whyNotUsed(use, stateChangedAt) === null;
    });
    if (lost.length > 0 || taken !== null || standing.length < written.length) {
      throw new AppError(
        "changed-meanwhile",
        "A consent, a trial or the register of releases changed while the release was being made. Nothing was released; assess it again and repeat.",
      );
    }
    await holdBlob(write, blob.sha256);
    const releaseId = newId();
    const rule = { k: report.rule.k, licence: input.licence };
    const kept = keptOf(report, gathered.auditHead === null ? null : anchorText(gathered.auditHead));
    await db.release.create({
      data: {
        id: releaseId,
        studyId,
        number: frame.release.number,
        reason: input.reason,
        rule,
        report: kept,
        sha256: blob.sha256,
        sizeBytes: blob.sizeBytes,
        madeAt: write.now,
        madeById: access.actor.userId,
      },
    });
    await db.releaseVolunteer.createMany({
      data: released.map((volunteerId) => ({ studyId, releaseId, volunteerId })),
    });
    return {
      result: { releaseId, number: frame.release.number, sha256: blob.sha256, sizeBytes: blob.sizeBytes },
      audit: [
        {
          action: "release.make",
          subject: { kind: "release", id: releaseId, label: `release ${frame.release.number}` },
          after: {
            sha256: blob.sha256,
            volunteers: kept.volunteers.released,
            trials: kept.trials.released,
            smallestGroup: kept.smallestGroup,
          },
          reason: input.reason,
        },
      ],
    };
  }).catch(async (error: unknown) => {
    // It was not released: somebody in it may have been erased meanwhile.
    await removeUnnamedBlob(scope.core, blob.sha256, null);
    throw error;
  });
}

export async function listReleases(scope: ReadScope) {
  const { studyId } = scope.access;
  const rows = await scope.db.release.findMany({
    where: { studyId },
    include: { volunteers: { select: { volunteerId: true, volunteer: { select: { code: true } } } } },
    orderBy: { number: "desc" },
  });
  const ids = [...new Set(rows.flatMap((row) => row.volunteers.map(({ volunteerId }) => volunteerId)))];
  const consents = await permissionsOf(scope, ids, scope.now);
  const stillPermits = (id: string) => whyNotReleased(consents.get(id)) === null;
  return rows.map((row) => ({
    releaseId: row.id,
    number: row.number,
    reason: row.reason,
    rule: keptRule.parse(row.rule),
    report: keptReport.parse(row.report),
    sha256: row.sha256,
    sizeBytes: row.sizeBytes,
    madeAt: row.madeAt.toISOString(),
    /** Volunteers in this release who have taken their permission back since. */
    withdrawnSince: row.volunteers
      .filter(({ volunteerId }) => !stillPermits(volunteerId))
      .map(({ volunteer }) => volunteer.code)
      .sort(),
  }));
}

/** Leaves an entry in the audit trail and gives the blob to send. */
export function downloadRelease(scope: ReadScope, releaseId: string) {
  return writeInStudy(scope, async ({ db, access }) => {
    const row = await db.release.findFirst({ where: { id: releaseId, studyId: access.studyId } });
    if (row === null) throw notFound("release");
    return {
      result: { sha256: row.sha256, sizeBytes: row.sizeBytes, fileName: `release-${row.number}.zip` },
      audit: [
        {
          action: "release.download",
          subject: { kind: "release", id: row.id, label: `release ${row.number}` },
          after: { sha256: row.sha256, sizeBytes: row.sizeBytes },
        },
      ],
    };
  });
}
