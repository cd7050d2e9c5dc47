import { AnalysisError } from "../analysis-error";
import { requireOrderedTimeBase, sampleCount, sampleTimes, type TimeBase } from "../course";
import { recorrectSeries } from "../heat";
import {
  type AdjustmentSettings,
  type ChannelName,
  requireAdjustment,
  seriesKey,
  shiftedTimeBase,
} from "./adjustment";
import { cameraTraces } from "./camera-traces";
import { correctCommonDrift } from "./common-drift";
import type { QualityTrace } from "./finding";
import { recorrectSpread } from "./recorrect-spread";
import { referenceOffset } from "./reference-drift";

export interface ChannelTrace extends ChannelName {
  /** In the channel's own unit; NaN is missing. */
  readonly values: Float64Array;
}

export interface Adjustable<Trace extends QualityTrace, Channel extends ChannelTrace> {
  readonly timeBase: TimeBase;
  /** Region traces of one source file. */
  readonly traces: readonly Trace[];
  /** Its other series: heart rate, a reference surface … */
  readonly channels: readonly Channel[];
}

/** What one adjustment did, given those before it. */
export interface AdjustmentEffect {
  /** Largest change of a temperature in °C, by size; null for a kind that changes none. */
  readonly largestChangeC: number | null;
  /** Values that became missing; null for a kind that masks none. */
  readonly maskedSamples: number | null;
}

export interface Adjusted<Trace extends QualityTrace, Channel extends ChannelTrace>
  extends Adjustable<Trace, Channel> {
  /** One per adjustment, in their order. */
  readonly effects: readonly AdjustmentEffect[];
}

/** Moments that went through a text or another clock come back a little off; samples are never this close. */
const momentToleranceS = 1e-6;

/**
 * Applies adjustments in order to the series of one source file. Nothing given is changed: a series that no adjustment
 * touches is handed back as it is, the others are new. Without adjustments everything is handed back as it is, so that
 * leaving one out undoes it exactly. The same input gives the same bytes.
 *
 * - Temperatures of region traces are changed by drifts, steps and emissivity; their standard deviations only by
 *   emissivity (by the slope of the correction); channels, and points taken for contact sensors (`cameraTraces`), by none
 *   of these. All are masked and shifted in time.
 * - A missing value stays missing.
 * - Moments in the settings are on the clock of the given time base whatever shifts come before.
 * - A common step leaves what is before it; a warming-up drift leaves the last sample, because a camera is right once it
 *   has settled.
 * - A reference surface in a channel saw the camera's steps and drifts too: what earlier adjustments took out of the regions
 *   is taken out of it before its own offset is.
 *
 * @throws AnalysisError `out of range` for settings that mean nothing and for values that are no temperatures before an
 *   emissivity correction, `unknown` for a series that the file does not have, `empty` for a reference surface that was
 *   never seen, `missing` for a standard deviation without a temperature of its region to take the slope of the emissivity
 *   correction at, `not increasing` or `not finite` for a drift over times that cannot be ordered, `unequal lengths`
 */
export function applyAdjustments<Trace extends QualityTrace, Channel extends ChannelTrace>(
  given: Adjustable<Trace, Channel>,
  adjustments: readonly AdjustmentSettings[],
): Adjusted<Trace, Channel> {
  const count = sampleCount(given.timeBase);
  for (const series of [...given.traces, ...given.channels]) {
    if (series.values.length !== count) {
      const requirement = `as many values as times; ${seriesKey(series)} has ${series.values.length} for ${count}`;
      throw new AnalysisError("unequal lengths", "applyAdjustments", "traces", requirement);
    }
  }
  const state: State = {
    rawTimes: sampleTimes(given.timeBase),
    rawTimeBase: given.timeBase,
    timeBase: given.timeBase,
    traces: [...given.traces],
    channels: [...given.channels],
    subtracted: null,
  };
  const effects = adjustments.map((settings) => {
    requireAdjustment(settings);
    return applyOne(state, settings);
  });
  const adopt = <Series extends { readonly values: Float64Array }>(
    before: readonly Series[],
    after: readonly { readonly values: Float64Array }[],
  ) =>
    before.map((series, k) => {
      const values = after[k]?.values ?? series.values;
      return values === series.values ? series : { ...series, values };
    });
  return {
    timeBase: state.timeBase,
    traces: adopt(given.traces, state.traces),
    channels: adopt(given.channels, state.channels),
    effects,
  };
}

interface State {
  readonly rawTimes: Float64Array;
  readonly rawTimeBase: TimeBase;
  timeBase: TimeBase;
  traces: QualityTrace[];
  channels: ChannelTrace[];
  /** °C taken out of every temperature so far, by sample; null for nothing. */
  subtracted: Float64Array | null;
}

