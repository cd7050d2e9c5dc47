import { AnalysisError } from "../analysis-error";

/** Throws `out of range` unless a number lies within limits; NaN never does. */
export function requireWithin(
  functionName: string,
  argument: string,
  value: number,
  min: number,
  max: number,
  what: string,
): void {
  if (value >= min && value <= max) return;
  throw new AnalysisError(
    "out of range",
    functionName,
    argument,
    `${what} from ${min} to ${max}, not ${value}`,
  );
}

/** A temperature in °C of skin, air or surroundings: a value in kelvin is refused. */
export function requireCelsius(functionName: string, argument: string, value: number): void {
  requireWithin(functionName, argument, value, -100, 200, "a temperature in °C");
}
