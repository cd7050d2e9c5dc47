/**
 * Why a function could not answer:
 * - `empty`: no (finite) value where at least one is needed
 * - `too few`: fewer values than the method needs
 * - `not finite`: NaN or infinite where a number is needed
 * - `out of range`: a number outside the values that the function is defined for
 * - `unequal lengths`: arrays that must run in parallel do not
 * - `not increasing`: times or limits that must increase do not
 * - `constant`: no variation where the method divides by it
 * - `unknown`: an identifier or a name that is in no table
 * - `missing`: a required part of the input is absent
 * - `refused`: computable, but the number would mislead; the message says why
 */
export type AnalysisErrorCode =
  | "empty"
  | "too few"
  | "not finite"
  | "out of range"
  | "unequal lengths"
  | "not increasing"
  | "constant"
  | "unknown"
  | "missing"
  | "refused";

/**
 * A function of this package cannot answer. `argument` names the argument at fault as the caller wrote it, and the
 * message reads "FUNCTION requires ...", so that it can be shown as it stands.
 */
export class AnalysisError extends Error {
  override readonly name: string = "AnalysisError";
  readonly code: AnalysisErrorCode;
  readonly argument: string;

  constructor(code: AnalysisErrorCode, functionName: string, argument: string, requirement: string) {
    super(`${functionName} requires ${requirement}`);
    this.code = code;
    this.argument = argument;
  }
}
