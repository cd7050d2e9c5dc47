import { analysisVersion } from "@acral/analysis";
import { type AlignedTrace, type MeasureName, measureCatalogue } from "@acral/analysis/course";
import { decodeFloat32, encodeFloat32, type Prisma } from "@acral/db";
import { columnMapSchema } from "@acral/ingest";
import { adjustmentTitle, onClock, timeShiftOf } from "../adjustment/policy";
import { AppError, notFound } from "../app-error";
import { whyNotUsed } from "../consent/policy";
import { permissionsOf, requireStoredUse } from "../consent/service";
import { permissionKeys } from "../consent-form/policy";
import { newId } from "../identifiers";
import { protocolContent } from "../protocol/schema";
import type { ReadScope, Transaction, WriteScope } from "../scope";
import { seriesKey } from "../trace/policy";
import { activeAdjustments, settingsOf, tracesOfTrial } from "../trace/service";
import { type Derived, derive, derivedSettings, inputHashOf, type NumbersRestOn } from "./policy";

/**
 * The numbers derived from trials: aligned traces and measures. They are stored when a trial is accepted, together with
 * the hash of everything that they rest on; a stored number whose hash is stale is computed again and never shown.
 */

const restingOn = {
  id: true,
  volunteerId: true,
  conditionKey: true,
  occasion: true,
  state: true,
  stateChangedAt: true,
  volunteer: { select: { code: true } },
  protocol: { select: { content: true } },
  markers: { select: { name: true, phaseKey: true, atS: true }, orderBy: [{ atS: "asc" }, { id: "asc" }] },
  sourceFiles: {
    where: { state: "read" },
    select: {
      id: true,
      name: true,
      sha256: true,
      columnMap: true,
      offsetS: true,
      readerVersion: true,
      adjustments: { ...activeAdjustments, select: { id: true, settings: true, reason: true } },
    },
    orderBy: [{ uploadedAt: "asc" }, { id: "asc" }],
  },
} satisfies Prisma.TrialSelect;

type RestingRow = Prisma.TrialGetPayload<{ select: typeof restingOn }>;

function restsOn(row: RestingRow): NumbersRestOn {
  return {
    sources: row.sourceFiles.map((file) => ({ ...file, adjustments: settingsOf(file.adjustments) })),
    markers: row.markers,
    planned: protocolContent.parse(row.protocol.content).phases,
  };
}

async function restingRow(scope: ReadScope, trialId: string): Promise<RestingRow> {
  const row = await scope.db.trial.findFirst({
    where: { id: trialId, studyId: scope.access.studyId },
    select: restingOn,
  });
  if (row === null) throw notFound("trial");
  return row;
}

async function deriveRow(scope: ReadScope, row: RestingRow): Promise<Derived> {
  const { markers, planned } = restsOn(row);
  return derive(await tracesOfTrial(scope, row.id), markers, planned);
}

/** Takes the stored aligned traces and measures of a trial away. */
export async function removeDerived({ db, access }: WriteScope, trialId: string): Promise<void> {
  await clear(db, access.studyId, trialId);
}

async function clear(db: Transaction, studyId: string, trialId: string): Promise<void> {
  await db.alignedTrace.deleteMany({ where: { studyId, trialId } });
  await db.measure.deleteMany({ where: { studyId, trialId } });
}

async function write(
  db: Transaction,
  studyId: string,
  trialId: string,
  derived: Derived & { kind: "available" },
  inputHash: string,
): Promise<void> {
  // Two people who open the same comparison find the same stale numbers: one after the other replaces them.
  await db.$queryRaw`select id from trial where id = ${trialId} and study_id = ${studyId} for update`;
  await clear(db, studyId, trialId);
  await db.alignedTrace.createMany({
    data: derived.traces.map(({ series, statistic, unit, aligned }) => ({
      id: newId(),
      studyId,
      trialId,
      series,
      statistic,
      unit,
      fromS: aligned.firstBin * aligned.binS,
      binS: aligned.binS,
      count: aligned.values.length,
      mean: encodeFloat32(aligned.values),
      coverage: encodeFloat32(aligned.coverage),
      inputHash,
    })),
  });
  await db.measure.createMany({
    data: derived.measures.map(({ name, regionId, value, unit, reason }) => ({
      id: newId(),
      studyId,
      trialId,
      name,
      regionId,
      value,
      unit,
      unavailable: value === null ? (reason ?? "no reason given") : null,
      inputHash,
      analysisVersion,
    })),
  });
}

