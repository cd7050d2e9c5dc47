/**
 * The fourteen regions of the demo study as skin nodes. Column by column:
 *
 * - `convection`, `radiation`: W/(m²·K), standing in still air; Ichihara et al. 1997 (doi 10.3130/aija.62.45_5), for
 *   the segment that holds the region. A fingertip takes the coefficients of the hand.
 * - `restingC`: skin temperature after ten minutes' rest, bare, in a room of 23 °C. Common practice.
 * - `bloodDropC`: how much cooler than the core the blood arrives (counter-current exchange). Invented.
 * - `perfusedShare`: share of the exchange with the core that is carried by blood, the rest by conduction. Invented.
 * - `heatCapacity`: J/(m²·K) of the layer that follows the flow. Hand: fitted to the rates of Zontak et al. 1998.
 *   Fingertip: the cooling half-time without flow is 6.6 min (Rubinstein & Sessler 1990). Others: invented.
 * - `constriction`, `dilation`: exponents of the flow at full drive, for a volunteer of gain 1. Fitted or invented.
 * - `thresholdShiftC`: dilation starts at a smaller core rise where arteriovenous anastomoses lie (they lead).
 * - `muscleC`: warming of the arriving blood by working muscle beneath, at full load. Invented.
 * - `sweatWM2`: evaporation at full sweating. Invented.
 */
export interface SkinNode {
  readonly regionId: string;
  readonly convection: number;
  readonly radiation: number;
  readonly restingC: number;
  readonly bloodDropC: number;
  readonly perfusedShare: number;
  readonly heatCapacity: number;
  readonly constriction: number;
  readonly dilation: number;
  readonly thresholdShiftC: number;
  readonly muscleC: number;
  readonly sweatWM2: number;
  /** Under the glove in the condition "insulated gloves": measured there by a contact point, not by the camera. */
  readonly gloved: boolean;
  /** Resting levels of distal regions differ more between people. */
  readonly distal: boolean;
}

type Segment = Pick<SkinNode, "convection" | "radiation">;

const head: Segment = { convection: 4.48, radiation: 4.89 };
const chest: Segment = { convection: 2.97, radiation: 4.32 };
const back: Segment = { convection: 2.91, radiation: 4.09 };
const upperArm: Segment = { convection: 3.61, radiation: 4.55 };
const forearm: Segment = { convection: 3.55, radiation: 4.43 };
const hand: Segment = { convection: 3.67, radiation: 4.21 };
const thigh: Segment = { convection: 2.8, radiation: 4.77 };
const leg: Segment = { convection: 2.04, radiation: 5.34 };

interface Tissue {
  readonly resting: number;
  readonly drop: number;
  readonly perfused: number;
  readonly capacity: number;
  readonly constriction: number;
  readonly dilation: number;
  readonly shift?: number;
  readonly muscle?: number;
  readonly sweat: number;
  readonly distal?: boolean;
  readonly gloved?: boolean;
}

function node(regionId: string, where: Segment, tissue: Tissue): SkinNode {
  return {
    regionId,
    ...where,
    restingC: tissue.resting,
    bloodDropC: tissue.drop,
    perfusedShare: tissue.perfused,
    heatCapacity: tissue.capacity,
    constriction: tissue.constriction,
    dilation: tissue.dilation,
    thresholdShiftC: tissue.shift ?? 0,
    muscleC: tissue.muscle ?? 0,
    sweatWM2: tissue.sweat,
    gloved: tissue.gloved ?? false,
    distal: tissue.distal ?? false,
  };
}

const upperArmTissue: Tissue = {
  resting: 32.8,
  drop: 1.0,
  perfused: 0.55,
  capacity: 7000,
  constriction: 0.7,
  dilation: 0.9,
  sweat: 14,
};
const forearmTissue: Tissue = {
  resting: 32.3,
  drop: 1.4,
  perfused: 0.65,
  capacity: 6500,
  constriction: 1.0,
  dilation: 1.25,
  sweat: 12,
};
const handTissue: Tissue = {
  resting: 32.2,
  drop: 1.8,
  perfused: 0.95,
  capacity: 4600,
  constriction: 2.2,
  dilation: 1.95,
  shift: -0.03,
  sweat: 3,
  distal: true,
  gloved: true,
};
/** 7.88 W/(m²·K) to the room times 6.6 min / ln 2 = 571.3 s. */
const fingertipTissue: Tissue = {
  resting: 32.0,
  drop: 2.0,
  perfused: 0.97,
  capacity: 4502,
  constriction: 2.7,
  dilation: 2.4,
  shift: -0.06,
  sweat: 0,
  distal: true,
  gloved: true,
};

export const skinNodes: readonly SkinNode[] = [
  node("forehead-midline-anterior", head, {
    resting: 34.2,
    drop: 0.5,
    perfused: 0.6,
    capacity: 6000,
    constriction: 0.25,
    dilation: 0.5,
    sweat: 30,
  }),
  node("nose-midline-anterior", head, {
    resting: 31.8,
    drop: 1.2,
    perfused: 0.9,
    capacity: 4500,
    constriction: 1.2,
    dilation: 1.6,
    shift: -0.05,
    sweat: 6,
    distal: true,
  }),
  node("chest-left-anterior", chest, {
    resting: 33.6,
    drop: 0.5,
    perfused: 0.5,
    capacity: 9000,
    constriction: 0.45,
    dilation: 0.6,
    sweat: 22,
  }),
  node("upper-back-midline-posterior", back, {
    resting: 33.4,
    drop: 0.5,
    perfused: 0.5,
    capacity: 9000,
    constriction: 0.4,
    dilation: 0.6,
    sweat: 26,
  }),
  node("upper-arm-left-anterior", upperArm, upperArmTissue),
  node("upper-arm-right-anterior", upperArm, upperArmTissue),
  node("forearm-left-anterior", forearm, forearmTissue),
  node("forearm-right-anterior", forearm, forearmTissue),
  node("hand-left-dorsal", hand, handTissue),
  node("hand-right-dorsal", hand, handTissue),
  node("fingertip-left-palmar", hand, fingertipTissue),
  node("fingertip-right-palmar", hand, fingertipTissue),
  node("thigh-right-anterior", thigh, {
    resting: 31.8,
    drop: 1.2,
    perfused: 0.5,
    capacity: 9000,
    constriction: 0.9,
    dilation: 0.45,
    muscle: 1.2,
    sweat: 14,
  }),
  node("calf-right-posterior", leg, {
    resting: 31.4,
    drop: 1.5,
    perfused: 0.5,
    capacity: 8500,
    constriction: 0.8,
    dilation: 0.4,
    muscle: 1.4,
    sweat: 10,
  }),
];

/** Heat transfer between bare skin and a room of still air, W/(m²·K). */
export function heatTransfer(skin: SkinNode): number {
  return skin.convection + skin.radiation;
}

/** Operative temperature that the skin sees, °C: the mean of air and surroundings weighted by their coefficients. */
export function operativeTemperature(skin: SkinNode, airC: number, radiantC: number): number {
  return (skin.convection * airC + skin.radiation * radiantC) / heatTransfer(skin);
}
