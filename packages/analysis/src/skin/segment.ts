/**
 * The seventeen body segments for which heat exchange is computed. Left and right are the volunteer's own.
 *
 * Source of the division: Ichihara et al. 1997, J. Archit. Plann. Environ. Eng. 62 (doi 10.3130/aija.62.45_5).
 */
export type Segment =
  | "head"
  | "neck"
  | "chest"
  | "back"
  | "pelvis"
  | "left upper arm"
  | "right upper arm"
  | "left forearm"
  | "right forearm"
  | "left hand"
  | "right hand"
  | "left thigh"
  | "right thigh"
  | "left leg"
  | "right leg"
  | "left foot"
  | "right foot";

export const segments: readonly Segment[] = [
  "head",
  "neck",
  "chest",
  "back",
  "pelvis",
  "left upper arm",
  "right upper arm",
  "left forearm",
  "right forearm",
  "left hand",
  "right hand",
  "left thigh",
  "right thigh",
  "left leg",
  "right leg",
  "left foot",
  "right foot",
];
