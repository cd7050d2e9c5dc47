import type { Statistic } from "../skin";
import { type AdjustmentSettings, seriesKey } from "./adjustment";

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
  /**
   * By which a later reading of the same file recognises it: kind, traces, interval to the second. Unique among the findings of
   * one check, and at most 200 characters long.
   */
  readonly key: string;
  readonly kind: FindingKind;
  readonly fromS: number;
  readonly toS: number;
  /** The traces concerned; empty where it is the whole file. */
  readonly traces: readonly TraceName[];
  /** How large, in `unit`: the height of a step or spike in °C, the length of a gap in s. Null where nothing measures it. */
  readonly size: number | null;
  /** Standard error of the size where it is an estimate over regions; absent where it is read off. */
  readonly standardError?: number;
  readonly unit: "°C" | "s" | "";
  /** Samples concerned. */
  readonly count: number;
  readonly confidence: Confidence;
  /** What it is, in a plain sentence. */
  readonly meaning: string;
  /** What can be done about it, in a plain sentence. */
  readonly whatCanBeDone: string;
  /** The adjustment that would take it out, ready to be applied; null where none does. */
  readonly proposal: AdjustmentSettings | null;
}

/** A finding with its key. What most regions share is recognised by its moment alone, whichever regions were mapped. */
export function finding(parts: Omit<Finding, "key">): Finding {
  return { ...parts, key: findingKey(parts) };
}

/** The names themselves where they are short; otherwise how many they are, and a checksum of them (FNV-1a, 32 bits). */
function namesInKey(names: readonly string[]): string {
  const text = [...names].sort().join(", ");
  if (text.length <= 100) return text;
  let sum = 0x811c9dc5;
  for (let i = 0; i < text.length; i++) sum = Math.imul(sum ^ text.charCodeAt(i), 0x01000193) >>> 0;
  return `${names.length} series #${sum.toString(16)}`;
}

function findingKey({ kind, traces, fromS, toS }: Omit<Finding, "key">): string {
  const isCommon = kind === "common step" || kind === "common drift" || traces.length === 0;
  const where = isCommon ? "all" : namesInKey(traces.map(seriesKey));
  return `${kind} · ${where} · ${Math.round(fromS)} to ${Math.round(toS)} s`;
}

export interface QualityTrace extends TraceName {
  /** °C; NaN is missing. */
  readonly values: Float64Array;
}
