import { AnalysisError } from "../analysis-error";
import { type RegionSeries, regionById, type Segment, segments } from "../skin";

export type SegmentSeries = Partial<Readonly<Record<Segment, Float64Array>>>;

/** Whether a segment without data takes the temperature of the same segment on the other side. */
export type MissingSidePolicy = "leave" | "mirror";

export interface SegmentTemperatures {
  /** °C over time; segments without data are absent. */
  readonly series: SegmentSeries;
  /** Segments filled from the other side. */
  readonly mirrored: readonly Segment[];
  readonly missing: readonly Segment[];
}

/** Plain mean of what is finite at each time. */
function meanOfSeries(list: readonly Float64Array[]): Float64Array {
  const [first] = list;
  return Float64Array.from(first ?? [], (_, i) => {
    let sum = 0;
    let count = 0;
    for (const values of list) {
      const value = values[i] as number;
      if (!Number.isFinite(value)) continue;
      sum += value;
      count++;
    }
    return count === 0 ? Number.NaN : sum / count;
  });
}

function otherSide(segment: Segment): Segment | undefined {
  const mirrored = segment.startsWith("left ")
    ? segment.replace("left ", "right ")
    : segment.replace("right ", "left ");
  return mirrored === segment ? undefined : segments.find((candidate) => candidate === mirrored);
}

/**
 * Temperature of each body segment over time from region traces on one time base: the plain mean of its regions with a
 * value at that time. A region of a few square centimetres stands for a whole segment here; record more than one where a
 * segment is uneven.
 *
 * @throws AnalysisError `refused` for maxima, minima and spreads; `unequal lengths`; UnknownRegionError
 */
export function segmentTemperatures(
  traces: readonly RegionSeries[],
  missingSide: MissingSidePolicy = "leave",
): SegmentTemperatures {
  const name = "segmentTemperatures";
  const bySegment = new Map<Segment, Float64Array[]>();
  const length = traces[0]?.values.length ?? 0;
  for (const { regionId, statistic, values } of traces) {
    const { segment, label } = regionById(regionId);
    if (statistic !== "mean" && statistic !== "point") {
      const requirement = `region means or single points, since heat leaves over the whole area; ${label} is given as a ${statistic}`;
      throw new AnalysisError("refused", name, "traces", requirement);
    }
    if (values.length !== length) {
      const requirement = `traces of one length; found ${length} and ${values.length} values`;
      throw new AnalysisError("unequal lengths", name, "traces", requirement);
    }
    const list = bySegment.get(segment);
    if (list === undefined) bySegment.set(segment, [values]);
    else list.push(values);
  }
  const series: Partial<Record<Segment, Float64Array>> = {};
  for (const [segment, list] of bySegment) series[segment] = meanOfSeries(list);
  const mirrored: Segment[] = [];
  const missing: Segment[] = [];
  for (const segment of segments) {
    if (bySegment.has(segment)) continue;
    const other = otherSide(segment);
    const values = other === undefined ? undefined : bySegment.get(other);
    if (missingSide === "mirror" && values !== undefined) {
      series[segment] = meanOfSeries(values);
      mirrored.push(segment);
    } else missing.push(segment);
  }
  return { series, mirrored, missing };
}
