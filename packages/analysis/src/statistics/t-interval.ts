import { studentTQuantile } from "./distributions/student-t";
import type { Alternative, Interval } from "./result";

/** Interval from an estimate, its standard error and Student's t; one-sided alternatives leave one end open. */
export function tInterval(
  estimate: number,
  standardError: number,
  degreesOfFreedom: number,
  level: number,
  alternative: Alternative = "two-sided",
): Interval {
  const outside = 1 - level;
  switch (alternative) {
    case "two-sided": {
      const reach = studentTQuantile(outside / 2, degreesOfFreedom, true) * standardError;
      return { lower: estimate - reach, upper: estimate + reach, level };
    }
    case "less": {
      const reach = studentTQuantile(outside, degreesOfFreedom, true) * standardError;
      return { lower: Number.NEGATIVE_INFINITY, upper: estimate + reach, level };
    }
    case "greater": {
      const reach = studentTQuantile(outside, degreesOfFreedom, true) * standardError;
      return { lower: estimate - reach, upper: Number.POSITIVE_INFINITY, level };
    }
  }
}
