import { AnalysisError } from "../analysis-error";
import type { AlignedTrace } from "./align-trace";
import { binCentre, binsWithin, type Window } from "./windows";

/** Areas between a curve and a baseline, in the unit of y times the unit of x. */
export interface AreaUnderChange {
  /** Above minus below. */
  readonly net: number;
  readonly above: number;
  /** A positive area. */
  readonly below: number;
}

/**
 * Area between a polygon and a baseline by the trapezoid rule, crossings of the baseline found by linear interpolation.
 *
 * @param x increasing
 * @param y as long as x; pairs with a missing y are left out, so that a gap is bridged by a straight line
 * @throws AnalysisError `too few` below two points, `unequal lengths`, `not increasing`, `not finite`
 */
export function areaUnderChange(
  x: ArrayLike<number>,
  y: ArrayLike<number>,
  baseline: number,
): AreaUnderChange {
  if (x.length !== y.length) {
    const requirement = `as many x as y; it was given ${x.length} and ${y.length}`;
    throw new AnalysisError("unequal lengths", "areaUnderChange", "y", requirement);
  }
  if (!Number.isFinite(baseline)) {
    throw new AnalysisError(
      "not finite",
      "areaUnderChange",
      "baseline",
      `a finite baseline, not ${baseline}`,
    );
  }
  let above = 0;
  let below = 0;
  let points = 0;
  let lastX = Number.NaN;
  let lastD = Number.NaN;
  for (let i = 0; i < x.length; i++) {
    const xi = x[i] as number;
    const d = (y[i] as number) - baseline;
    if (!Number.isFinite(d)) continue;
    if (points > 0) {
      if (!(xi > lastX)) {
        throw new AnalysisError(
          "not increasing",
          "areaUnderChange",
          "x",
          `increasing x; ${xi} follows ${lastX}`,
        );
      }
      const width = xi - lastX;
      if (lastD >= 0 && d >= 0) above += (width * (lastD + d)) / 2;
      else if (lastD <= 0 && d <= 0) below -= (width * (lastD + d)) / 2;
      else {
        const share = lastD / (lastD - d);
        const before = (width * share * Math.abs(lastD)) / 2;
        const after = (width * (1 - share) * Math.abs(d)) / 2;
        above += lastD > 0 ? before : after;
        below += lastD > 0 ? after : before;
      }
    } else if (!Number.isFinite(xi)) {
      throw new AnalysisError("not finite", "areaUnderChange", "x", `finite x, not ${xi}`);
    }
    lastX = xi;
    lastD = d;
    points++;
  }
  if (points < 2) {
    throw new AnalysisError("too few", "areaUnderChange", "y", `at least two finite values, not ${points}`);
  }
  return { net: above - below, above, below };
}

/**
 * Area under the change from a baseline over a window of an aligned trace, in °C·s, between the middles of its bins.
 *
 * @param longestGapS a longer stretch without values is refused rather than bridged
 * @throws AnalysisError `refused` for a longer gap; as areaUnderChange
 */
export function areaOver(
  aligned: AlignedTrace,
  window: Window,
  baseline: number,
  longestGapS: number = Number.POSITIVE_INFINITY,
): AreaUnderChange {
  const { from, to } = binsWithin(aligned, window);
  const times: number[] = [];
  const values: number[] = [];
  let last = window.fromS;
  const check = (until: number) => {
    if (until - last - aligned.binS <= longestGapS) return;
    const requirement = `no gap longer than ${longestGapS} s; there is none of its values from ${last} to ${until} s`;
    throw new AnalysisError("refused", "areaOver", "longestGapS", requirement);
  };
  for (let i = from; i < to; i++) {
    const value = aligned.values[i] as number;
    if (!Number.isFinite(value)) continue;
    const time = binCentre(aligned, i);
    check(time);
    times.push(time);
    values.push(value);
    last = time;
  }
  check(window.toS);
  return areaUnderChange(times, values, baseline);
}
