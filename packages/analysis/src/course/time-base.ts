import { AnalysisError } from "../analysis-error";

/**
 * When the samples of a file were taken, in seconds from the file's own origin: evenly spaced, or one time per sample.
 */
export type TimeBase =
  | { readonly kind: "regular"; readonly startS: number; readonly stepS: number; readonly count: number }
  | { readonly kind: "irregular"; readonly timesS: Float64Array };

/** Number of samples. */
export function sampleCount(timeBase: TimeBase): number {
  return timeBase.kind === "regular" ? timeBase.count : timeBase.timesS.length;
}

/** Time of a sample in s. Throws when the time base has no such sample. */
export function timeAt(timeBase: TimeBase, index: number): number {
  if (!Number.isInteger(index) || index < 0 || index >= sampleCount(timeBase)) {
    throw new AnalysisError("out of range", "timeAt", "index", `the index of a sample, not ${index}`);
  }
  if (timeBase.kind === "regular") return timeBase.startS + index * timeBase.stepS;
  return timeBase.timesS[index] as number;
}

/** All sample times in s, as a new array. */
export function sampleTimes(timeBase: TimeBase): Float64Array {
  if (timeBase.kind === "irregular") return timeBase.timesS.slice();
  const times = new Float64Array(timeBase.count);
  for (let i = 0; i < times.length; i++) times[i] = timeBase.startS + i * timeBase.stepS;
  return times;
}

/** Seconds between the first and the last sample; 0 for one sample, NaN for none. */
export function durationS(timeBase: TimeBase): number {
  const count = sampleCount(timeBase);
  return count === 0 ? Number.NaN : timeAt(timeBase, count - 1) - timeAt(timeBase, 0);
}

/**
 * The usual spacing of samples in s: the step of a regular time base, the median of the positive differences of an
 * irregular one (NaN when there is none).
 */
export function typicalStepS(timeBase: TimeBase): number {
  if (timeBase.kind === "regular") return timeBase.stepS;
  const { timesS } = timeBase;
  const differences = new Float64Array(timesS.length);
  let count = 0;
  for (let i = 1; i < timesS.length; i++) {
    const difference = (timesS[i] as number) - (timesS[i - 1] as number);
    if (difference > 0) differences[count++] = difference;
  }
  if (count === 0) return Number.NaN;
  const sorted = differences.subarray(0, count).sort();
  const middle = sorted.length >> 1;
  const upper = sorted[middle] as number;
  return sorted.length % 2 === 1 ? upper : ((sorted[middle - 1] as number) + upper) / 2;
}

/**
 * Throws AnalysisError unless the time base can carry a trace: a positive finite step, or finite times that never run
 * backwards. (Defects of a raw file are findings of the quality family; computing on them is refused.)
 */
export function requireOrderedTimeBase(functionName: string, timeBase: TimeBase): void {
  if (timeBase.kind === "regular") {
    const { startS, stepS, count } = timeBase;
    if (!Number.isFinite(startS) || !(stepS > 0) || !Number.isFinite(stepS)) {
      throw new AnalysisError(
        "out of range",
        functionName,
        "timeBase",
        `a finite start and a positive step in s, not ${startS} and ${stepS}`,
      );
    }
    if (!Number.isInteger(count) || count < 0) {
      throw new AnalysisError(
        "out of range",
        functionName,
        "timeBase",
        `a whole number of samples, not ${count}`,
      );
    }
    return;
  }
  const { timesS } = timeBase;
  for (let i = 0; i < timesS.length; i++) {
    const time = timesS[i] as number;
    if (!Number.isFinite(time)) {
      throw new AnalysisError(
        "not finite",
        functionName,
        "timeBase",
        `finite times; the time of sample ${i + 1} is ${time}`,
      );
    }
    if (i > 0 && time < (timesS[i - 1] as number)) {
      throw new AnalysisError(
        "not increasing",
        functionName,
        "timeBase",
        `times that never run backwards; sample ${i + 1} (${time} s) lies before sample ${i} (${timesS[i - 1]} s)`,
      );
    }
  }
}
