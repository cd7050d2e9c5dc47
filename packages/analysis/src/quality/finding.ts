import type { Statistic } from "../skin";

export type FindingKind =
  | "times missing"
  | "times reversed"
  | "times repeated"
  | "sampling uneven"
  | "gap in time"
  | "values missing"
  | "spike"
  | "stuck"
  | "saturated"
  | "implausible values"
  | "unit in doubt"
  | "common step"
  | "common drift"
  | "reference drift";

/** How surely it is what its kind says: read off the data, or inferred from what bodies and cameras do. */
export type Confidence = "sure" | "likely" | "possible";

export interface TraceName {
  readonly regionId: string;
  readonly statistic: Statistic;
}

/** Something the quality check noticed, with its interval on the clock of the file. */
export interface Finding {
  readonly kind: FindingKind;
  readonly fromS: number;
  readonly toS: number;
  /** The traces concerned; empty where it is the whole file. */
  readonly traces: readonly TraceName[];
  /** How large, in `unit`: the height of a step or spike in °C, the length of a gap in s. Null where nothing measures it. */
  readonly size: number | null;
  readonly unit: "°C" | "s" | "";
  /** Samples concerned. */
  readonly count: number;
  readonly confidence: Confidence;
  /** What it is and what can be done, in plain words. */
  readonly message: string;
}

export interface QualityTrace extends TraceName {
  /** °C; NaN is missing. */
  readonly values: Float64Array;
}