/**
 * Computes a trial's numbers, and returns what stores them in a transaction: it throws when what they rest on changed
 * between the two.
 */
export async function storeDerived(
  scope: ReadScope,
  trialId: string,
): Promise<(db: Transaction) => Promise<string>> {
  const row = await restingRow(scope, trialId);
  const inputHash = inputHashOf(restsOn(row));
  const derived = await deriveRow(scope, row);
  if (derived.kind === "unavailable") {
    throw new AppError("wrong-state", `The trial's measures cannot be computed. ${derived.reason}`);
  }
  return async (db) => {
    if (inputHashOf(restsOn(await restingRow({ ...scope, db }, trialId))) !== inputHash) {
      throw new AppError(
        "changed-meanwhile",
        "A source file, an adjustment or a marker of this trial was changed at the same moment. Look at the trial again, then repeat.",
      );
    }
    await write(db, scope.access.studyId, trialId, derived, inputHash);
    return inputHash;
  };
}

export interface TrialIdentity {
  readonly trialId: string;
  readonly volunteerId: string;
  readonly volunteerCode: string;
  readonly conditionKey: string;
  readonly occasion: number;
}

/** A trial whose numbers are not given, and why, in words for a person. */
export interface ExcludedTrial extends TrialIdentity {
  readonly reason: string;
}

const identityOf = (row: RestingRow): TrialIdentity => ({
  trialId: row.id,
  volunteerId: row.volunteerId,
  volunteerCode: row.volunteer.code,
  conditionKey: row.conditionKey,
  occasion: row.occasion,
});

/**
 * The accepted trials among those asked for whose volunteers permit their use now, and beside it `alsoInForce`, with stored
 * numbers made fresh where they were stale. Not to be called within a transaction: it opens its own.
 */
async function freshTrials(
  scope: ReadScope,
  trialIds: readonly string[],
  alsoInForce: readonly string[],
): Promise<{ fresh: Map<string, TrialIdentity & { inputHash: string }>; excluded: ExcludedTrial[] }> {
  const { studyId } = scope.access;
  const rows = await scope.db.trial.findMany({
    where: { studyId, id: { in: [...new Set(trialIds)] } },
    select: restingOn,
    orderBy: [{ volunteer: { code: "asc" } }, { conditionKey: "asc" }, { occasion: "asc" }],
  });
  const found = rows.map((row) => row.id);
  const stored = await scope.db.measure.groupBy({
    by: ["trialId", "inputHash"],
    where: { studyId, trialId: { in: found } },
  });
  const hashesOf = new Map<string, Set<string>>();
  for (const { trialId, inputHash } of stored) {
    hashesOf.set(trialId, (hashesOf.get(trialId) ?? new Set()).add(inputHash));
  }
  const permitted = await permissionsOf(scope, [...new Set(rows.map((row) => row.volunteerId))], scope.now);
  const fresh = new Map<string, TrialIdentity & { inputHash: string }>();
  const excluded: ExcludedTrial[] = [];
  for (const row of rows) {
    const exclude = (reason: string) => excluded.push({ ...identityOf(row), reason });
    const consent = permitted.get(row.volunteerId);
    const use = consent?.stored(permissionKeys.takePart);
    const lacking =
      use?.allowed === true
        ? alsoInForce.find((permission) => consent?.has(permission) !== true)
        : permissionKeys.takePart;
    if (use === undefined || lacking !== undefined) {
      exclude(`no consent in force permits it (${lacking})`);
      continue;
    }
    if (row.state !== "accepted") {
      exclude(row.state === "set_aside" ? "the trial was set aside" : "the trial is not accepted yet");
      continue;
    }
    const late = whyNotUsed(use, row.stateChangedAt);
    if (late !== null) {
      exclude(late);
      continue;
    }
    const inputHash = inputHashOf(restsOn(row));
    const hashes = hashesOf.get(row.id);
    if (hashes?.size !== 1 || !hashes.has(inputHash)) {
      const derived = await deriveRow(scope, row);
      if (derived.kind === "unavailable") {
        exclude(derived.reason);
        continue;
      }
      await scope.core.database.prisma.$transaction((db) => write(db, studyId, row.id, derived, inputHash));
    }
    fresh.set(row.id, { ...identityOf(row), inputHash });
  }
  return { fresh, excluded };
}

