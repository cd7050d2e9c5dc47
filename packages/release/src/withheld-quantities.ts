import type { MeasureToRelease, TraceToRelease } from "./release-input";

/**
 * Units whose numbers say nothing about the size of the body. Everything else is withheld: a heat flow in W beside
 * the same flow in W/m2 is the exact surface area, a power in W under a protocol of so many W/kg is the exact mass,
 * and an unknown unit may be either.
 */
const sizelessUnits: ReadonlySet<string> = new Set([
  "1",
  "",
  "%",
  "s",
  "min",
  "°C",
  "K",
  "°C/s",
  "°C/min",
  "K/s",
  "K/min",
  "°C·s",
  "°C·min",
  "K·s",
  "K·min",
  "1/min",
  "min⁻¹",
  "bpm",
  "beats/min",
  "W/m²",
  "W/m2",
  "W/(m²·K)",
  "W/(m2·K)",
  "m/s",
  "km/h",
  "Pa",
  "kPa",
  "hPa",
  "lx",
]);

/** Why a measure stays in the study, or null when it may go out. */
export function whyMeasureIsWithheld(measure: MeasureToRelease): string | null {
  if (measure.usesBodyMeasures) {
    return "computed from height, mass or surface area, so that exact body measures could be computed back";
  }
  return whyUnitIsWithheld(measure.unit);
}

/** Why a trace stays in the study, or null when it may go out. */
export function whyTraceIsWithheld(trace: Pick<TraceToRelease, "unit">): string | null {
  return whyUnitIsWithheld(trace.unit);
}

function whyUnitIsWithheld(unit: string): string | null {
  if (sizelessUnits.has(unit)) return null;
  return "its unit can carry the size of the body, and with it exact height or mass";
}
