import type { Segment } from "../skin";
import { requireCelsius } from "./require-number";
import {
  type Posture,
  type SegmentTable,
  segmentAreas,
  segmentConvection,
  segmentTable,
} from "./segment-coefficients";

/** The room and the body's place in it, SI units. */
export interface Surroundings {
  readonly airC: number;
  readonly radiantC: number;
  /** m/s */
  readonly airSpeed: number;
  readonly posture: Posture;
}

export interface Exchange {
  /** W/(m²·K) */
  readonly coefficient: number;
  /** Loss in W/m²; negative is gain. */
  readonly flux: number;
  /** Loss in W. */
  readonly power: number;
}

export interface SegmentExchange {
  readonly segment: Segment;
  readonly areaM2: number;
  readonly convection: Exchange;
  readonly radiation: Exchange;
  /** Convection and radiation together in W. */
  readonly dryPower: number;
}

/**
 * Dry heat loss of one bare segment: convection h_c·(t_s − t_a) and radiation h_r·(t_s − t_r), per area and in watts.
 *
 * @param skinC mean skin temperature of the segment in °C
 * @param surfaceAreaM2 surface area of the whole body, to which the segment's area is scaled
 */
export function segmentExchange(
  segment: Segment,
  skinC: number,
  surroundings: Surroundings,
  surfaceAreaM2: number,
  table: SegmentTable = segmentTable,
): SegmentExchange {
  const { airC, radiantC, airSpeed, posture } = surroundings;
  requireCelsius("segmentExchange", "skinC", skinC);
  requireCelsius("segmentExchange", "airC", airC);
  requireCelsius("segmentExchange", "radiantC", radiantC);
  const areaM2 = segmentAreas(surfaceAreaM2, table)[segment];
  const exchange = (coefficient: number, kelvin: number): Exchange => ({
    coefficient,
    flux: coefficient * kelvin,
    power: coefficient * kelvin * areaM2,
  });
  const convection = exchange(segmentConvection(segment, posture, airSpeed, table), skinC - airC);
  const radiation = exchange(table[segment].radiant[posture], skinC - radiantC);
  return { segment, areaM2, convection, radiation, dryPower: convection.power + radiation.power };
}
