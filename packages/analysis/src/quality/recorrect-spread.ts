import { AnalysisError } from "../analysis-error";
import { cube, fourthPower, fourthRoot } from "../elementary";
import { kelvinOffset } from "../heat";
import type { SurfaceSettings } from "./adjustment";
import { temperaturesOf } from "./camera-traces";
import type { QualityTrace } from "./finding";
import { median } from "./robust";

/**
 * A standard deviation over pixels as it would be under other settings of the camera: times the slope of the correction at
 * the region's temperature, dT′/dT = (ε/ε′)·(T/T′)³ in kelvin, from T′⁴ = [ε·T⁴ + (1 − ε)·R⁴ − (1 − ε′)·R′⁴]/ε′. To first
 * order in the spread, which for skin (below 2 K) is exact to 1 % of the correction. At samples without a temperature the
 * slope at the region's middle temperature is taken.
 *
 * @throws AnalysisError `missing` where no temperature of the region is among the traces
 */
export function recorrectSpread(
  spread: QualityTrace,
  traces: readonly QualityTrace[],
  from: SurfaceSettings,
  to: SurfaceSettings,
): Float64Array {
  const temperature = temperaturesOf(traces).find(({ regionId }) => regionId === spread.regionId);
  const middle = temperature === undefined ? Number.NaN : median(temperature.values);
  if (temperature === undefined || Number.isNaN(middle)) {
    const requirement = `a temperature of ${spread.regionId}, because its spread changes by the slope there; mask the spread first or map a temperature`;
    throw new AnalysisError("missing", "applyAdjustments", "traces", requirement);
  }
  const slopeAt = (celsius: number) => {
    const recorded = celsius + kelvinOffset;
    const emitted =
      from.emissivity * fourthPower(recorded) +
      (1 - from.emissivity) * fourthPower(from.reflectedC + kelvinOffset) -
      (1 - to.emissivity) * fourthPower(to.reflectedC + kelvinOffset);
    const corrected = fourthRoot(emitted / to.emissivity);
    return (from.emissivity / to.emissivity) * cube(recorded / corrected);
  };
  const usual = slopeAt(middle);
  return spread.values.map((value, i) => {
    const celsius = temperature.values[i] as number;
    return value * (Number.isFinite(celsius) ? slopeAt(celsius) : usual);
  });
}