export interface AlignedTraceOfTrial extends TrialIdentity {
  /** A region of the catalogue, a channel, or "mean skin temperature". */
  readonly series: string;
  readonly statistic: string | null;
  readonly unit: string;
  readonly aligned: AlignedTrace;
  readonly inputHash: string;
}

export interface SeriesWanted {
  readonly series: string;
  readonly statistic: string | null;
}

/**
 * Aligned traces of accepted trials (5 s bins from the start of the first exercise phase), of all series or of those
 * wanted, for volunteers who permit their use now. What is left out is told with its reason.
 */
export async function alignedTracesOf(
  scope: ReadScope,
  trialIds: readonly string[],
  wanted: readonly SeriesWanted[] | "all",
): Promise<{ traces: AlignedTraceOfTrial[]; excluded: ExcludedTrial[] }> {
  const { fresh, excluded } = await freshTrials(scope, trialIds, []);
  const keys = wanted === "all" ? null : new Set(wanted.map(seriesKey));
  const rows = await scope.db.alignedTrace.findMany({
    where: {
      studyId: scope.access.studyId,
      trialId: { in: [...fresh.keys()] },
      ...(wanted === "all" ? {} : { series: { in: [...new Set(wanted.map(({ series }) => series))] } }),
    },
    orderBy: [{ trialId: "asc" }, { series: "asc" }, { statistic: "asc" }],
  });
  const traces = rows.flatMap((row): AlignedTraceOfTrial[] => {
    const trial = fresh.get(row.trialId);
    if (trial === undefined || row.inputHash !== trial.inputHash) return [];
    if (keys !== null && !keys.has(seriesKey(row))) return [];
    const aligned: AlignedTrace = {
      binS: row.binS,
      firstBin: Math.round(row.fromS / row.binS),
      values: Float64Array.from(decodeFloat32(row.mean)),
      coverage: Float64Array.from(decodeFloat32(row.coverage)),
    };
    const { series, statistic, unit } = row;
    return [{ ...trial, series, statistic, unit, aligned }];
  });
  return { traces, excluded };
}

export interface MeasureOfTrial extends TrialIdentity {
  readonly name: MeasureName;
  /** Null for the whole body: mean skin temperature. */
  readonly regionId: string | null;
  readonly value: number | null;
  readonly unit: string;
  /** Why there is no value. */
  readonly unavailable: string | null;
  readonly inputHash: string;
}

export interface MeasureWanted {
  readonly name: MeasureName;
  readonly regionId: string | null;
}

function measureName(text: string): MeasureName {
  const entry = measureCatalogue.find(({ name }) => name === text);
  if (entry === undefined) throw new Error(`"${text}" is not in the measure catalogue.`);
  return entry.name;
}

