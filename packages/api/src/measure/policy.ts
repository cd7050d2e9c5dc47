import { createHash } from "node:crypto";
import { AnalysisError, analysisVersion } from "@acral/analysis";
import {
  type AlignedTrace,
  alignTraces,
  type TrialMeasure,
  type TrialTrace,
  trialMeasureDefaults,
  trialMeasures,
} from "@acral/analysis/course";
import type { AdjustmentSettings } from "@acral/analysis/quality";
import type { WeightingUse } from "@acral/analysis/skin";
import { canonicalJson } from "../canonical-json";
import { type MarkerValue, type PlannedPhase, phasesOf, type TrialPhase } from "../marker/policy";
import { type FileTraces, inWords, joinTraces, meanSkinTemperatureName, recordingOf } from "../trace/policy";

/** What the aligned traces and measures of a trial rest on, and how they follow from it. Nothing reads or writes here. */

/** The settings of every derived number; common practice until a study states its own. */
export const derivedSettings = trialMeasureDefaults;

export interface SourceOfNumbers {
  readonly sha256: string;
  readonly columnMap: unknown;
  readonly offsetS: number;
  readonly readerVersion: string | null;
  /** Settings of the adjustments in force, in their order. */
  readonly adjustments: readonly AdjustmentSettings[];
}

export interface NumbersRestOn {
  /** The files that were read, oldest first. */
  readonly sources: readonly SourceOfNumbers[];
  readonly markers: readonly MarkerValue[];
  readonly planned: readonly PlannedPhase[];
}

/**
 * SHA-256 over everything that a trial's derived numbers depend on: source hashes, column maps, offsets, adjustments, markers
 * of phases, phases of the protocol, settings, version of the reader and of the analysis.
 */
export function inputHashOf(restsOn: NumbersRestOn): string {
  const { sources, markers, planned } = restsOn;
  const text = canonicalJson({
    analysisVersion,
    settings: derivedSettings,
    sources: sources.map(({ sha256, columnMap, offsetS, readerVersion, adjustments }) => ({
      sha256,
      columnMap,
      offsetS,
      readerVersion,
      // Left out where there are none, so that numbers stored before adjustments came stay fresh.
      adjustments: adjustments.length === 0 ? undefined : adjustments,
    })),
    markers: markers
      .filter((marker) => marker.phaseKey !== null)
      .map(({ phaseKey, atS }) => ({ phaseKey, atS }))
      .sort((a, b) => a.atS - b.atS),
    phases: planned.map(({ key, kind }) => ({ key, kind })),
  });
  return createHash("sha256").update(text).digest("hex");
}

export interface DerivedTrace {
  readonly series: string;
  readonly statistic: string | null;
  readonly unit: string;
  readonly aligned: AlignedTrace;
}

export type Derived =
  | {
      readonly kind: "available";
      readonly traces: readonly DerivedTrace[];
      readonly measures: readonly TrialMeasure[];
      readonly phases: readonly TrialPhase[];
      readonly meanSkinTemperature: WeightingUse | null;
    }
  | { readonly kind: "unavailable"; readonly reason: string };

/** The aligned traces and measures of a trial, or why there are none. */
export function derive(
  files: readonly FileTraces[],
  markers: readonly MarkerValue[],
  planned: readonly PlannedPhase[],
): Derived {
  const recording = recordingOf(files);
  if (recording === null)
    return { kind: "unavailable", reason: "No source file of this trial has been read." };
  const phases = phasesOf(markers, planned, recording.toS);
  if (!phases.some((phase) => phase.kind === "exercise")) {
    return {
      kind: "unavailable",
      reason: "No exercise phase is placed, from whose start time is counted. Place the phases by markers.",
    };
  }
  const { traces, overlaps } = joinTraces(files);
  if (overlaps[0] !== undefined) return { kind: "unavailable", reason: overlaps[0] };
  const regional = traces.flatMap(({ kind, series, statistic, timeBase, values }): TrialTrace[] =>
    kind === "region" && statistic !== null ? [{ regionId: series, statistic, timeBase, values }] : [],
  );
  try {
    const { measures, aligned } = trialMeasures({ traces: regional, phases, settings: derivedSettings });
    const ofRegions = aligned.traces.map(
      ({ regionId, statistic, binS, firstBin, values, coverage }): DerivedTrace => ({
        series: regionId,
        statistic,
        unit: "°C",
        aligned: { binS, firstBin, values, coverage },
      }),
    );
    const ofChannels = traces
      .filter((trace) => trace.kind === "channel")
      .flatMap(({ series, unit, timeBase, values }): DerivedTrace[] =>
        alignTraces(timeBase, [values], aligned.grid).map((channel) => ({
          series,
          statistic: null,
          unit,
          aligned: channel,
        })),
      );
    const mean = aligned.meanSkinTemperature;
    const ofBody: DerivedTrace[] =
      mean.kind === "available"
        ? [{ series: meanSkinTemperatureName, statistic: null, unit: "°C", aligned: mean.aligned }]
        : [];
    return {
      kind: "available",
      traces: [...ofBody, ...ofRegions, ...ofChannels],
      measures: measures.map((measure) =>
        measure.reason === undefined ? measure : { ...measure, reason: inWords(measure.reason) },
      ),
      phases,
      meanSkinTemperature: mean.kind === "available" ? mean.use : null,
    };
  } catch (error) {
    if (error instanceof AnalysisError) return { kind: "unavailable", reason: inWords(error.message) };
    throw error;
  }
}
