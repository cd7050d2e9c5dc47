import { AnalysisError } from "../analysis-error";
import {
  type FilledPosition,
  type FilledWeighting,
  fillWeighting,
  type MissingSitePolicy,
  requireFilled,
  type WeightingUse,
  weightingUse,
} from "./fill-weighting";
import type { Statistic } from "./region";
import { isRegionId, regionById, UnknownRegionError } from "./region-catalogue";
import { type Weighting, type WeightingId, weightings } from "./weighting";

export interface RegionReading {
  readonly regionId: string;
  readonly statistic: Statistic;
  /** °C */
  readonly value: number;
}

export interface RegionSeries {
  readonly regionId: string;
  readonly statistic: Statistic;
  /** °C, one per time of a time base that all the series share; NaN is missing. */
  readonly values: Float64Array;
}

export interface MeanSkinTemperature extends WeightingUse {
  /** °C */
  readonly value: number;
}

export interface MeanSkinTemperatureSeries extends WeightingUse {
  /** °C; NaN where the policy gives no answer. */
  readonly values: Float64Array;
  /** Published weight that was present at each time, 0 to 1. */
  readonly presentWeight: Float64Array;
}

export interface MeanSkinTemperatureOptions {
  readonly missingSites?: MissingSitePolicy;
}

/** The weighting of that id. */
export function weightingById(id: WeightingId): Weighting {
  const weighting = weightings.find((candidate) => candidate.id === id);
  if (weighting === undefined) {
    throw new AnalysisError(
      "unknown",
      "weightingById",
      "id",
      `a published weighting; there is none named "${id}"`,
    );
  }
  return weighting;
}

function refusal(statistic: Statistic): string | null {
  switch (statistic) {
    case "mean":
    case "point":
      return null;
    case "maximum":
      return "which follows the hottest pixels (vessels, folds) and not the area, so the weighted mean would be too high";
    case "minimum":
      return "which follows the coldest pixels (edges, background) and not the area, so the weighted mean would be too low";
    case "standard deviation":
      return "which is a spread and not a temperature";
  }
}

interface Entry {
  readonly regionId: string;
  readonly statistic: Statistic;
  readonly values: Float64Array;
}

function collect(
  functionName: string,
  argument: string,
  entries: readonly Entry[],
): Map<string, Float64Array> {
  const given = new Map<string, Float64Array>();
  const length = entries[0]?.values.length ?? 0;
  for (const { regionId, statistic, values } of entries) {
    if (!isRegionId(regionId)) throw new UnknownRegionError(functionName, argument, regionId);
    const { label } = regionById(regionId);
    const reason = refusal(statistic);
    if (reason !== null) {
      const requirement = `region means or single points; ${label} is given as a ${statistic}, ${reason}`;
      throw new AnalysisError("refused", functionName, argument, requirement);
    }
    if (given.has(regionId)) {
      const requirement = `each region once; ${label} is given twice`;
      throw new AnalysisError("out of range", functionName, argument, requirement);
    }
    if (values.length !== length) {
      const requirement = `series of one length; found ${length} and ${values.length} values`;
      throw new AnalysisError("unequal lengths", functionName, argument, requirement);
    }
    given.set(regionId, values);
  }
  return given;
}

/** Mean of what is finite; NaN when nothing is, or when something is not and nothing may be skipped. */
class RunningMean {
  private reference = Number.NaN;
  private sum = 0;
  private count = 0;
  private broken = false;

  add(value: number, skipMissing: boolean): void {
    if (!Number.isFinite(value)) {
      if (!skipMissing) this.broken = true;
      return;
    }
    if (this.count === 0) this.reference = value;
    this.sum += value - this.reference;
    this.count++;
  }

  take(): number {
    const mean = this.broken || this.count === 0 ? Number.NaN : this.reference + this.sum / this.count;
    this.sum = 0;
    this.count = 0;
    this.broken = false;
    return mean;
  }
}

/** Regions of one side are averaged first, then the sides, then the sites of the position. */
function positionValues(position: FilledPosition, length: number, skipMissing: boolean): Float64Array {
  const result = new Float64Array(length);
  const overSites = new RunningMean();
  const overSides = new RunningMean();
  const overRegions = new RunningMean();
  for (let i = 0; i < length; i++) {
    for (const sides of position.sites) {
      for (const side of sides) {
        for (const values of side) overRegions.add(values[i] as number, skipMissing);
        overSides.add(overRegions.take(), skipMissing);
      }
      overSites.add(overSides.take(), skipMissing);
    }
    result[i] = overSites.take();
  }
  return result;
}

