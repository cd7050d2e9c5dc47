import { power } from "../elementary";
import type { Segment } from "../skin";
import { requireWithin } from "./require-number";

export type Posture = "standing" | "seated";

export interface SegmentCoefficients {
  /** Convective coefficient in still air in W/(m²·K). */
  readonly natural: Readonly<Record<Posture, number>>;
  /** In moving air: factor·v^exponent in W/(m²·K), v in m/s. */
  readonly forced: { readonly factor: number; readonly exponent: number };
  /** Linear radiant coefficient in W/(m²·K). */
  readonly radiant: Readonly<Record<Posture, number>>;
  /** Area in m² on a body of 1.868 m² in all. */
  readonly area: number;
}

export type SegmentTable = Readonly<Record<Segment, SegmentCoefficients>>;

function row(
  area: number,
  naturalStanding: number,
  naturalSeated: number,
  factor: number,
  exponent: number,
  radiantStanding: number,
  radiantSeated: number,
): SegmentCoefficients {
  return {
    area,
    natural: { standing: naturalStanding, seated: naturalSeated },
    forced: { factor, exponent },
    radiant: { standing: radiantStanding, seated: radiantSeated },
  };
}

const upperArm = row(0.096, 3.61, 3.76, 17, 0.59, 4.55, 4.96);
const forearm = row(0.063, 3.55, 3.62, 17, 0.61, 4.43, 4.21);
const hand = row(0.05, 3.67, 2.06, 20, 0.6, 4.21, 4.74);
const thigh = row(0.209, 2.8, 2.98, 14, 0.61, 4.77, 4.1);
const leg = row(0.112, 2.04, 2.98, 15.8, 0.74, 5.34, 4.74);
const foot = row(0.056, 2.04, 2.62, 15.1, 0.62, 6.14, 6.36);

/**
 * Coefficients and areas of the seventeen segments. Source: Ichihara et al. 1997, J. Archit. Plann. Environ. Eng. 62 (doi
 * 10.3130/aija.62.45_5), on a body of 1.72 m and 74.43 kg.
 *
 * Other published sets (de Dear et al. 1997) differ for seated hands and legs, so that the loss of a single segment carries
 * a model uncertainty of 30 to 50 %. A study that prefers another set passes its own table.
 */
export const segmentTable: SegmentTable = {
  head: row(0.11, 4.48, 4.75, 15, 0.62, 4.89, 4.96),
  neck: row(0.029, 4.48, 4.75, 15, 0.62, 4.89, 4.96),
  chest: row(0.175, 2.97, 3.12, 11, 0.67, 4.32, 3.99),
  back: row(0.161, 2.91, 2.48, 17, 0.49, 4.09, 4.64),
  pelvis: row(0.221, 2.85, 1.84, 13, 0.6, 4.32, 4.21),
  "left upper arm": upperArm,
  "right upper arm": upperArm,
  "left forearm": forearm,
  "right forearm": forearm,
  "left hand": hand,
  "right hand": hand,
  "left thigh": thigh,
  "right thigh": thigh,
  "left leg": leg,
  "right leg": leg,
  "left foot": foot,
  "right foot": foot,
};

/** Air speed in m/s from which the coefficients of moving air hold. */
export const movingAirFrom = 0.2;

/** Convective coefficient of a segment in W/(m²·K): of still air below 0.2 m/s, else factor·v^exponent. */
export function segmentConvection(
  segment: Segment,
  posture: Posture,
  airSpeed: number,
  table: SegmentTable = segmentTable,
): number {
  requireWithin("segmentConvection", "airSpeed", airSpeed, 0, 15, "an air speed in m/s");
  const { natural, forced } = table[segment];
  return airSpeed < movingAirFrom ? natural[posture] : forced.factor * power(airSpeed, forced.exponent);
}

/** Areas of the segments in m², scaled to a body's surface area in m². */
export function segmentAreas(
  surfaceAreaM2: number,
  table: SegmentTable = segmentTable,
): Readonly<Record<Segment, number>> {
  requireWithin("segmentAreas", "surfaceAreaM2", surfaceAreaM2, 0.1, 5, "a surface area in m²");
  const entries = Object.entries(table) as [Segment, SegmentCoefficients][];
  const total = entries.reduce((sum, [, { area }]) => sum + area, 0);
  return Object.fromEntries(
    entries.map(([segment, { area }]) => [segment, (area * surfaceAreaM2) / total]),
  ) as Record<Segment, number>;
}
