import { AnalysisError } from "../analysis-error";
import { sampleCount, sampleTimes, type TimeBase, timeAt } from "../course";
import { type Finding, finding } from "./finding";

export interface ReferenceSurface {
  /** What the camera showed of the surface, °C. */
  readonly measured: Float64Array;
  /** What the surface had, °C: one number for a regulated surface, or a reading per sample. */
  readonly trueC: number | Float64Array;
  /** Which series of the file this is, as `seriesKey` names it; without it no adjustment can be proposed. */
  readonly series?: string;
}

/** Offset of the camera over time. */
export interface ReferenceOffset {
  /** Measured minus true in °C at each sample, smoothed; the offset of every region. */
  readonly offset: Float64Array;
  /** Samples at which the surface was not seen and the offset is taken from those around. */
  readonly bridged: number;
}

/** Width in s over which the offset of a reference surface is smoothed unless something else is asked for. */
export const referenceSmoothingS = 60;

/**
 * Offset of a camera against a reference surface in view: measured minus true, as a centred moving mean over `smoothingS`,
 * so that the noise of the surface is not written into the skin. Where the surface was not seen the offset is interpolated
 * between its neighbours, and held at the ends.
 *
 * @throws AnalysisError `empty` where the surface was never seen, `unequal lengths`
 */
export function referenceOffset(
  timeBase: TimeBase,
  reference: ReferenceSurface,
  smoothingS = referenceSmoothingS,
): ReferenceOffset {
  const name = "referenceOffset";
  const times = sampleTimes(timeBase);
  const { measured, trueC } = reference;
  if (measured.length !== times.length || (typeof trueC !== "number" && trueC.length !== times.length)) {
    throw new AnalysisError("unequal lengths", name, "reference", "as many readings as times");
  }
  if (typeof trueC === "number" && !Number.isFinite(trueC)) {
    throw new AnalysisError("not finite", name, "reference", `the surface's temperature in °C, not ${trueC}`);
  }
  if (!(smoothingS >= 0)) {
    throw new AnalysisError(
      "out of range",
      name,
      "smoothingS",
      `a duration of zero or more in s, not ${smoothingS}`,
    );
  }
  const raw = measured.map((value, i) => value - (typeof trueC === "number" ? trueC : (trueC[i] as number)));
  const seen: number[] = [];
  for (const [i, value] of raw.entries()) if (Number.isFinite(value)) seen.push(i);
  if (seen.length === 0) {
    throw new AnalysisError("empty", name, "reference", "at least one reading of the reference surface");
  }
  const offset = new Float64Array(times.length).fill(Number.NaN);
  let low = 0;
  let high = 0;
  let sum = 0;
  for (const i of seen) {
    const time = times[i] as number;
    while (high < seen.length && (times[seen[high] as number] as number) <= time + smoothingS / 2)
      sum += raw[seen[high++] as number] as number;
    while ((times[seen[low] as number] as number) < time - smoothingS / 2)
      sum -= raw[seen[low++] as number] as number;
    offset[i] = sum / (high - low);
  }
  bridge(times, offset, seen);
  return { offset, bridged: times.length - seen.length };
}

function bridge(times: Float64Array, offset: Float64Array, seen: readonly number[]): void {
  let next = 0;
  for (let i = 0; i < offset.length; i++) {
    while (next < seen.length && (seen[next] as number) < i) next++;
    if (seen[next] === i) continue;
    const before = seen[next - 1];
    const after = seen[next];
    if (before === undefined) offset[i] = offset[after as number] as number;
    else if (after === undefined) offset[i] = offset[before] as number;
    else {
      const span = (times[after] as number) - (times[before] as number);
      const share = span > 0 ? ((times[i] as number) - (times[before] as number)) / span : 0;
      const from = offset[before] as number;
      offset[i] = from + share * ((offset[after] as number) - from);
    }
  }
}

export interface TwoReferences {
  readonly low: { readonly measuredC: number; readonly trueC: number };
  readonly high: { readonly measuredC: number; readonly trueC: number };
}

/**
 * Temperature in °C corrected for gain and offset by two surfaces: T_lo + (T − T_lo,m)·(T_hi − T_lo)/(T_hi,m − T_lo,m).
 *
 * @throws AnalysisError `constant` where the two surfaces were measured alike
 */
export function correctByTwoReferences(measuredC: number, { low, high }: TwoReferences): number {
  const measuredSpan = high.measuredC - low.measuredC;
  if (!(Math.abs(measuredSpan) > 0.5)) {
    const requirement = "two surfaces that the camera sees more than 0.5 °C apart";
    throw new AnalysisError("constant", "correctByTwoReferences", "references", requirement);
  }
  return low.trueC + ((measuredC - low.measuredC) * (high.trueC - low.trueC)) / measuredSpan;
}

/** A camera that is off by more than a limit (default 0.2 °C) against its reference, or drifts by more than it. */
export function referenceFinding(
  timeBase: TimeBase,
  { offset, bridged }: ReferenceOffset,
  { trueC, series }: Pick<ReferenceSurface, "trueC" | "series">,
  limitC = 0.2,
): Finding | null {
  const count = sampleCount(timeBase);
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (const value of offset) {
    low = Math.min(low, value);
    high = Math.max(high, value);
  }
  const largest = Math.abs(low) > Math.abs(high) ? low : high;
  if (!(Math.abs(largest) > limitC || high - low > limitC)) return null;
  const drifts = high - low > limitC;
  const unseen = bridged > 0 ? ` The surface was not seen at ${bridged} of ${count} samples.` : "";
  const canBeProposed = series !== undefined && typeof trueC === "number";
  return finding({
    kind: "reference drift",
    fromS: timeAt(timeBase, 0),
    toS: timeAt(timeBase, count - 1),
    traces: [],
    size: drifts ? high - low : largest,
    unit: "°C",
    count,
    confidence: "sure",
    meaning: `Against the reference surface the camera is off by ${low.toFixed(2)} to ${high.toFixed(2)} °C${drifts ? " and drifts" : ""}.${unseen}`,
    whatCanBeDone: "Subtracting its offset corrects every region.",
    proposal: canBeProposed
      ? { kind: "reference drift", reference: series, trueC, smoothingS: referenceSmoothingS }
      : null,
  });
}