function applyOne(state: State, settings: AdjustmentSettings): AdjustmentEffect {
  const { rawTimes, rawTimeBase } = state;
  switch (settings.kind) {
    case "reference drift": {
      requireOrderedTimeBase("applyAdjustments", rawTimeBase);
      const measured = referenceSeries(state, settings.reference);
      const { trueC, smoothingS } = settings;
      return subtract(state, referenceOffset(rawTimeBase, { measured, trueC }, smoothingS).offset);
    }
    case "common step": {
      const from = settings.atS - momentToleranceS;
      return subtract(
        state,
        rawTimes.map((time) => (time >= from ? settings.heightC : 0)),
      );
    }
    case "warming-up drift": {
      requireOrderedTimeBase("applyAdjustments", rawTimeBase);
      const { startS, amplitudeC, tauS } = settings;
      const shape = { startS, amplitude: amplitudeC, tauS: tauS ?? Number.POSITIVE_INFINITY };
      return subtract(state, correctCommonDrift(rawTimeBase, [], shape).subtracted);
    }
    case "mask":
      return mask(state, settings);
    case "time shift":
      state.timeBase = shiftedTimeBase(state.timeBase, settings.byS);
      return { largestChangeC: null, maskedSamples: null };
    case "emissivity":
      return recorrect(state, settings);
  }
}

/** The readings of a reference surface, without what was taken out of the regions before. */
function referenceSeries(state: State, key: string): Float64Array {
  const trace = cameraTraces(state.traces).find((one) => seriesKey(one) === key);
  if (trace !== undefined) return trace.values;
  const channel = state.channels.find((one) => seriesKey(one) === key);
  if (channel === undefined) throw unknownSeries("reference", [key]);
  const { subtracted } = state;
  return subtracted === null
    ? channel.values
    : channel.values.map((value, i) => value - (subtracted[i] as number));
}

function unknownSeries(argument: string, keys: readonly string[]): AnalysisError {
  const requirement = `series that the file has; it has no ${keys.map((key) => `"${key}"`).join(", ")}`;
  return new AnalysisError("unknown", "applyAdjustments", argument, requirement);
}

/** Takes one offset per sample out of every temperature. */
function subtract(state: State, offsets: Float64Array): AdjustmentEffect {
  const seen = new Set(cameraTraces(state.traces));
  let largest = 0;
  state.traces = state.traces.map((trace) => {
    if (!seen.has(trace)) return trace;
    const values = trace.values.map((value, i) => {
      const offset = offsets[i] as number;
      if (Number.isFinite(value) && Math.abs(offset) > largest) largest = Math.abs(offset);
      return value - offset;
    });
    return { ...trace, values };
  });
  const before = state.subtracted;
  state.subtracted = before === null ? offsets : before.map((offset, i) => offset + (offsets[i] as number));
  return { largestChangeC: largest, maskedSamples: null };
}

function mask(
  state: State,
  { fromS, toS, series }: Extract<AdjustmentSettings, { kind: "mask" }>,
): AdjustmentEffect {
  const all = [...state.traces, ...state.channels].map(seriesKey);
  const unknown = (series ?? []).filter((key) => !all.includes(key));
  if (unknown.length > 0) throw unknownSeries("series", unknown);
  const hidden: number[] = [];
  for (const [i, time] of state.rawTimes.entries()) {
    if (time >= fromS - momentToleranceS && time <= toS + momentToleranceS) hidden.push(i);
  }
  let masked = 0;
  const masking = <Series extends QualityTrace | ChannelTrace>(one: Series): Series => {
    if (series !== null && !series.includes(seriesKey(one))) return one;
    const values = Float64Array.from(one.values);
    for (const i of hidden) {
      if (!Number.isNaN(values[i])) masked++;
      values[i] = Number.NaN;
    }
    return { ...one, values };
  };
  state.traces = state.traces.map(masking);
  state.channels = state.channels.map(masking);
  return { largestChangeC: null, maskedSamples: masked };
}

/** Beyond these nothing is a temperature of skin or room, and the correction is not defined. */
const lowestC = -100;
const highestC = 200;

function recorrect(
  state: State,
  { from, to }: Extract<AdjustmentSettings, { kind: "emissivity" }>,
): AdjustmentEffect {
  const before = state.traces;
  const seen = new Set(cameraTraces(before));
  let largest = 0;
  state.traces = before.map((trace) => {
    if (trace.statistic === "standard deviation") {
      return { ...trace, values: recorrectSpread(trace, before, from, to) };
    }
    if (!seen.has(trace)) return trace;
    const impossible = trace.values.find((value) => value < lowestC || value > highestC);
    if (impossible !== undefined) {
      const requirement = `temperatures from ${lowestC} to ${highestC} °C; ${seriesKey(trace)} has ${impossible}, which is to be masked first`;
      throw new AnalysisError("out of range", "applyAdjustments", "traces", requirement);
    }
    const values = recorrectSeries(trace.values, from, to);
    for (const [i, value] of values.entries()) {
      const change = Math.abs(value - (trace.values[i] as number));
      if (change > largest) largest = change;
    }
    return { ...trace, values };
  });
  return { largestChangeC: largest, maskedSamples: null };
}
