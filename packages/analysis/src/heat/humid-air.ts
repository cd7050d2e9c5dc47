import { cube, exp, log, square } from "../elementary";
import { requireCelsius, requireWithin } from "./require-number";

export type SaturationForm = "antoine" | "ISO 7933" | "magnus" | "hyland wexler";

/** Forms of the saturation pressure of water; they spread by about 0.3 %, so the one that was used is stored. */
export const saturationForms: readonly { readonly id: SaturationForm; readonly source: string }[] = [
  { id: "antoine", source: "ISO 7730" },
  { id: "ISO 7933", source: "ISO 7933:2023" },
  { id: "magnus", source: "WMO Guide to Meteorological Instruments" },
  { id: "hyland wexler", source: "Hyland & Wexler 1983; ASHRAE Handbook of Fundamentals" },
];

/** Saturation pressure of water vapour over water in kPa at −20 to 80 °C (Hyland–Wexler: from 0 °C). */
export function saturationPressure(celsius: number, form: SaturationForm = "antoine"): number {
  const lowest = form === "hyland wexler" ? 0 : -20;
  requireWithin("saturationPressure", "celsius", celsius, lowest, 80, "a temperature in °C");
  switch (form) {
    case "antoine":
      return exp(16.6536 - 4030.183 / (celsius + 235));
    case "ISO 7933":
      return 0.6105 * exp((17.27 * celsius) / (celsius + 237.3));
    case "magnus":
      return 0.6112 * exp((17.62 * celsius) / (243.12 + celsius));
    case "hyland wexler": {
      const t = celsius + 273.15;
      const exponent =
        -5800.2206 / t +
        1.3914993 -
        0.048640239 * t +
        4.1764768e-5 * square(t) -
        1.4452093e-8 * cube(t) +
        6.5459673 * log(t);
      return exp(exponent) / 1000;
    }
  }
}

/** Vapour pressure in kPa of air of a temperature in °C and a relative humidity in per cent. */
export function vapourPressure(
  airC: number,
  relativeHumidityPercent: number,
  form: SaturationForm = "antoine",
): number {
  requireWithin(
    "vapourPressure",
    "relativeHumidityPercent",
    relativeHumidityPercent,
    0,
    100,
    "a relative humidity in %",
  );
  return (relativeHumidityPercent / 100) * saturationPressure(airC, form);
}

/** Dew point in °C of a vapour pressure in kPa, by the Magnus form (WMO guide). */
export function dewPoint(vapourPressureKPa: number): number {
  requireWithin("dewPoint", "vapourPressureKPa", vapourPressureKPa, 0.01, 50, "a vapour pressure in kPa");
  const ln = log(vapourPressureKPa / 0.6112);
  return (243.12 * ln) / (17.62 - ln);
}

/** Kilograms of water per kilogram of dry air: 0.62198·p_a/(p − p_a). */
export function humidityRatio(vapourPressureKPa: number, pressureKPa = 101.325): number {
  requireWithin("humidityRatio", "pressureKPa", pressureKPa, 30, 120, "an air pressure in kPa");
  requireWithin(
    "humidityRatio",
    "vapourPressureKPa",
    vapourPressureKPa,
    0,
    pressureKPa / 2,
    "a vapour pressure in kPa",
  );
  return (0.62198 * vapourPressureKPa) / (pressureKPa - vapourPressureKPa);
}

/** Lewis relation in K/kPa: 16.5 for bare skin at sea level (ASHRAE); ISO 7933 uses 16.7. */
export const lewisRelation = 16.5;

/**
 * Largest evaporation in W/m² from wholly wet bare skin: LR·h_c·(p_sk − p_a).
 *
 * @param convectiveCoefficient W/(m²·K)
 * @param skinC skin temperature in °C, at whose saturation pressure the wet skin is
 */
export function maximumEvaporation(
  convectiveCoefficient: number,
  skinC: number,
  vapourPressureKPa: number,
  lewis: number = lewisRelation,
): number {
  requireWithin(
    "maximumEvaporation",
    "convectiveCoefficient",
    convectiveCoefficient,
    0,
    200,
    "a coefficient in W/(m²·K)",
  );
  requireCelsius("maximumEvaporation", "skinC", skinC);
  requireWithin(
    "maximumEvaporation",
    "vapourPressureKPa",
    vapourPressureKPa,
    0,
    50,
    "a vapour pressure in kPa",
  );
  return lewis * convectiveCoefficient * (saturationPressure(skinC) - vapourPressureKPa);
}
