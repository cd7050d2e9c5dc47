export interface PlausibilityLimit {
  readonly min: number;
  readonly max: number;
  readonly unit: string;
}

/**
 * Limits for data entry: a number outside is more likely a slip (a unit, a digit, a field) than a person or a room. All
 * are common practice, none is a norm, and none says that what lies inside is healthy or right.
 */
export const plausibilityLimits = {
  heightM: { min: 1, max: 2.3, unit: "m" },
  massKg: { min: 25, max: 250, unit: "kg" },
  ageYears: { min: 5, max: 100, unit: "years" },
  skinfoldMm: { min: 2, max: 80, unit: "mm" },
  skinTemperatureC: { min: 5, max: 45, unit: "°C" },
  coreTemperatureC: { min: 34, max: 41.5, unit: "°C" },
  airTemperatureC: { min: -30, max: 60, unit: "°C" },
  meanRadiantTemperatureC: { min: -30, max: 90, unit: "°C" },
  relativeHumidityPercent: { min: 0, max: 100, unit: "%" },
  airSpeedMPerS: { min: 0, max: 15, unit: "m/s" },
  barometricPressureKPa: { min: 50, max: 110, unit: "kPa" },
  heartRatePerMin: { min: 25, max: 230, unit: "1/min" },
  powerW: { min: 0, max: 2500, unit: "W" },
  cadencePerMin: { min: 0, max: 250, unit: "1/min" },
  oxygenUptakeLPerMin: { min: 0.1, max: 7.5, unit: "L/min" },
  emissivity: { min: 0.9, max: 1, unit: "" },
} as const satisfies Readonly<Record<string, PlausibilityLimit>>;

export type LimitedQuantity = keyof typeof plausibilityLimits;

/** Whether a number lies within the plausibility limits of a quantity; NaN and infinite numbers do not. */
export function isPlausible(quantity: LimitedQuantity, value: number): boolean {
  const { min, max } = plausibilityLimits[quantity];
  return value >= min && value <= max;
}