/** Measures of accepted trials, all or those wanted; otherwise as alignedTracesOf. */
export async function measuresOf(
  scope: ReadScope,
  trialIds: readonly string[],
  wanted: readonly MeasureWanted[] | "all",
  alsoInForce: readonly string[] = [],
): Promise<{ measures: MeasureOfTrial[]; excluded: ExcludedTrial[] }> {
  const { fresh, excluded } = await freshTrials(scope, trialIds, alsoInForce);
  const rows = await scope.db.measure.findMany({
    where: {
      studyId: scope.access.studyId,
      trialId: { in: [...fresh.keys()] },
      ...(wanted === "all" ? {} : { OR: wanted.map(({ name, regionId }) => ({ name, regionId })) }),
    },
    orderBy: [{ trialId: "asc" }, { regionId: "asc" }, { name: "asc" }],
  });
  const measures = rows.flatMap((row): MeasureOfTrial[] => {
    const trial = fresh.get(row.trialId);
    if (trial === undefined || row.inputHash !== trial.inputHash) return [];
    const { regionId, value, unit, unavailable } = row;
    return [{ ...trial, name: measureName(row.name), regionId, value, unit, unavailable }];
  });
  return { measures, excluded };
}

function inCatalogueOrder(measures: readonly MeasureOfTrial[]): MeasureOfTrial[] {
  const place = new Map(measureCatalogue.map(({ name }, index) => [name, index]));
  return [...measures].sort((a, b) => (place.get(a.name) ?? 0) - (place.get(b.name) ?? 0));
}

/** One measure as a trial's page shows it. */
export interface ShownMeasure {
  readonly name: MeasureName;
  readonly regionId: string | null;
  readonly value: number | null;
  readonly unit: string;
  readonly unavailable: string | null;
  readonly note: string | null;
}

function titled(rows: readonly { id: string; settings: unknown; reason: string }[], offsetS: number) {
  const clockS = offsetS + timeShiftOf(settingsOf(rows));
  return rows.map((row) => {
    const [settings] = settingsOf([row]);
    return {
      adjustmentId: row.id,
      title: settings === undefined ? "" : adjustmentTitle(onClock(settings, clockS)),
      reason: row.reason,
    };
  });
}

/**
 * A trial's measures with what they rest on: the stored ones of an accepted trial, and of any other trial those that it
 * would be accepted with.
 */
export async function measuresOfTrial(scope: ReadScope, trialId: string) {
  const row = await restingRow(scope, trialId);
  await requireStoredUse(scope, row.volunteerId, permissionKeys.takePart, scope.now);
  const resting = restsOn(row);
  const inputHash = inputHashOf(resting);
  const provenance = {
    inputHash,
    analysisVersion,
    settings: derivedSettings,
    markers: resting.markers,
    sources: row.sourceFiles.map(({ id, name, sha256, columnMap, offsetS, readerVersion, adjustments }) => ({
      sourceFileId: id,
      name,
      sha256,
      offsetS,
      readerVersion,
      /** Those in force, in their order; their moments are on the trial's clock. */
      adjustments: titled(adjustments, offsetS),
      columnMap: columnMap === null ? null : columnMapSchema.parse(columnMap),
    })),
  };
  if (row.state === "accepted") {
    const { measures, excluded } = await measuresOf(scope, [trialId], "all");
    const reason = excluded[0]?.reason ?? null;
    if (reason !== null) return { kind: "unavailable" as const, reason, provenance };
    const shown = inCatalogueOrder(measures).map(
      ({ name, regionId, value, unit, unavailable }): ShownMeasure => ({
        name,
        regionId,
        value,
        unit,
        unavailable,
        note: null,
      }),
    );
    return { kind: "available" as const, stored: true, measures: shown, provenance };
  }
  const derived = await deriveRow(scope, row);
  if (derived.kind === "unavailable") return { ...derived, provenance };
  const shown = derived.measures.map(
    ({ name, regionId, value, unit, reason, note }): ShownMeasure => ({
      name,
      regionId,
      value,
      unit,
      unavailable: value === null ? (reason ?? "no reason given") : null,
      note: note ?? null,
    }),
  );
  return { kind: "available" as const, stored: false, measures: shown, provenance };
}
