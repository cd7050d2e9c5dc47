import { studentTLowerTail, studentTUpperTail } from "./distributions/student-t";
import type { Alternative } from "./result";

/** p value of a t statistic. */
export function tPValue(t: number, degreesOfFreedom: number, alternative: Alternative): number {
  switch (alternative) {
    case "two-sided":
      return 2 * studentTUpperTail(Math.abs(t), degreesOfFreedom);
    case "less":
      return studentTLowerTail(t, degreesOfFreedom);
    case "greater":
      return studentTUpperTail(t, degreesOfFreedom);
  }
}
