import { requireCelsius, requireWithin } from "./require-number";

export type RespirationForm = "ASHRAE" | "ISO 7933";

export interface RespiratoryLoss {
  /** W/m² */
  readonly convection: number;
  /** W/m² */
  readonly evaporation: number;
}

/**
 * Heat lost by breathing in W/m², from the metabolic rate in W/m².
 *
 * ASHRAE Handbook of Fundamentals: 0.0014·M·(34 − t_a) and 0.0173·M·(5.87 − p_a). ISO 7933: 0.001516·M·(t_exp − t_a) with
 * t_exp = 28.56 + 0.115·t_a + 0.641·p_a, and 0.00127·M·(59.34 + 0.53·t_a − 11.63·p_a).
 */
export function respiratoryLoss(
  metabolicWPerM2: number,
  airC: number,
  vapourPressureKPa: number,
  form: RespirationForm = "ASHRAE",
): RespiratoryLoss {
  const name = "respiratoryLoss";
  requireWithin(name, "metabolicWPerM2", metabolicWPerM2, 0, 1500, "a metabolic rate in W/m²");
  requireCelsius(name, "airC", airC);
  requireWithin(name, "vapourPressureKPa", vapourPressureKPa, 0, 20, "a vapour pressure in kPa");
  const m = metabolicWPerM2;
  switch (form) {
    case "ASHRAE":
      return { convection: 0.0014 * m * (34 - airC), evaporation: 0.0173 * m * (5.87 - vapourPressureKPa) };
    case "ISO 7933": {
      const expired = 28.56 + 0.115 * airC + 0.641 * vapourPressureKPa;
      return {
        convection: 0.001516 * m * (expired - airC),
        evaporation: 0.00127 * m * (59.34 + 0.53 * airC - 11.63 * vapourPressureKPa),
      };
    }
  }
}
