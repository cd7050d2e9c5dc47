import type { Aspect, Side, Site } from "./region";

export type WeightingId =
  | "ramanathan-4"
  | "burton-3"
  | "roberts-3"
  | "newburgh-spealman-4"
  | "iso-9886-4"
  | "houdas-5"
  | "ouyang-5"
  | "mochida-6"
  | "palmes-park-6"
  | "hardy-du-bois-7"
  | "iso-9886-8"
  | "nishi-gagge-8"
  | "nadel-8"
  | "crawshaw-8"
  | "colin-houdas-10"
  | "hardy-du-bois-12"
  | "iso-9886-14";

export interface Term {
  readonly site: Site;
  readonly side?: Exclude<Side, "midline">;
  readonly aspect?: Aspect;
  readonly departure?: string;
}

interface Alternative {
  /** Sites averaged with equal weight. */
  readonly average: readonly Term[];
  readonly departure?: string;
}

interface PositionRow {
  readonly name: string;
  readonly weight: number;
  readonly alternatives: readonly Alternative[];
}

export interface WeightingRow {
  readonly id: WeightingId;
  readonly label: string;
  readonly source: string;
  readonly conditions: string;
  readonly positions: readonly PositionRow[];
}

function at(name: string, weight: number, ...terms: readonly Term[]): PositionRow {
  return { name, weight, alternatives: terms.map((term) => ({ average: [term] })) };
}

const forehead: Term = { site: "forehead" };
const cheek: Term = { site: "cheek" };
const chest: Term = { site: "chest" };
const abdomen: Term = { site: "abdomen" };
const lumbar: Term = { site: "lower back" };
const upperArm: Term = { site: "upper arm" };
const forearm: Term = { site: "forearm" };
const hand: Term = { site: "hand" };
const thigh: Term = { site: "thigh" };
const calf: Term = { site: "calf" };
const shin: Term = { site: "shin" };
const foot: Term = { site: "foot" };
const instep: Term = { site: "instep" };
const scapula: Term = { site: "scapula" };
const upperBack: Term = { site: "upper back" };
const shinForCalf: Term = { ...shin, departure: "the shin stands for the calf" };

const head = (weight: number) => at("forehead", weight, forehead);
const back = (weight: number) => at("back", weight, scapula, upperBack);
const leg = (name: string, weight: number) => at(name, weight, calf, shinForCalf);
const footOrInstep = (weight: number) => at("foot", weight, foot, instep);

const backTerms = [scapula, upperBack];
const trunkOfThree: readonly Alternative[] = backTerms.map((term) => ({ average: [chest, abdomen, term] }));
const trunkOfTwo: readonly Alternative[] = backTerms.map((term) => ({ average: [chest, term] }));

/** The trunk as one site: during exercise the mean of chest, abdomen and back; with less, what there is. */
function trunk(weight: number): PositionRow {
  return {
    name: "trunk",
    weight,
    alternatives: [...trunkOfThree, ...trunkOfTwo, { average: [chest, abdomen] }, { average: [chest] }],
  };
}

const eightSites = (sided: boolean): readonly PositionRow[] => [
  at("forehead", 0.07, forehead),
  at(
    sided ? "right scapula" : "back",
    0.175,
    ...(sided ? [{ ...scapula, side: "right" } as const] : backTerms),
  ),
  at(sided ? "left upper chest" : "chest", 0.175, sided ? { ...chest, side: "left" } : chest),
  at(
    sided ? "right arm, upper location" : "upper arm",
    0.07,
    sided ? { ...upperArm, side: "right" } : upperArm,
  ),
  at(sided ? "left arm, lower location" : "forearm", 0.07, sided ? { ...forearm, side: "left" } : forearm),
  at(sided ? "left hand" : "hand", 0.05, sided ? { ...hand, side: "left" } : hand),
  at(
    sided ? "right anterior thigh" : "thigh",
    0.19,
    sided ? { ...thigh, side: "right", aspect: "anterior" } : thigh,
  ),
  sided ? at("left calf", 0.2, { ...calf, side: "left" }) : leg("calf", 0.2),
];

const isoConditions =
  "ISO 9886: four points in hot conditions, eight near thermal neutrality, fourteen in cold or uneven conditions (from memory).";
const sidesFromMemory = "sides of the sites from memory";
const review = "weights as compiled by Choi et al. 1997 and later reviews";

/**
 * Weights and sites as published. The fourteen-point weights are exactly 1/14: written as 0.07 they would sum to 0.98 and
 * make the mean about 0.65 °C too low. Mochida's upper arm is 0.07 as in the paper (0.1 in some lists is a typing error).
 */
