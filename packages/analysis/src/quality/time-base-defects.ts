import type { TimeBase } from "../course";
import { type Finding, type FindingKind, finding } from "./finding";
import { median } from "./robust";

export interface TimeBaseSettings {
  /** A spacing above this many usual ones is a gap; default 3. */
  readonly gapFactor: number;
  /** Spacing is uneven where its spread exceeds this share of the usual spacing; default 0.25. */
  readonly unevenShare: number;
}

export const timeBaseDefaults: TimeBaseSettings = { gapFactor: 3, unevenShare: 0.25 };

interface Defect {
  readonly kind: FindingKind;
  readonly fromS: number;
  readonly toS: number;
  readonly count: number;
  readonly meaning: string;
  readonly whatCanBeDone: string;
  readonly size?: number;
}

function defect({ size, ...parts }: Defect): Finding {
  const measured = size === undefined ? ({ size: null, unit: "" } as const) : ({ size, unit: "s" } as const);
  return finding({ ...parts, ...measured, traces: [], confidence: "sure", proposal: null });
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
    findings.push(
      defect({
        kind: "times reversed",
        fromS: back.to,
        toS: back.from,
        count: back.count,
        meaning: `Time runs backwards from ${back.from} s to ${back.to} s for ${back.count} samples: two recordings may be joined, or the clock was set.`,
        whatCanBeDone:
          "Correct how the column map reads time, or export the recordings apart: nothing is computed over times that run backwards.",
      }),
    );
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
      defect({
        kind: "times missing",
        fromS: first,
        toS: highest,
        count: missing,
        meaning: `${missing} samples have no time and cannot be placed.`,
        whatCanBeDone:
          "Correct how the column map reads time, or fill in the times where the file was written.",
      }),
    );
  }
  if (repeated > 0) {
    findings.push(
      defect({
        kind: "times repeated",
        fromS: firstRepeat,
        toS: lastRepeat,
        count: repeated,
        meaning: `${repeated} samples repeat the time before them: the clock is coarser than the sampling, or rows are doubled.`,
        whatCanBeDone:
          "Where frames were evenly spaced, read time from the frame number; doubled rows weigh double and are to be removed at the source.",
      }),
    );
  }
  const usual = median(differences);
  findings.push(...gapsInTime(times, usual, gapFactor));
  const within = differences.filter((difference) => difference <= gapFactor * usual);
  const deviations = within.map((difference) => Math.abs(difference - usual)).sort((a, b) => a - b);
  const spread = deviations[Math.floor(0.9 * (deviations.length - 1))] ?? 0;
  if (spread > unevenShare * usual) {
    findings.push(
      defect({
        kind: "sampling uneven",
        fromS: first,
        toS: highest,
        count: within.length,
        size: spread,
        meaning: `One spacing in ten differs from the usual ${usual} s by more than ${spread.toPrecision(2)} s.`,
        whatCanBeDone:
          "Within a bin, means weigh densely sampled moments more; bins weigh alike. Nothing needs to be done where bins are wide.",
      }),
    );
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
      gaps.push(
        defect({
          kind: "gap in time",
          fromS: highest,
          toS: time,
          count: 0,
          size: length,
          meaning: `No samples for ${length.toPrecision(3)} s, where ${usual.toPrecision(3)} s is usual.`,
          whatCanBeDone:
            "Nothing is filled in: measures over this time rest on what is left, and say when that is too little.",
        }),
      );
    }
    highest = time;
  }
  return gaps;
}
