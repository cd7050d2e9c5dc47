import type { Prisma } from "@acral/db";
import type { z } from "zod";
import { requirePermission, requireStoredUse } from "../consent/service";
import { permissionKeys } from "../consent-form/policy";
import type { ProtocolContent } from "../protocol/schema";
import { completenessOf, itemOf, type ReportingFacts, reportingSource } from "../reporting/policy";
import { changedMeanwhile } from "../revision";
import { type ReadScope, writeInStudy } from "../scope";
import { findTrial, lockTrial } from "../trial/service";
import { clockOf, recordAsPlanned, recordDiffers } from "./policy";
import { type ImagingRecord, imagingRecord, type saveImagingInput } from "./schema";

/** The columns of a trial on which the completeness of its reporting rests. */
export const reportingColumns = {
  airTemperatureC: true,
  meanRadiantTemperatureC: true,
  relativeHumidityPct: true,
  airSpeedMS: true,
  imagingRecord: { select: { content: true, revision: true, savedAt: true } },
  volunteer: {
    select: { id: true, code: true, sex: true, birthYear: true, _count: { select: { bodyMeasures: true } } },
  },
  sourceFiles: {
    select: { startedAt: true },
    where: { startedAt: { not: null } },
    orderBy: [{ startedAt: "asc" }, { id: "asc" }],
    take: 1,
  },
} satisfies Prisma.TrialSelect;

type ReportingRow = Prisma.TrialGetPayload<{ select: typeof reportingColumns }>;

/** What a trial's row says, in the terms of the reporting items. */
export function reportingFactsOf(row: ReportingRow, protocol: ProtocolContent): ReportingFacts {
  const { airTemperatureC, meanRadiantTemperatureC, relativeHumidityPct, airSpeedMS, volunteer } = row;
  return {
    protocol,
    record: row.imagingRecord === null ? null : imagingRecord.parse(row.imagingRecord.content),
    room: { airTemperatureC, meanRadiantTemperatureC, relativeHumidityPct, airSpeedMS },
    volunteer: {
      sexStated: volunteer.sex !== "not_stated",
      birthYear: volunteer.birthYear,
      bodyMeasures: volunteer._count.bodyMeasures > 0,
    },
    fileClock: clockOf(row.sourceFiles[0]?.startedAt ?? null),
  };
}

/** A trial's imaging record, what the protocol plans instead, and which reporting items are still missing. */
export async function imagingOfTrial(scope: ReadScope, trialId: string) {
  const { trial, content } = await findTrial(scope, trialId);
  await requireStoredUse(scope, trial.volunteerId, permissionKeys.takePart, scope.now);
  const row = await scope.db.trial.findUniqueOrThrow({ where: { id: trial.id }, select: reportingColumns });
  const facts = reportingFactsOf(row, content);
  const { items, recorded, missing, notApplicable } = completenessOf(facts);
  return {
    revision: row.imagingRecord?.revision ?? 0,
    savedAt: row.imagingRecord?.savedAt.toISOString() ?? null,
    /** Null while nothing was recorded. */
    record: facts.record,
    asPlanned: recordAsPlanned(content.imaging, facts.fileClock),
    differs: facts.record === null ? [] : recordDiffers(content.imaging, facts.record),
    items: items.map((finding) => ({ ...itemOf(finding.key), ...finding })),
    recorded,
    missing,
    notApplicable,
    source: reportingSource,
  };
}

export function saveImaging(scope: ReadScope, input: z.output<typeof saveImagingInput>) {
  return writeInStudy(scope, async (write) => {
    const { trial, subject } = await lockTrial(write, input.trialId, "change");
    const { db, access, now } = write;
    const before = await db.imagingRecord.findUnique({ where: { trialId: trial.id } });
    const record = before === null ? null : imagingRecord.parse(before.content);
    if ((before?.revision ?? 0) !== input.revision) {
      throw changedMeanwhile("imaging record", { revision: before?.revision ?? 0, record });
    }
    await requirePermission(write, trial.volunteerId, permissionKeys.takePart, now);
    const revision = input.revision + 1;
    const values = { content: input.record, revision, savedAt: now };
    await db.imagingRecord.upsert({
      where: { trialId: trial.id },
      create: { trialId: trial.id, studyId: access.studyId, ...values },
      update: values,
    });
    return {
      result: { revision },
      audit: [
        {
          action: "imaging.save",
          subject,
          ...(record === null ? {} : { before: outline(record) }),
          after: outline(input.record),
        },
      ],
    };
  });
}

/** What the audit trail tells of a record. What a volunteer named may tell of their health, so that only its length is told. */
function outline({ schema: _, notApplicable, outsideFactors, ...record }: ImagingRecord) {
  const { length } = outsideFactors;
  return {
    ...record,
    outsideFactors: length === 0 ? "" : `entered (${length} characters)`,
    notApplicable: Object.entries(notApplicable).map(([key, reason]) => `${key}: ${reason}`),
  };
}
