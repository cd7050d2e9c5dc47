import { AnalysisError } from "../analysis-error";
import type { AlignedTrace } from "./align-trace";
import { binCentre, movingMean, type Window, within } from "./windows";

/**
 * Time in s from the start of recovery until half of the departure from baseline is undone: the first crossing of
 * baseline + (start − baseline)/2 by the moving mean, interpolated between bins. Null when it is not reached in the
 * window.
 *
 * @param recovery the recovery phase, in s from the origin
 * @param startLevel level in °C at the end of exercise
 * @param smallestDepartureC a smaller departure has no half that could be told from noise; default 0.3 (common practice)
 * @throws AnalysisError `refused` for a smaller departure, `empty` without a value in the window
 */
export function recoveryHalfTime(
  aligned: AlignedTrace,
  recovery: Window,
  baseline: number,
  startLevel: number,
  smallestDepartureC = 0.3,
  smoothingS = 30,
): number | null {
  const departure = startLevel - baseline;
  if (!(Math.abs(departure) >= smallestDepartureC)) {
    const requirement = `a departure from baseline of at least ${smallestDepartureC} °C, not ${departure.toFixed(2)} °C`;
    throw new AnalysisError("refused", "recoveryHalfTime", "startLevel", requirement);
  }
  const part = within(aligned, recovery);
  const smoothed = movingMean(part, smoothingS);
  const half = baseline + departure / 2;
  let previousTime = recovery.fromS;
  let previous = startLevel;
  let found = 0;
  for (const [i, value] of smoothed.entries()) {
    if (!Number.isFinite(value)) continue;
    found++;
    const time = binCentre(part, i);
    const undone = departure > 0 ? value <= half : value >= half;
    if (undone) {
      const share = value === previous ? 1 : (half - previous) / (value - previous);
      return previousTime + Math.min(1, Math.max(0, share)) * (time - previousTime) - recovery.fromS;
    }
    previousTime = time;
    previous = value;
  }
  if (found === 0) {
    throw new AnalysisError(
      "empty",
      "recoveryHalfTime",
      "recovery",
      "a value in the recovery phase; the trace has none",
    );
  }
  return null;
}
