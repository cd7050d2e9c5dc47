import exp from "@stdlib/math-base-special-exp";
import expm1 from "@stdlib/math-base-special-expm1";
import log from "@stdlib/math-base-special-ln";
import log1p from "@stdlib/math-base-special-log1p";
import log10 from "@stdlib/math-base-special-log10";
import power from "@stdlib/math-base-special-pow";

/**
 * Exponentials, logarithms and powers in plain arithmetic. Those of `Math`, and the operator for powers, differ in the last digit
 * between engines and their versions (measured: one value in ten of exp between Node 20 and Chromium 156), and the same
 * input has to give the same bytes everywhere. Square roots are exact in every engine.
 * `test/browser-worker.test.ts` holds every exported function to it.
 */
export { exp, expm1, log, log1p, log10, power };

export function square(x: number): number {
  return x * x;
}

export function cube(x: number): number {
  return x * x * x;
}

export function fourthPower(x: number): number {
  return square(square(x));
}

export function fourthRoot(x: number): number {
  return Math.sqrt(Math.sqrt(x));
}

export function tanh(x: number): number {
  if (Math.abs(x) > 20) return Math.sign(x);
  const grown = expm1(2 * Math.abs(x));
  return (Math.sign(x) * grown) / (grown + 2);
}

export function atanh(x: number): number {
  return (Math.sign(x) * log1p((2 * Math.abs(x)) / (1 - Math.abs(x)))) / 2;
}
