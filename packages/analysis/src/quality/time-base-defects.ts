import type { TimeBase } from "../course";
import type { Confidence, Finding, FindingKind } from "./finding";
import { median } from "./robust";

export interface TimeBaseSettings {
  /** A spacing above this many usual ones is a gap; default 3. */
  readonly gapFactor: number;
  /** Spacing is uneven where its spread exceeds this share of the usual spacing; default 0.25. */
  readonly unevenShare: number;
}

export const timeBaseDefaults: TimeBaseSettings = { gapFactor: 3, unevenShare: 0.25 };

function finding(
  kind: FindingKind,
  fromS: number,
  toS: number,
  count: number,
  message: string,
  confidence: Confidence = "sure",
  size: number | null = null,
): Finding {
  return { kind, fromS, toS, traces: [], size, unit: size === null ? "" : "s", count, confidence, message };
}

/**
 * Defects of a time base: times that are missing, run backwards or repeat, gaps, and uneven sampling. A regular time base
 * has none.
 */
export function timeBaseDefects(timeBase: TimeBase, settings: Partial<TimeBaseSettings> = {}): Finding[] {
  if (timeBase.kind === "regular") return [];
  const { gapFactor, unevenShare } = { ...timeBaseDefaults, ...settings };
  const times = timeBase.timesS;
  const findings: Finding[] = [];
  const differences: number[] = [];
  let missing = 0;
  let repeated = 0;
  let firstRepeat = Number.NaN;
  let lastRepeat = Number.NaN;
  let highest = Number.NEGATIVE_INFINITY;
  let back: { from: number; to: number; count: number } | null = null;
  const endBackwards = () => {
    if (back === null) return;
    const message = `Time runs backwards from ${back.from} s to ${back.to} s for ${back.count} samples: two recordings may be joined, or the clock was set.`;
    findings.push(finding("times reversed", back.to, back.from, back.count, message));
    back = null;
  };
  for (const time of times) {
    if (!Number.isFinite(time)) {
      missing++;
      continue;
    }
    if (time < highest) {
      back ??= { from: highest, to: time, count: 0 };
      back = { from: back.from, to: Math.min(back.to, time), count: back.count + 1 };
      continue;
    }
    endBackwards();
    if (time === highest) {
      if (repeated === 0) firstRepeat = time;
      lastRepeat = time;
      repeated++;
    } else if (highest > Number.NEGATIVE_INFINITY) differences.push(time - highest);
    highest = time;
  }
  endBackwards();
  const first = times.find((time) => Number.isFinite(time)) ?? Number.NaN;
  if (missing > 0) {
    findings.push(
      finding(
        "times missing",
        first,
        highest,
        missing,
        `${missing} samples have no time and cannot be placed.`,
      ),
    );
  }
  if (repeated > 0) {
    const message = `${repeated} samples repeat the time before them: the clock is coarser than the sampling, or rows are doubled.`;
    findings.push(finding("times repeated", firstRepeat, lastRepeat, repeated, message));
  }
  const usual = median(differences);
  findings.push(...gapsInTime(times, usual, gapFactor));
  const within = differences.filter((difference) => difference <= gapFactor * usual);
  const deviations = within.map((difference) => Math.abs(difference - usual)).sort((a, b) => a - b);
  const spread = deviations[Math.floor(0.9 * (deviations.length - 1))] ?? 0;
  if (spread > unevenShare * usual) {
    const message = `One spacing in ten differs from the usual ${usual} s by more than ${spread.toPrecision(2)} s: means over time weigh densely sampled stretches more.`;
    findings.push(finding("sampling uneven", first, highest, within.length, message, "sure", spread));
  }
  return findings;
}

function gapsInTime(times: Float64Array, usual: number, gapFactor: number): Finding[] {
  const gaps: Finding[] = [];
  let highest = Number.NaN;
  for (const time of times) {
    if (!Number.isFinite(time) || time < highest) continue;
    const length = time - highest;
    if (length > gapFactor * usual) {
      const message = `No samples for ${length.toPrecision(3)} s, where ${usual.toPrecision(3)} s is usual.`;
      gaps.push(finding("gap in time", highest, time, 0, message, "sure", length));
    }
    highest = time;
  }
  return gaps;
}
