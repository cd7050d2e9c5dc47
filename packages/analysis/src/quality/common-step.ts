import { AnalysisError } from "../analysis-error";
import {
  alignTraces,
  binCentres,
  gridAround,
  sampleCount,
  type TimeBase,
  timeAt,
  typicalStepS,
} from "../course";
import { contactTraces, temperaturesOf } from "./camera-traces";
import { type Finding, finding, type QualityTrace } from "./finding";
import { median, robustSpread } from "./robust";

export interface CommonStepSettings {
  /** Smallest step in °C; default 0.12. */
  readonly smallestC: number;
  /** How many times the scatter of the across-region step over the file; default 5. */
  readonly nSigma: number;
  /** Share of traces that must step alike; default 0.8. */
  readonly agreement: number;
  /** Stretch on either side that a step is judged from, in s, where sampling allows (at least four bins); default 10. */
  readonly sideS: number;
}

export const commonStepDefaults: CommonStepSettings = {
  smallestC: 0.12,
  nSigma: 5,
  agreement: 0.8,
  sideS: 10,
};

export interface CommonStep {
  /** First sample after the step. */
  readonly index: number;
  readonly timeS: number;
  /** °C, positive upwards: median over the traces. */
  readonly size: number;
  /** Standard error of the size, from how the traces' own steps scatter. */
  readonly standardError: number;
  /** Share of traces that step alike. */
  readonly agreement: number;
}

/** Fewest traces for which "common" means anything. */
export const fewestTraces = 3;

/**
 * Height of a step between bins i − 1 and i, a common slope on both sides apart: skin that falls fast, or begins to, has
 * none. NaN where a side has fewer than three values.
 */
export function stepAt(values: Float64Array, i: number, side: number): number {
  const left = sideSums(values, Math.max(0, i - side), i);
  const right = sideSums(values, i, Math.min(values.length, i + side));
  if (left.n < 3 || right.n < 3) return Number.NaN;
  const slope = (left.txy + right.txy) / (left.txx + right.txx);
  return right.y - left.y - slope * (right.t - left.t);
}

/** Mean time and value, and sums of products about them, over some bins. */
function sideSums(values: Float64Array, from: number, to: number) {
  const reference = values[from] as number;
  const base = Number.isFinite(reference) ? reference : 0;
  let n = 0;
  let t = 0;
  let y = 0;
  let tt = 0;
  let ty = 0;
  for (let k = from; k < to; k++) {
    const value = (values[k] as number) - base;
    if (!Number.isFinite(value)) continue;
    const time = k - from;
    n++;
    t += time;
    y += value;
    tt += time * time;
    ty += time * value;
  }
  return { n, t: from + t / n, y: base + y / n, txx: tt - (t * t) / n, txy: ty - (t * y) / n };
}

/**
 * Steps that all traces make at the same moment by about the same amount: a camera that recalibrates itself. Bodies do not
 * do this: even a fall of several degrees takes minutes and differs between regions.
 *
 * For each moment the step of every trace is taken from the ten seconds on either side with a common slope allowed for, and
 * then the median over traces. It counts where it is large against its own scatter over the file, where most traces agree,
 * and where it is the largest around. Its sample is then found where the two sides part best.
 *
 * @throws AnalysisError `unequal lengths`; as alignTraces
 */
