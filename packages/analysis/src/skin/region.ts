import type { Segment } from "./segment";

/** The volunteer's own side. */
export type Side = "left" | "right" | "midline";

/** The face of the body part that the region lies on; `whole` is all the way round. */
export type Aspect =
  | "anterior"
  | "posterior"
  | "medial"
  | "lateral"
  | "palmar"
  | "dorsal"
  | "plantar"
  | "whole";

/** What a region value is over its pixels; `point` is a single contact sensor or pixel. */
export type Statistic = "mean" | "maximum" | "minimum" | "standard deviation" | "point";

export const statistics: readonly Statistic[] = ["mean", "maximum", "minimum", "standard deviation", "point"];

export type Site =
  | "forehead"
  | "temple"
  | "cheek"
  | "nose"
  | "ear"
  | "neck"
  | "chest"
  | "scapula"
  | "upper back"
  | "abdomen"
  | "lower back"
  | "buttock"
  | "shoulder"
  | "upper arm"
  | "elbow"
  | "forearm"
  | "wrist"
  | "hand"
  | "finger"
  | "fingertip"
  | "thigh"
  | "knee"
  | "calf"
  | "shin"
  | "ankle"
  | "heel"
  | "foot"
  | "toe"
  | "instep";

/** One skin site of the region catalogue. */
export interface Region {
  /** `site-side-aspect`, for instance `forearm-left-anterior`; never changes once published. */
  readonly id: string;
  readonly site: Site;
  readonly side: Side;
  readonly aspect: Aspect;
  /** The body segment whose heat exchange this region stands for. */
  readonly segment: Segment;
  /** In plain words, for instance "Left forearm, anterior". */
  readonly label: string;
  /**
   * Whether the region is hairless skin rich in arteriovenous anastomoses (palms, soles, fingertips, toes, ears, nose),
   * which opens and closes far more than hairy skin (textbook physiology, common practice).
   */
  readonly glabrous: boolean;
}