/** Departures from one value are weighted, so that equal temperatures give exactly that temperature. */
function weightedSeries(filled: FilledWeighting, length: number, policy: MissingSitePolicy) {
  const skipMissing = policy === "renormalise";
  const columns = filled.positions.map((position) => positionValues(position, length, skipMissing));
  const weights = filled.positions.map((position) => position.weight);
  const values = new Float64Array(length);
  const presentWeight = new Float64Array(length);
  for (let i = 0; i < length; i++) {
    let reference = Number.NaN;
    let sum = 0;
    let weightSum = 0;
    let present = 0;
    for (let p = 0; p < columns.length; p++) {
      const value = columns[p]?.[i] as number;
      const weight = weights[p] as number;
      if (!Number.isFinite(value)) continue;
      if (present === 0) reference = value;
      sum += weight * (value - reference);
      weightSum += weight;
      present++;
    }
    const complete = filled.missing.length === 0 && present === columns.length;
    presentWeight[i] = complete ? 1 : weightSum;
    values[i] =
      complete || (skipMissing && present > 0) ? reference + sum / (presentWeight[i] as number) : Number.NaN;
  }
  return { values, presentWeight };
}

/**
 * Mean skin temperature in °C of one moment: Σ wᵢ·Tᵢ over the positions of a published weighting.
 *
 * Each position takes the first of its choices that has a region; several aspects of one side, and then left and right,
 * are averaged with equal weight. A reading of NaN counts as not given.
 *
 * @param options.missingSites `error` (default) refuses when a position has no region; `renormalise` divides the
 *   remaining weights by their sum and marks the result, which is then no longer the published mean.
 * @throws AnalysisError `refused` for maxima, minima and spreads; `missing` for a missing site; UnknownRegionError
 */
export function meanSkinTemperature(
  weightingId: WeightingId,
  readings: readonly RegionReading[],
  options: MeanSkinTemperatureOptions = {},
): MeanSkinTemperature {
  const name = "meanSkinTemperature";
  const weighting = weightingById(weightingId);
  const policy = options.missingSites ?? "error";
  const entries = readings.map(({ regionId, statistic, value }) => {
    if (Math.abs(value) === Number.POSITIVE_INFINITY) {
      throw new AnalysisError("not finite", name, "readings", `finite temperatures in °C, not ${value}`);
    }
    return { regionId, statistic, values: Float64Array.of(value) };
  });
  const given = collect(name, "readings", entries);
  for (const [regionId, values] of given) if (Number.isNaN(values[0])) given.delete(regionId);
  const filled = fillWeighting(weighting, given);
  requireFilled(name, "readings", weighting, policy, filled);
  const { values } = weightedSeries(filled, 1, policy);
  return { ...weightingUse(weighting, policy, filled), value: values[0] as number };
}

/**
 * Mean skin temperature in °C over time, for series that share one time base.
 *
 * Which regions serve a position is decided once for the whole series. Under `error` a moment at which any serving region
 * is NaN is NaN, so that every value is composed alike; under `renormalise` it is the mean of what is present at that
 * moment, and `presentWeight` says how much that is.
 *
 * @throws as meanSkinTemperature, and `unequal lengths`
 */
export function meanSkinTemperatureSeries(
  weightingId: WeightingId,
  series: readonly RegionSeries[],
  options: MeanSkinTemperatureOptions = {},
): MeanSkinTemperatureSeries {
  const name = "meanSkinTemperatureSeries";
  const weighting = weightingById(weightingId);
  const policy = options.missingSites ?? "error";
  const given = collect(name, "series", series);
  const filled = fillWeighting(weighting, given);
  requireFilled(name, "series", weighting, policy, filled);
  const { values, presentWeight } = weightedSeries(filled, series[0]?.values.length ?? 0, policy);
  const use = weightingUse(weighting, policy, filled);
  const incomplete = policy === "renormalise" && presentWeight.some((weight) => weight > 0 && weight < 1);
  return { ...use, renormalised: use.renormalised || incomplete, values, presentWeight };
}
