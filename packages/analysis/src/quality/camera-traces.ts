import type { QualityTrace } from "./finding";

/**
 * The temperatures of a file that a camera's faults and settings concern. Where regions have a mean, maximum or minimum over their
 * pixels, a single `point` of a region that has none is taken to be a contact sensor that was written into the same file: no fault of
 * the camera touches it. Where there are only points, all of them are looked at. A single pixel of the camera beside regions is
 * to be mapped as a mean, over one pixel.
 */
export function cameraTraces<Trace extends QualityTrace>(traces: readonly Trace[]): Trace[] {
  const isOverArea = ({ statistic }: Trace) =>
    statistic === "mean" || statistic === "maximum" || statistic === "minimum";
  const overArea = new Set(traces.filter(isOverArea).map(({ regionId }) => regionId));
  return traces.filter(
    (trace) =>
      trace.statistic !== "standard deviation" &&
      (trace.statistic !== "point" || overArea.size === 0 || overArea.has(trace.regionId)),
  );
}

/** The points that are taken to be contact sensors. */
export function contactTraces<Trace extends QualityTrace>(traces: readonly Trace[]): Trace[] {
  const seen = new Set(cameraTraces(traces));
  return traces.filter((trace) => trace.statistic === "point" && !seen.has(trace));
}

/** One of the camera's temperatures for each region: its mean where there is one. */
export function temperaturesOf(traces: readonly QualityTrace[]): QualityTrace[] {
  const rank = (trace: QualityTrace) => ["mean", "point", "maximum", "minimum"].indexOf(trace.statistic);
  const chosen = new Map<string, QualityTrace>();
  for (const trace of cameraTraces(traces)) {
    const before = chosen.get(trace.regionId);
    if (before === undefined || rank(trace) < rank(before)) chosen.set(trace.regionId, trace);
  }
  return [...chosen.values()];
}
