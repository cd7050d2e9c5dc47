export interface Interval {
  readonly lower: number;
  readonly upper: number;
  /** Confidence level, for instance 0.95. */
  readonly level: number;
}

/** What is tested against: a difference either way, or only below or above the hypothesis. */
export type Alternative = "two-sided" | "less" | "greater";
