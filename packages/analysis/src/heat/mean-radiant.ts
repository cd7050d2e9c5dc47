import { fourthPower, fourthRoot, power } from "../elementary";
import { requireCelsius, requireWithin } from "./require-number";

export interface Globe {
  /** m; default 0.15. */
  readonly diameterM?: number;
  /** Default 0.95. */
  readonly emissivity?: number;
}

export interface GlobeResult {
  /** Mean radiant temperature in °C. */
  readonly radiantC: number;
  /** Which convection was stronger around the globe, and so was used. */
  readonly convection: "natural" | "forced";
}

/**
 * Mean radiant temperature in °C from a globe thermometer. Source: ISO 7726 (constants as printed, from memory, and
 * 273 K): forced 1.1e8·v^0.6/(ε·D^0.4), natural 0.25e8/ε·(|t_g − t_a|/D)^¼; the larger is used.
 *
 * @throws AnalysisError `out of range`, also where the surroundings would be below absolute zero
 */
export function meanRadiantFromGlobe(
  globeC: number,
  airC: number,
  airSpeed: number,
  globe: Globe = {},
): GlobeResult {
  const name = "meanRadiantFromGlobe";
  const { diameterM = 0.15, emissivity = 0.95 } = globe;
  requireCelsius(name, "globeC", globeC);
  requireCelsius(name, "airC", airC);
  requireWithin(name, "airSpeed", airSpeed, 0, 20, "an air speed in m/s");
  requireWithin(name, "diameterM", diameterM, 0.01, 0.5, "a globe diameter in m");
  requireWithin(name, "emissivity", emissivity, 0.1, 1, "an emissivity");
  const kelvin = globeC - airC;
  const forced = (1.1e8 * power(airSpeed, 0.6)) / (emissivity * power(diameterM, 0.4));
  const natural = (0.25e8 / emissivity) * fourthRoot(Math.abs(kelvin) / diameterM);
  const fourth = fourthPower(globeC + 273) + Math.max(forced, natural) * kelvin;
  requireWithin(
    name,
    "globeC",
    fourth,
    0,
    Number.POSITIVE_INFINITY,
    "a globe temperature that the air allows; T⁴",
  );
  return { radiantC: fourthRoot(fourth) - 273, convection: forced > natural ? "forced" : "natural" };
}

/** Operative temperature in °C: (h_c·t_a + h_r·t_r)/(h_c + h_r). Source: ASHRAE Handbook of Fundamentals. */
export function operativeTemperature(
  airC: number,
  radiantC: number,
  convectiveCoefficient: number,
  radiantCoefficient: number,
): number {
  const name = "operativeTemperature";
  requireCelsius(name, "airC", airC);
  requireCelsius(name, "radiantC", radiantC);
  requireWithin(name, "convectiveCoefficient", convectiveCoefficient, 0.1, 200, "a coefficient in W/(m²·K)");
  requireWithin(name, "radiantCoefficient", radiantCoefficient, 0.1, 20, "a coefficient in W/(m²·K)");
  return airC + (radiantCoefficient * (radiantC - airC)) / (convectiveCoefficient + radiantCoefficient);
}
