import { AnalysisError } from "../analysis-error";
import { alignTrace, gridAround } from "./align-trace";
import {
  requireOrderedTimeBase,
  sampleCount,
  sampleTimes,
  type TimeBase,
  timeAt,
  typicalStepS,
} from "./time-base";

export interface OffsetSeries {
  /** Times in s, never running backwards. */
  readonly timeBase: TimeBase;
  /** One value per time, in any unit; NaN is missing. */
  readonly values: Float64Array;
}

export interface OffsetSettings {
  /** Share of the shorter series that both must cover at a shift for it to count; default 0.4. */
  readonly leastOverlap: number;
  /** Most bins that a series is looked at with at first; default 2,048. */
  readonly mostBins: number;
}

export const offsetDefaults: OffsetSettings = { leastOverlap: 0.4, mostBins: 2048 };

export interface OffsetEstimate {
  /** Seconds that the second series has to be moved later, so that it agrees best with the first. */
  readonly shiftS: number;
  /** Pearson's correlation of the two at that shift, over what both cover, each less its own straight line. */
  readonly correlation: number;
  /** The same where they lie now; NaN where they do not overlap enough. */
  readonly correlationNow: number;
  /** The best correlation away from that peak, over the best; 0 when there is none. Near 1: two shifts agree alike. */
  readonly ambiguity: number;
  /** Seconds that both cover at that shift. */
  readonly overlapS: number;
  /** The best agreement lies at the end of what could be looked at: the true one may lie beyond. */
  readonly atEdge: boolean;
}

/** Fewest bins that a correlation is taken over. */
const fewestBins = 20;

function requireSeries(argument: string, { timeBase, values }: OffsetSeries): void {
  requireOrderedTimeBase("estimateOffset", timeBase);
  if (values.length !== sampleCount(timeBase)) {
    throw new AnalysisError(
      "unequal lengths",
      "estimateOffset",
      argument,
      `as many values as times; ${argument} has ${values.length} values for ${sampleCount(timeBase)} times`,
    );
  }
  const finite = values.reduce((count, value) => (Number.isFinite(value) ? count + 1 : count), 0);
  if (finite < fewestBins) {
    throw new AnalysisError(
      "too few",
      "estimateOffset",
      argument,
      `at least ${fewestBins} values in both series; ${argument} has ${finite}`,
    );
  }
}

/** The values less their mean: sums of squares of a large common level would lose digits. */
function withoutMean(values: Float64Array): Float64Array {
  let n = 0;
  let sum = 0;
  for (const value of values) {
    if (!Number.isFinite(value)) continue;
    n++;
    sum += value;
  }
  return values.map((value) => value - sum / n);
}

/**
 * Pearson's correlation of a[i] with b[i − lag], each less its own straight line over what both cover (the partial
 * correlation given the index); NaN for fewer than `fewest` pairs, or when one of the two is a straight line.
 */
function correlationAt(a: Float64Array, b: Float64Array, lag: number, fewest: number) {
  let n = 0;
  let st = 0;
  let stt = 0;
  let sa = 0;
  let saa = 0;
  let sat = 0;
  let sb = 0;
  let sbb = 0;
  let sbt = 0;
  let sab = 0;
  const from = Math.max(0, lag);
  const to = Math.min(a.length, b.length + lag);
  const middle = (from + to) / 2;
  for (let i = from; i < to; i++) {
    const x = a[i] as number;
    const y = b[i - lag] as number;
    if (x - x !== 0 || y - y !== 0) continue;
    const t = i - middle;
    n++;
    st += t;
    stt += t * t;
    sa += x;
    saa += x * x;
    sat += x * t;
    sb += y;
    sbb += y * y;
    sbt += y * t;
    sab += x * y;
  }
  if (n < fewest) return { n, r: Number.NaN };
  const tt = stt - (st * st) / n;
  const at = sat - (sa * st) / n;
  const bt = sbt - (sb * st) / n;
  const aa = saa - (sa * sa) / n - (at * at) / tt;
  const bb = sbb - (sb * sb) / n - (bt * bt) / tt;
  const ab = sab - (sa * sb) / n - (at * bt) / tt;
  const moves = aa > 1e-12 * saa && bb > 1e-12 * sbb;
  return { n, r: moves ? ab / Math.sqrt(aa * bb) : Number.NaN };
}

/** Bins of one width on one grid, with their first bin; empty bins are missing. */
function binned({ timeBase, values }: OffsetSeries, binS: number, originS: number) {
  const fromS = timeAt(timeBase, 0);
  const toS = timeAt(timeBase, sampleCount(timeBase) - 1);
  const { values: bins, firstBin } = alignTrace(timeBase, values, gridAround(originS, binS, fromS, toS));
  return { bins: withoutMean(bins), firstBin };
}

const spanS = ({ timeBase }: OffsetSeries) =>
  timeAt(timeBase, sampleCount(timeBase) - 1) - timeAt(timeBase, 0);

/** The values of a series at other times, by straight lines between neighbours no more than two steps apart. */
function interpolated(series: OffsetSeries, atS: Float64Array): Float64Array {
  const times = sampleTimes(series.timeBase);
  const reachS = 2.5 * typicalStepS(series.timeBase);
  let right = 0;
  return atS.map((time) => {
    while (right < times.length && (times[right] as number) < time) right++;
    if (right >= times.length) return Number.NaN;
    const t1 = times[right] as number;
    const v1 = series.values[right] as number;
    if (t1 === time) return v1;
    if (right === 0) return Number.NaN;
    const t0 = times[right - 1] as number;
    if (t1 - t0 > reachS) return Number.NaN;
    return (
      (series.values[right - 1] as number) +
      ((v1 - (series.values[right - 1] as number)) * (time - t0)) / (t1 - t0)
    );
  });
}