export function commonSteps(
  timeBase: TimeBase,
  traces: readonly QualityTrace[],
  settings: Partial<CommonStepSettings> = {},
): CommonStep[] {
  const used = { ...commonStepDefaults, ...settings };
  const shifted = temperaturesOf(traces);
  const count = sampleCount(timeBase);
  if (shifted.length < fewestTraces || count < 8) return [];
  const stepS = typicalStepS(timeBase);
  if (!(stepS > 0)) return [];
  const binS = Math.max(1, stepS);
  const grid = gridAround(timeAt(timeBase, 0), binS, timeAt(timeBase, 0), timeAt(timeBase, count - 1));
  const aligned = alignTraces(
    timeBase,
    shifted.map(({ values }) => values),
    grid,
  );
  const binned = aligned.map(({ values }) => values);
  const side = Math.max(4, Math.round(used.sideS / binS));
  const heights = new Float64Array(grid.binCount).fill(Number.NaN);
  const perTrace = new Float64Array(binned.length);
  for (let i = 3; i <= grid.binCount - 3; i++) {
    for (const [k, values] of binned.entries()) perTrace[k] = stepAt(values, i, side);
    heights[i] = median(perTrace);
  }
  const scatter = robustSpread(heights, 0);
  const threshold = Math.max(used.smallestC, used.nSigma * scatter);
  const steps: CommonStep[] = [];
  for (let i = 3; i <= grid.binCount - 3; i++) {
    const height = heights[i] as number;
    if (!(Math.abs(height) >= threshold) || !isLargest(heights, i, side)) continue;
    const agreement = agreementAt(binned, i, side, height);
    if (agreement < used.agreement) continue;
    const centre = binCentres({ binS, firstBin: 0, values: heights })[i] as number;
    const index = sampleOfStep(timeBase, shifted, grid.originS + centre - binS / 2, 2 * binS, side * binS);
    const { size, standardError } = sizeAtSample(
      shifted,
      index,
      Math.max(4, Math.round((side * binS) / stepS)),
    );
    steps.push({
      index,
      timeS: timeAt(timeBase, index),
      size: Number.isFinite(size) ? size : height,
      standardError,
      agreement,
    });
  }
  return steps;
}

function isLargest(heights: Float64Array, i: number, side: number): boolean {
  const own = Math.abs(heights[i] as number);
  for (let k = Math.max(0, i - side); k <= Math.min(heights.length - 1, i + side); k++) {
    const other = Math.abs(heights[k] as number);
    if (other > own || (other === own && k < i)) return false;
  }
  return true;
}

/** Share of traces whose own step is within half of the common one, their own scatter allowed for. */
function agreementAt(binned: readonly Float64Array[], i: number, side: number, height: number): number {
  let known = 0;
  let alike = 0;
  for (const values of binned) {
    const own = stepAt(values, i, side);
    if (!Number.isFinite(own)) continue;
    known++;
    const around: number[] = [];
    for (let k = i - 3 * side; k <= i + 3 * side; k += 2) {
      if (k >= 3 && k <= values.length - 3 && Math.abs(k - i) > side) around.push(stepAt(values, k, side));
    }
    const scatter = around.length >= 5 ? robustSpread(around) : 0;
    if (
      Math.abs(own - height) <= Math.max(0.5 * Math.abs(height), 3 * scatter) &&
      Math.sign(own) === Math.sign(height)
    )
      alike++;
  }
  return known >= fewestTraces ? alike / known : 0;
}

/** The sample at which two sides with one slope part best, over the median of all traces, near a time. */
function sampleOfStep(
  timeBase: TimeBase,
  traces: readonly QualityTrace[],
  nearS: number,
  withinS: number,
  sideS: number,
): number {
  const first = indexFrom(timeBase, nearS - withinS - sideS);
  const last = Math.min(sampleCount(timeBase), indexFrom(timeBase, nearS + withinS + sideS));
  const medians = new Float64Array(last - first);
  const row = new Float64Array(traces.length);
  const levels = traces.map(({ values }) => median(values.subarray(first, last)));
  for (let i = first; i < last; i++) {
    for (const [k, { values }] of traces.entries()) row[k] = (values[i] as number) - (levels[k] as number);
    medians[i - first] = median(row);
  }
  const side = Math.max(4, Math.round(sideS / typicalStepS(timeBase)));
  let best = indexFrom(timeBase, nearS);
  let largest = Number.NEGATIVE_INFINITY;
  for (
    let i = indexFrom(timeBase, nearS - withinS);
    i < last && timeAt(timeBase, i) <= nearS + withinS;
    i++
  ) {
    const height = Math.abs(stepAt(medians, i - first, side));
    if (height > largest) {
      largest = height;
      best = i;
    }
  }
  return best;
}

