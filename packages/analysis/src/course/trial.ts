import { AnalysisError } from "../analysis-error";
import type { Statistic } from "../skin";
import type { TimeBase } from "./time-base";
import type { Window } from "./windows";

export type PhaseKind = "rest" | "exercise" | "recovery";

/** A timed part of a trial, in s on the same clock as the traces. */
export interface PhaseInterval {
  readonly name: string;
  readonly kind: PhaseKind;
  readonly startS: number;
  readonly endS: number;
}

export interface TrialTrace {
  readonly regionId: string;
  readonly statistic: Statistic;
  readonly timeBase: TimeBase;
  /** °C (K for a standard deviation); NaN is missing. */
  readonly values: Float64Array;
}

/** Phases in order of time, each with a positive duration and none inside another. */
export function orderedPhases(
  functionName: string,
  phases: readonly PhaseInterval[],
): readonly PhaseInterval[] {
  const ordered = [...phases].sort((a, b) => a.startS - b.startS);
  for (const [i, phase] of ordered.entries()) {
    if (!Number.isFinite(phase.startS) || !Number.isFinite(phase.endS) || !(phase.endS > phase.startS)) {
      const requirement = `phases that end after they begin; "${phase.name}" runs from ${phase.startS} to ${phase.endS} s`;
      throw new AnalysisError("out of range", functionName, "phases", requirement);
    }
    const next = ordered[i + 1];
    if (next !== undefined && next.startS < phase.endS - 1e-6) {
      const requirement = `phases that follow each other; "${next.name}" begins before "${phase.name}" ends`;
      throw new AnalysisError("out of range", functionName, "phases", requirement);
    }
  }
  return ordered;
}

/** The phases that measures refer to, in s from the start of the first exercise phase. */
export interface TrialWindows {
  /** Start of the first exercise phase on the trial's clock: the origin of the grid. */
  readonly originS: number;
  /** The first rest phase before exercise. */
  readonly rest: Window | null;
  /** From the start of the first to the end of the last exercise phase. */
  readonly exercise: Window;
  /** The last exercise phase. */
  readonly lastExercise: Window;
  /** The first recovery phase after the last exercise phase. */
  readonly recovery: Window | null;
}

/** Null when no phase is exercise. */
export function trialWindows(functionName: string, phases: readonly PhaseInterval[]): TrialWindows | null {
  const ordered = orderedPhases(functionName, phases);
  const exercises = ordered.filter(({ kind }) => kind === "exercise");
  const first = exercises[0];
  const last = exercises.at(-1);
  if (first === undefined || last === undefined) return null;
  const originS = first.startS;
  const from = (phase: PhaseInterval | undefined): Window | null =>
    phase === undefined ? null : { fromS: phase.startS - originS, toS: phase.endS - originS };
  return {
    originS,
    rest: from(ordered.find(({ kind, endS }) => kind === "rest" && endS <= originS + 1e-6)),
    exercise: { fromS: 0, toS: last.endS - originS },
    lastExercise: { fromS: last.startS - originS, toS: last.endS - originS },
    recovery: from(ordered.find(({ kind, startS }) => kind === "recovery" && startS >= last.endS - 1e-6)),
  };
}