/** The place of the highest point of the parabola through three evenly spaced ones, in steps from the middle. */
function vertex(left: number, middle: number, right: number): number {
  const bend = left - 2 * middle + right;
  if (!(bend < 0)) return 0;
  return Math.max(-0.5, Math.min(0.5, (0.5 * (left - right)) / bend));
}

/**
 * By how much the second series has to be moved so that it agrees best with the first: the shift with the greatest
 * correlation, over all shifts at which the two overlap enough. First on bins, then between them by straight lines and
 * a parabola through the highest three. A slope over what both cover is taken out each time; only alike movement counts,
 * not opposite.
 *
 * Source: delay of one signal against another as the place of the maximum of their cross-correlation (Knapp & Carter
 * 1976, IEEE Trans ASSP 24:320, from memory); normalising by the spread over what both cover, and the parabola through
 * the peak, are common practice.
 *
 * @param reference the series that stays, times in s
 * @param moving the series to be moved, times in s on the same clock
 * @returns the estimate, or null when the two never overlap enough or nothing in them moves alike
 * @throws AnalysisError on unequal lengths, times that run backwards, or fewer than 20 values
 */
export function estimateOffset(
  reference: OffsetSeries,
  moving: OffsetSeries,
  settings: OffsetSettings = offsetDefaults,
): OffsetEstimate | null {
  requireSeries("reference", reference);
  requireSeries("moving", moving);
  const steps = [reference, moving].map(({ timeBase }) => typicalStepS(timeBase));
  const longest = Math.max(spanS(reference), spanS(moving));
  const shortest = Math.min(spanS(reference), spanS(moving));
  const binS = Math.max(...steps, longest / settings.mostBins);
  if (!(binS > 0) || !(shortest > 0)) return null;
  const a = binned(reference, binS, 0);
  const b = binned(moving, binS, 0);
  const fewest = Math.max(fewestBins, Math.ceil((settings.leastOverlap * shortest) / binS));
  // Lag in bins: b[j] lies over a[j + lag]; moving by nothing is the lag between their first bins.
  const still = b.firstBin - a.firstBin;
  const lags: number[] = [];
  const rs: number[] = [];
  for (let lag = -b.bins.length + 1; lag < a.bins.length; lag++) {
    const { r } = correlationAt(a.bins, b.bins, lag, fewest);
    lags.push(lag);
    rs.push(r);
  }
  let best = -1;
  for (let i = 0; i < rs.length; i++) {
    const r = rs[i] as number;
    if (Number.isFinite(r) && (best < 0 || r > (rs[best] as number))) best = i;
  }
  const peak = rs[best];
  if (peak === undefined || !(peak > 0)) return null;
  const refined = refine(reference, moving, ((lags[best] as number) - still) * binS, binS, fewest);
  const now = rs[lags.indexOf(still)];
  const { n } = correlationAt(a.bins, b.bins, lags[best] as number, fewest);
  return {
    shiftS: refined.shiftS,
    correlation: refined.correlation,
    correlationNow: now ?? Number.NaN,
    ambiguity: ambiguityOf(rs, best),
    overlapS: n * binS,
    atEdge: !Number.isFinite(rs[best - 1] ?? Number.NaN) || !Number.isFinite(rs[best + 1] ?? Number.NaN),
  };
}

/** The highest local maximum outside of the hill that the best one stands on, over the best. */
function ambiguityOf(rs: readonly number[], best: number): number {
  const top = rs[best] as number;
  const inHill = (i: number) => Number.isFinite(rs[i]) && (rs[i] as number) > top / 2;
  let from = best;
  while (inHill(from - 1)) from--;
  let to = best;
  while (inHill(to + 1)) to++;
  let second = 0;
  for (let i = 0; i < rs.length; i++) {
    if (i >= from && i <= to) continue;
    const r = rs[i] as number;
    if (Number.isFinite(r) && r > second) second = r;
  }
  return second / top;
}

/** Looks within a bin on either side of a shift, in twentieths of a bin. */
function refine(
  reference: OffsetSeries,
  moving: OffsetSeries,
  aroundS: number,
  binS: number,
  fewest: number,
): { shiftS: number; correlation: number } {
  const step = binS / 20;
  const toS = timeAt(reference.timeBase, sampleCount(reference.timeBase) - 1);
  const fromS = timeAt(reference.timeBase, 0);
  const count = Math.floor((toS - fromS) / binS) + 1;
  const at = Float64Array.from({ length: count }, (_, i) => fromS + i * binS);
  const still = withoutMean(interpolated(reference, at));
  const rOf = (shiftS: number) => {
    const moved = interpolated(
      moving,
      at.map((time) => time - shiftS),
    );
    return correlationAt(still, withoutMean(moved), 0, fewest).r;
  };
  const rs = Array.from({ length: 61 }, (_, i) => rOf(aroundS + (i - 30) * step));
  let best = 30;
  for (let i = 0; i < rs.length; i++) if ((rs[i] as number) > (rs[best] as number)) best = i;
  const [left, middle, right] = [rs[best - 1], rs[best], rs[best + 1]];
  if (left === undefined || middle === undefined || right === undefined || !Number.isFinite(middle)) {
    return { shiftS: aroundS, correlation: middle ?? Number.NaN };
  }
  const beside = Number.isFinite(left) && Number.isFinite(right) ? vertex(left, middle, right) : 0;
  const shiftS = aroundS + (best - 30 + beside) * step;
  const there = rOf(shiftS);
  return { shiftS, correlation: Number.isFinite(there) ? there : middle };
}