/** Height at a sample: median over traces, with its standard error (that of a median is 1.2533 times that of a mean). */
function sizeAtSample(
  traces: readonly QualityTrace[],
  index: number,
  side: number,
): { size: number; standardError: number } {
  const heights = traces.map(({ values }) => stepAt(values, index, side)).filter(Number.isFinite);
  const size = median(heights);
  return { size, standardError: (1.2533 * robustSpread(heights, size)) / Math.sqrt(heights.length) };
}

/** First sample at or after a time. */
function indexFrom(timeBase: TimeBase, timeS: number): number {
  let low = 0;
  let high = sampleCount(timeBase);
  while (low < high) {
    const middle = (low + high) >> 1;
    if (timeAt(timeBase, middle) < timeS) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** Says that points are left out of what is common, where there are any. */
export function contactNote(traces: readonly QualityTrace[]): string {
  const { length } = contactTraces(traces);
  if (length === 0) return "";
  return ` ${length === 1 ? "One single point is" : `${length} single points are`} taken for contact sensors, which it does not touch; map a point as a mean where the camera saw it.`;
}

export function commonStepFindings(
  timeBase: TimeBase,
  traces: readonly QualityTrace[],
  steps: readonly CommonStep[],
): Finding[] {
  const names = temperaturesOf(traces).map(({ regionId, statistic }) => ({ regionId, statistic }));
  return steps.map(({ index, timeS, size, standardError, agreement }) =>
    finding({
      kind: "common step",
      fromS: timeAt(timeBase, Math.max(0, index - 1)),
      toS: timeS,
      traces: names,
      size,
      ...(Number.isFinite(standardError) ? { standardError } : {}),
      unit: "°C",
      count: 1,
      confidence: agreement >= 0.9 && names.length >= 5 ? "sure" : "likely",
      meaning: `All regions step by ${size.toFixed(2)} °C at once (${Math.round(agreement * 100)} % agree): a camera recalibrating itself, not skin.${contactNote(traces)}`,
      whatCanBeDone: "A step correction takes it out.",
      proposal: { kind: "common step", atS: timeS, heightC: size },
    }),
  );
}

export interface StepCorrection {
  readonly corrected: readonly Float64Array[];
  /** °C that was subtracted at each sample, from every trace alike. */
  readonly subtracted: Float64Array;
}

/**
 * Takes steps out of traces: what lies after each step is brought to the level before it, or with `keep: "after"` what lies
 * before to the level after. Which of them was right the traces cannot say; changes within the trial are the same.
 */
export function correctCommonSteps(
  traces: readonly Float64Array[],
  steps: readonly Pick<CommonStep, "index" | "size">[],
  keep: "before" | "after" = "before",
): StepCorrection {
  const length = traces[0]?.length ?? 0;
  if (traces.some((values) => values.length !== length)) {
    throw new AnalysisError("unequal lengths", "correctCommonSteps", "traces", "traces on one time base");
  }
  const subtracted = new Float64Array(length);
  for (const { index, size } of steps) {
    if (!Number.isInteger(index) || index < 0 || index > length || !Number.isFinite(size)) {
      throw new AnalysisError(
        "out of range",
        "correctCommonSteps",
        "steps",
        `steps at samples of the traces, not at ${index}`,
      );
    }
    const [from, to, offset] = keep === "before" ? [index, length, size] : [0, index, -size];
    for (let i = from; i < to; i++) subtracted[i] = (subtracted[i] as number) + offset;
  }
  return {
    corrected: traces.map((values) => values.map((value, i) => value - (subtracted[i] as number))),
    subtracted,
  };
}
