import { AnalysisError } from "@acral/analysis";
import { estimateOffset, type OffsetSeries } from "@acral/analysis/course";
import { inWords } from "../trace/policy";
import type { KeptMethod } from "./schema";

/** Where a file lies on the trial's clock. Nothing here reads or writes. */

export interface FileStart {
  readonly name: string;
  /** ISO 8601, with offset if the zone is known, without if not; null when the file has no date. */
  readonly startedAt: string | null;
}

const zoned = /(Z|[+-]\d{2}:\d{2})$/;

export type Between =
  | { readonly kind: "known"; readonly seconds: number }
  | { readonly kind: "unknown"; readonly reason: string };

/**
 * Seconds from the start of `from` to the start of `to`, by what both files say. Two times without a zone are taken as
 * of the same clock; one with and one without cannot be compared.
 */
export function secondsBetween(from: FileStart, to: FileStart): Between {
  for (const file of [from, to]) {
    if (file.startedAt === null) {
      return { kind: "unknown", reason: `${file.name} does not say on which day and when it began.` };
    }
  }
  const start = from.startedAt ?? "";
  const end = to.startedAt ?? "";
  if (zoned.test(start) !== zoned.test(end)) {
    const [without, having] = zoned.test(start) ? [to, from] : [from, to];
    return {
      kind: "unknown",
      reason: `${having.name} says its offset from UTC and ${without.name} does not. Enter it in the column map of ${without.name} (Offset from UTC), and read it again.`,
    };
  }
  const instant = (text: string) => Date.parse(zoned.test(text) ? text : `${text}Z`);
  const seconds = (instant(end) - instant(start)) / 1000;
  return Number.isFinite(seconds)
    ? { kind: "known", seconds }
    : { kind: "unknown", reason: "A start cannot be read as a date and time." };
}

/** To the millisecond: no instrument's clock is better, and sums of decimals carry dust. */
export const toMillisecond = (seconds: number) => Math.round(seconds * 1000) / 1000 + 0;

const signed = (seconds: number) => `${seconds > 0 ? "+" : ""}${seconds} s`;

/** How an offset was found, in a sentence. */
export function methodInWords(method: KeptMethod): string {
  switch (method.kind) {
    case "stated":
      return `Stated: ${method.reason}`;
    case "absolute time":
      return `By absolute time: this file began at ${method.ownStart}, ${method.otherName} at ${method.otherStart}.`;
    case "same event":
      return `By an event that both saw (${method.event}): at ${method.hereS} s in this file, at ${method.thereS} s ${
        method.otherName === null ? "on the trial's clock" : `in ${method.otherName}`
      }.`;
    case "estimate":
      return `Estimated where ${method.ownLabel} agrees best with ${method.otherLabel} of ${method.otherName}: correlation ${method.correlation.toFixed(
        2,
      )}, the next best place has ${Math.round(method.ambiguity * 100)} % of it.`;
    case "taken over":
      return method.movedS === 0
        ? `Taken over from ${method.fromName}, whose place this file has.`
        : `Taken over from ${method.fromName}, whose place this file has, moved by ${signed(method.movedS)} because it says that it began then.`;
  }
}

export type Agreement =
  | {
      readonly kind: "found";
      /** Seconds by which the file has to be moved later from where it lies. */
      readonly shiftS: number;
      readonly correlation: number;
      /** The same where the file lies now; null where the two do not overlap enough. */
      readonly correlationNow: number | null;
      /** The best agreement elsewhere, over the best. */
      readonly ambiguity: number;
      readonly overlapS: number;
      /** What speaks against taking it, as sentences; empty: nothing. */
      readonly doubts: readonly string[];
    }
  | { readonly kind: "none"; readonly reason: string };

/** From which correlation on, and up to which ambiguity, an estimate is not doubted; common practice. */
const sure = { correlation: 0.7, ambiguity: 0.9 };

/** At which shift the second series agrees best with the first, with what speaks against it. */
export function agreementOf(reference: OffsetSeries, moving: OffsetSeries): Agreement {
  try {
    const found = estimateOffset(reference, moving);
    if (found === null) {
      return {
        kind: "none",
        reason:
          "Nothing in the two series moves alike, or they never overlap enough. Choose other series, or another way to place the file.",
      };
    }
    const { shiftS, correlation, correlationNow, ambiguity, overlapS, atEdge } = found;
    const doubts = [
      ...(correlation < sure.correlation
        ? [`They agree little even there (correlation ${correlation.toFixed(2)}).`]
        : []),
      ...(ambiguity > sure.ambiguity
        ? [
            `Another place agrees nearly as well (${Math.round(ambiguity * 100)} % of it): look at both lines.`,
          ]
        : []),
      ...(atEdge ? ["It lies at the end of what could be looked at: the true place may lie beyond."] : []),
    ];
    return {
      kind: "found",
      shiftS,
      correlation,
      correlationNow: Number.isFinite(correlationNow) ? correlationNow : null,
      ambiguity,
      overlapS,
      doubts,
    };
  } catch (error) {
    if (error instanceof AnalysisError) return { kind: "none", reason: inWords(error.message) };
    throw error;
  }
}

/** The values less their mean, over their spread, for drawing series of different units together. */
export function standardised(values: Float64Array): Float64Array {
  const finite = values.filter(Number.isFinite);
  const mean = finite.reduce((sum, value) => sum + value, 0) / finite.length;
  const spread = Math.sqrt(finite.reduce((sum, value) => sum + (value - mean) ** 2, 0) / finite.length);
  return values.map((value) => (spread > 0 ? (value - mean) / spread : value - mean));
}