export const weightingRows: readonly WeightingRow[] = [
  {
    id: "ramanathan-4",
    label: "Ramanathan, 4 sites",
    source: `Ramanathan 1964, J Appl Physiol 19:531–533; ${review}`,
    conditions: "Warm and neutral rooms; too few sites for cold or uneven conditions (Choi et al. 1997).",
    positions: [
      at("chest", 0.3, chest),
      at("upper arm", 0.3, upperArm),
      at("thigh", 0.2, thigh),
      leg("calf", 0.2),
    ],
  },
  {
    id: "burton-3",
    label: "Burton, 3 sites",
    source: `Burton 1935, J Nutr 9:261; ${review}`,
    conditions: "Neutral and warm rooms; without hand and foot it misses what the extremities do.",
    positions: [at("chest", 0.5, chest), at("forearm", 0.14, forearm), leg("calf", 0.36)],
  },
  {
    id: "roberts-3",
    label: "Roberts, 3 sites",
    source: `Roberts et al. 1977; ${review}`,
    conditions: "Exercise in warm rooms.",
    positions: [at("upper arm", 0.25, upperArm), at("chest", 0.43, chest), at("thigh", 0.32, thigh)],
  },
  {
    id: "newburgh-spealman-4",
    label: "Newburgh & Spealman, 4 sites",
    source: `Newburgh & Spealman 1943; ${review}`,
    conditions: "Neutral and warm rooms.",
    positions: [
      at("forearm", 0.15, forearm),
      at("chest", 0.34, chest),
      at("thigh", 0.33, thigh),
      leg("calf", 0.18),
    ],
  },
  {
    id: "iso-9886-4",
    label: "ISO 9886, 4 points",
    source: `ISO 9886:2004; ${sidesFromMemory}`,
    conditions: isoConditions,
    positions: [
      at("neck", 0.28, { site: "neck", aspect: "posterior" }, { site: "neck" }),
      at("right scapula", 0.28, { ...scapula, side: "right" }),
      at("left hand", 0.16, { ...hand, side: "left" }),
      at("right shin", 0.28, { ...shin, side: "right" }),
    ],
  },
  {
    id: "houdas-5",
    label: "Houdas, 5 sites",
    source: `Houdas 1982; ${review}`,
    conditions: "Neutral and warm rooms.",
    positions: [
      at("cheek", 0.07, cheek),
      at("upper arm", 0.19, upperArm),
      at("lower back", 0.175, lumbar),
      at("abdomen", 0.175, abdomen),
      at("thigh", 0.39, thigh),
    ],
  },
  {
    id: "ouyang-5",
    label: "Ouyang, 5 sites",
    source: `Ouyang 1985; ${review}`,
    conditions: "Neutral and warm rooms.",
    positions: [
      head(0.07),
      at("hand", 0.05, hand),
      at("chest", 0.5, chest),
      at("thigh", 0.18, thigh),
      leg("calf", 0.2),
    ],
  },
  {
    id: "mochida-6",
    label: "Mochida, 6 sites",
    source: "Mochida 1977",
    conditions:
      "Weights are area times heat-transfer coefficient: for heat exchange, not for thermal sensation.",
    positions: [
      at("head", 0.11, forehead),
      trunk(0.28),
      at("upper arm", 0.07, upperArm),
      at("forearm", 0.13, forearm),
      at("thigh", 0.21, thigh),
      leg("leg", 0.2),
    ],
  },
  {
    id: "palmes-park-6",
    label: "Palmes & Park, 6 sites",
    source: `Palmes & Park 1947; ${review}`,
    conditions: "Neutral and warm rooms.",
    positions: [
      at("cheek", 0.14, cheek),
      at("forearm", 0.11, forearm),
      at("hand", 0.05, hand),
      at("chest", 0.19, chest),
      at("lower back", 0.19, lumbar),
      at("thigh", 0.32, thigh),
    ],
  },
  {
    id: "hardy-du-bois-7",
    label: "Hardy & Du Bois, 7 sites",
    source: `Hardy & Du Bois 1938, J Nutr 15:461; ${review}`,
    conditions:
      "Neutral and cool rooms: with hand and foot, it agrees within 0.2 °C (0.4 °C cool) far more often than shorter ones (Choi et al. 1997). In exercise the trunk is the mean of chest, abdomen and back.",
    positions: [
      at("head", 0.07, forehead),
      at("arm", 0.14, forearm),
      at("hand", 0.05, hand),
      trunk(0.35),
      at("thigh", 0.19, thigh),
      leg("leg", 0.13),
      footOrInstep(0.07),
    ],
  },
  {
    id: "iso-9886-8",
    label: "ISO 9886, 8 points",
    source: `ISO 9886:2004; ${sidesFromMemory}`,
    conditions: isoConditions,
    positions: eightSites(true),
  },
  {
    id: "nishi-gagge-8",
    label: "Nishi & Gagge, 8 sites",
    source: `Nishi & Gagge 1970; Gagge & Nishi 1977; ${review}`,
    conditions: "Near thermal neutrality; the usual choice for partitional calorimetry.",
    positions: eightSites(false),
  },
  {
    id: "nadel-8",
    label: "Nadel, 8 sites",
    source: `Nadel et al. 1973; ${review}`,
    conditions:
      "Weighted by thermal sensitivity of the skin: for control of sweating and sensation, not for heat content.",
    positions: [
      head(0.21),
      at("upper arm", 0.12, upperArm),
      at("forearm", 0.06, forearm),
      back(0.11),
      at("chest", 0.1, chest),
      at("abdomen", 0.17, abdomen),
      at("thigh", 0.15, thigh),
      leg("calf", 0.08),
    ],
  },
  {
    id: "crawshaw-8",
    label: "Crawshaw, 8 sites",
    source: `Crawshaw et al. 1975; ${review}`,
    conditions:
      "Weighted by thermal sensitivity of the skin: for control of sweating and sensation, not for heat content.",
    positions: [
      head(0.19),
      at("upper arm", 0.13, upperArm),
      at("forearm", 0.12, forearm),
      back(0.09),
      at("chest", 0.08, chest),
      at("abdomen", 0.12, abdomen),
      at("thigh", 0.12, thigh),
      leg("calf", 0.15),
    ],
  },
  {
    id: "colin-houdas-10",
    label: "Colin & Houdas, 10 sites",
    source: `Colin & Houdas 1982; ${review}`,
    conditions: "Neutral and cool rooms.",
    positions: [
      head(0.06),
      at("upper arm", 0.08, upperArm),
      at("forearm", 0.06, forearm),
      at("hand", 0.05, hand),
      back(0.12),
      at("chest", 0.12, chest),
      at("abdomen", 0.12, abdomen),
      at("anterior thigh", 0.19, { ...thigh, aspect: "anterior" }),
      leg("calf", 0.13),
      footOrInstep(0.07),
    ],
  },
  {
    id: "hardy-du-bois-12",
    label: "Hardy & Du Bois, 12 sites",
    source: `Hardy & Du Bois 1938, J Nutr 15:461; ${review}`,
    conditions: "Cold or uneven conditions, as a reference.",
    positions: [
      head(0.07),
      at("forearm", 0.14, forearm),
      at("hand", 0.05, hand),
      back(0.0875),
      at("chest", 0.0875, chest),
      at("lower back", 0.0875, lumbar),
      at("abdomen", 0.0875, abdomen),
      at("anterior thigh", 0.095, { ...thigh, aspect: "anterior" }),
      at("posterior thigh", 0.095, { ...thigh, aspect: "posterior" }),
      at("anterior leg", 0.065, shin),
      at("posterior leg", 0.065, calf),
      footOrInstep(0.07),
    ],
  },
  {
    id: "iso-9886-14",
    label: "ISO 9886, 14 points",
    source: "ISO 9886:2004",
    conditions: isoConditions,
    positions: [
      at("forehead", 1 / 14, forehead),
      at("neck", 1 / 14, { site: "neck", aspect: "posterior" }, { site: "neck" }),
      at("right scapula", 1 / 14, { ...scapula, side: "right" }),
      at("left upper chest", 1 / 14, { ...chest, side: "left" }),
      at("right upper arm", 1 / 14, { ...upperArm, side: "right" }),
      at("left elbow", 1 / 14, { site: "elbow", side: "left" }),
      at("left hand", 1 / 14, { ...hand, side: "left" }),
      at("right abdomen", 1 / 14, { ...abdomen, side: "right" }),
      at("left lower back", 1 / 14, { ...lumbar, side: "left" }),
      at("right anterior thigh", 1 / 14, { ...thigh, side: "right", aspect: "anterior" }),
      at("left posterior thigh", 1 / 14, { ...thigh, side: "left", aspect: "posterior" }),
      at("right shin", 1 / 14, { ...shin, side: "right" }),
      at("left calf", 1 / 14, { ...calf, side: "left" }),
      at("right instep", 1 / 14, { ...instep, side: "right" }, { ...foot, side: "right", aspect: "dorsal" }),
    ],
  },
];
