import { AnalysisError } from "../../analysis-error";

/** A confidence level lies strictly between 0 and 1. */
export function checkLevel(level: number, functionName: string): void {
  if (level > 0 && level < 1) return;
  throw new AnalysisError("out of range", functionName, "level", `level between 0 and 1, not ${level}`);
}

export function checkFinite(value: number, argument: string, functionName: string): void {
  if (Number.isFinite(value)) return;
  throw new AnalysisError("not finite", functionName, argument, `a finite ${argument}, not ${value}`);
}

export function checkPositive(value: number, argument: string, functionName: string): void {
  if (value > 0 && Number.isFinite(value)) return;
  throw new AnalysisError("out of range", functionName, argument, `${argument} above zero, not ${value}`);
}

export function checkCount(value: number, atLeast: number, argument: string, functionName: string): void {
  if (Number.isInteger(value) && value >= atLeast) return;
  throw new AnalysisError(
    "out of range",
    functionName,
    argument,
    `a whole ${argument} of at least ${atLeast}, not ${value}`,
  );
}
