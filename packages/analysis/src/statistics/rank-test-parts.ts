import { normalLowerTail, normalUpperTail } from "./distributions/normal";
import type { Tails } from "./distributions/signed-rank";
import type { Alternative } from "./result";

/** p value from the exact probabilities of a statistic at most, and at least, as large as the one observed. */
export function exactP(tails: Tails, alternative: Alternative): number {
  switch (alternative) {
    case "two-sided":
      return Math.min(1, 2 * Math.min(tails.atMost, tails.atLeast));
    case "less":
      return tails.atMost;
    case "greater":
      return tails.atLeast;
  }
}

/** The statistic less its mean, moved half a step towards zero where the normal distribution stands in for a stepped one. */
export function continuityCorrected(distance: number, alternative: Alternative, correct: boolean): number {
  if (!correct) return distance;
  switch (alternative) {
    case "two-sided":
      return distance - Math.sign(distance) / 2;
    case "less":
      return distance + 0.5;
    case "greater":
      return distance - 0.5;
  }
}

export function normalP(z: number, alternative: Alternative): number {
  switch (alternative) {
    case "two-sided":
      return Math.min(1, 2 * normalUpperTail(Math.abs(z)));
    case "less":
      return normalLowerTail(z);
    case "greater":
      return normalUpperTail(z);
  }
}

/** Where a decreasing step function of a shift falls to zero or below, between two shifts, to the last digit. */
export function stepCrossing(f: (shift: number) => number, lowest: number, highest: number): number {
  let lower = lowest;
  let upper = highest;
  if (f(lower) <= 0) return lower;
  if (f(upper) > 0) return upper;
  for (;;) {
    const middle = lower + (upper - lower) / 2;
    if (middle <= lower || middle >= upper) return upper;
    if (f(middle) > 0) lower = middle;
    else upper = middle;
  }
}
