import { surfaceArea } from "@acral/analysis/body";
import type { BodyState } from "./physiology";
import { seededRandom } from "./seeded-random";
import type { SkinNode } from "./skin-node";
import type { ConditionName, ResponseKind } from "./types";

/**
 * Spreads that are planted between volunteers and, within one volunteer, between visits. Invented, except that a
 * change comes back less faithfully than a level (Priego Quesada et al. 2016, cycling: intraclass correlation 0.44 to 0.85 for
 * levels, 0.11 to 0.74 for changes).
 */
export const spreads = {
  restingLevelC: { between: 0.36, within: 0.2 },
  constriction: { between: 0.14, within: 0.08 },
  dilation: { between: 0.06, within: 0.05 },
  thresholdC: { between: 0.02, within: 0.012 },
  /** Share of the resting spread, in °C, that one region has for itself. */
  regionC: 0.12,
  /** Left against right of one site; healthy people differ by less than 0.2 °C. */
  sideC: 0.06,
} as const;

/** Distal regions vary this much more than proximal ones. */
const distalFactor = 1.5;

/** What one volunteer brings to every visit. */
export interface Person {
  readonly massKg: number;
  readonly heightCm: number;
  readonly restingHeartRate: number;
  readonly maximumHeartRate: number;
  readonly maximumOxygenUptake: number;
  readonly constrictionGain: number;
  readonly dilationGain: number;
  readonly thresholdC: number;
  readonly restingOffsetsC: readonly number[];
}

export function drawPerson(
  seed: number,
  index: number,
  body: { readonly massKg: number; readonly heightCm: number; readonly ageYears: number },
  response: ResponseKind,
  nodes: readonly SkinNode[],
): Person {
  const random = seededRandom(seed, `volunteer ${index} physiology`);
  const kind = responseGains(response);
  const common = spreads.restingLevelC.between * random.normal();
  const lively = spreads.constriction.between * clamped(random.normal());
  const siteOffsets = new Map<string, number>();
  return {
    massKg: body.massKg,
    heightCm: body.heightCm,
    restingHeartRate: 62 + 6 * clamped(random.normal()),
    // 208 − 0.7·age (Tanaka et al. 2001).
    maximumHeartRate: 208 - 0.7 * body.ageYears + 6 * clamped(random.normal()),
    maximumOxygenUptake: 41 + 4.5 * clamped(random.normal()),
    constrictionGain: kind.constriction * (1 + lively),
    // Who constricts strongly also dilates strongly, in part: nobody who is meant to rewarm is left without.
    dilationGain: kind.dilation * (1 + 0.6 * lively + spreads.dilation.between * clamped(random.normal())),
    thresholdC: kind.thresholdC + spreads.thresholdC.between * clamped(random.normal()),
    restingOffsetsC: nodes.map((skin) => {
      const site = skin.regionId.replace(/-(left|right|midline)-/, "-");
      const own = siteOffsets.get(site) ?? spreads.regionC * clamped(random.normal());
      siteOffsets.set(site, own);
      const side = spreads.sideC * clamped(random.normal());
      return (skin.distal ? distalFactor : 1) * (common + own) + side;
    }),
  };
}

/** The same person on the day of one trial. */
export function bodyOnTheDay(
  seed: number,
  index: number,
  person: Person,
  condition: ConditionName,
  occasion: number,
  nodes: readonly SkinNode[],
): BodyState {
  const random = seededRandom(seed, `volunteer ${index} ${condition} ${occasion} day`);
  const common = spreads.restingLevelC.within * clamped(random.normal());
  return {
    massKg: person.massKg,
    surfaceM2: surfaceArea(person.heightCm / 100, person.massKg, "mosteller"),
    restingHeartRate: person.restingHeartRate + 2.5 * clamped(random.normal()),
    maximumHeartRate: person.maximumHeartRate,
    maximumOxygenUptake: person.maximumOxygenUptake,
    constrictionGain: person.constrictionGain * (1 + spreads.constriction.within * clamped(random.normal())),
    dilationGain: person.dilationGain * (1 + spreads.dilation.within * clamped(random.normal())),
    dilationThresholdC: person.thresholdC + spreads.thresholdC.within * clamped(random.normal()),
    restingOffsetsC: person.restingOffsetsC.map((offset, i) => {
      const distal = nodes[i]?.distal ?? false;
      return offset + (distal ? distalFactor : 1) * common + 0.04 * clamped(random.normal());
    }),
  };
}

interface ResponseGains {
  readonly constriction: number;
  readonly dilation: number;
  readonly thresholdC: number;
}

function responseGains(response: ResponseKind): ResponseGains {
  switch (response) {
    case "falls then rewarms":
      return { constriction: 1, dilation: 1, thresholdC: 0.16 };
    case "falls without rewarming":
      return { constriction: 0.8, dilation: 0.06, thresholdC: 0.34 };
    case "hardly falls":
      return { constriction: 0.1, dilation: 0.25, thresholdC: 0.2 };
  }
}

/** Two and a half standard deviations at most: nobody in the study is a medical case. */
function clamped(deviate: number): number {
  return Math.min(2.5, Math.max(-2.5, deviate));
}
