import { cube, fourthPower } from "../elementary";
import { requireCelsius, requireWithin } from "./require-number";

/** Stefan–Boltzmann constant in W/(m²·K⁴), CODATA 2018 (from memory; standards print 5.67e-8). */
export const stefanBoltzmann = 5.670374419e-8;

/** 0 °C in K. */
export const kelvinOffset = 273.15;

/**
 * Emissivity of skin, 8 to 14 µm and beyond: 0.98 ± 0.01 whatever its colour (Steketee 1973, Phys Med Biol 18:686–694);
 * 0.971 ± 0.005 without difference of site or sex (Togawa 1989); 0.972 in 65 adults (Charlton et al. 2020).
 */
export const skinEmissivity = 0.98;

/** Share of the body's surface that exchanges radiation with the surroundings, by posture. */
export const effectiveRadiantShares = {
  "standing, Fanger": { share: 0.73, source: "Fanger 1967; ASHRAE Handbook of Fundamentals" },
  "seated, Fanger": { share: 0.7, source: "Fanger 1967; ASHRAE Handbook of Fundamentals" },
  "standing, ISO 7933": { share: 0.77, source: "ISO 7933" },
  "seated, ISO 7933": { share: 0.7, source: "ISO 7933" },
  "crouching, ISO 7933": { share: 0.67, source: "ISO 7933" },
} as const;

export interface RadiationOptions {
  /** 0.1 to 1; default skinEmissivity. */
  readonly emissivity?: number;
  /** Effective radiant area as a share of the area, or the view factor of a patch to its surroundings; default 1. */
  readonly effectiveShare?: number;
}

function check(name: string, skinC: number, radiantC: number, options: RadiationOptions): { factor: number } {
  const { emissivity = skinEmissivity, effectiveShare = 1 } = options;
  requireCelsius(name, "skinC", skinC);
  requireCelsius(name, "radiantC", radiantC);
  requireWithin(name, "emissivity", emissivity, 0.1, 1, "an emissivity");
  requireWithin(name, "effectiveShare", effectiveShare, 0, 1, "a share");
  return { factor: effectiveShare * emissivity * stefanBoltzmann };
}

/**
 * Radiant heat loss in W/m²: f·ε·σ·(T_s⁴ − T_r⁴), temperatures given in °C and raised in K. Negative when the
 * surroundings are warmer.
 *
 * @param skinC skin temperature in °C
 * @param radiantC mean radiant temperature in °C
 */
export function radiantFlux(skinC: number, radiantC: number, options: RadiationOptions = {}): number {
  const { factor } = check("radiantFlux", skinC, radiantC, options);
  return factor * (fourthPower(skinC + kelvinOffset) - fourthPower(radiantC + kelvinOffset));
}

/**
 * Linear radiant coefficient in W/(m²·K): 4·f·ε·σ·(273.15 + (t_s + t_r)/2)³. Source: ASHRAE Handbook of Fundamentals,
 * Thermal comfort, eq. 35. About 0.03 % low over a difference of 10 °C.
 */
export function radiantCoefficient(skinC: number, radiantC: number, options: RadiationOptions = {}): number {
  const { factor } = check("radiantCoefficient", skinC, radiantC, options);
  return 4 * factor * cube(kelvinOffset + (skinC + radiantC) / 2);
}
