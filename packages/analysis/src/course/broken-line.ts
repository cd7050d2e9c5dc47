import { AnalysisError } from "../analysis-error";
import { exp, log } from "../elementary";
import { type BreakCandidates, BrokenLineSums } from "./broken-line-sums";

export type ConfidenceLevel = 0.9 | 0.95 | 0.99;

export interface BrokenLineOptions {
  /** Observations required on each side of the break, the break itself counting for both; default 3. */
  readonly minPointsPerSide?: number;
  /** Confidence of the interval; default 0.95. */
  readonly level?: ConfidenceLevel;
  /**
   * `adjust` (default) counts neighbouring residuals that resemble each other as fewer observations:
   * n·(1 − r)/(1 + r) with their lag-1 correlation r, at least 5. `ignore` takes all n as independent.
   */
  readonly autocorrelation?: "adjust" | "ignore";
}

export interface StraightLine {
  readonly intercept: number;
  readonly slope: number;
  readonly sse: number;
}

export interface BrokenLineOptimum {
  readonly breakpoint: number;
  /** Fitted y at the break. */
  readonly valueAtBreak: number;
  readonly slopeBefore: number;
  readonly slopeAfter: number;
  /** Sum of squared residuals. */
  readonly sse: number;
  /** Whether the break lies on an observed x, where the sum of squares has a kink. */
  readonly atDataPoint: boolean;
}

export interface BreakInterval {
  readonly lower: number;
  readonly upper: number;
  readonly level: ConfidenceLevel;
  /** True where the limit is only the end of the admissible range: the data do not bound the break on that side. */
  readonly lowerIsOpen: boolean;
  readonly upperIsOpen: boolean;
}

interface BrokenLineCommon {
  readonly straight: StraightLine;
  /** Finite observations used. */
  readonly n: number;
  /** Observations after allowing for autocorrelation. */
  readonly effectiveN: number;
  /** BIC of the straight line minus BIC of the broken line; positive where the break is supported. */
  readonly support: number;
  readonly optimum: BrokenLineOptimum;
}

export type BrokenLineFit =
  | (BrokenLineCommon & { readonly kind: "break"; readonly interval: BreakInterval })
  | (BrokenLineCommon & { readonly kind: "no break" });

/** Quantiles of the chi-squared distribution with one degree of freedom. */
const chiSquared1: Readonly<Record<ConfidenceLevel, number>> = {
  0.9: 2.705543454095404,
  0.95: 3.841458820694124,
  0.99: 6.634896601021213,
};

function finitePairs(x: ArrayLike<number>, y: ArrayLike<number>): { xs: Float64Array; ys: Float64Array } {
  if (x.length !== y.length) {
    const requirement = `as many x as y; it was given ${x.length} and ${y.length}`;
    throw new AnalysisError("unequal lengths", "fitBrokenLine", "y", requirement);
  }
  const xs = new Float64Array(x.length);
  const ys = new Float64Array(x.length);
  let n = 0;
  let last = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < x.length; i++) {
    const xi = x[i] as number;
    const yi = y[i] as number;
    if (!Number.isFinite(xi)) {
      throw new AnalysisError("not finite", "fitBrokenLine", "x", `finite x; number ${i + 1} is ${xi}`);
    }
    if (xi < last) {
      const requirement = `x that never decrease; number ${i + 1} (${xi}) follows ${last}`;
      throw new AnalysisError("not increasing", "fitBrokenLine", "x", requirement);
    }
    last = xi;
    if (!Number.isFinite(yi)) continue;
    xs[n] = xi;
    ys[n] = yi;
    n++;
  }
  return { xs: xs.subarray(0, n), ys: ys.subarray(0, n) };
}

/** The global least-squares optimum over every admissible break; null where no admissible break exists. */
function globalOptimum(sums: BrokenLineSums, candidates: BreakCandidates): BrokenLineOptimum | null {
  const { length, at, sse, counts, crossings, crossingSse } = candidates;
  let best = Number.POSITIVE_INFINITY;
  let bestIndex = -1;
  let atDataPoint = false;
  for (let k = 0; k < length; k++) {
    if ((sse[k] as number) < best) {
      best = sse[k] as number;
      bestIndex = k;
      atDataPoint = true;
    }
    if ((crossingSse[k] as number) < best) {
      best = crossingSse[k] as number;
      bestIndex = k;
      atDataPoint = false;
    }
  }
  if (bestIndex < 0) return null;
  const breakpoint = (atDataPoint ? at[bestIndex] : crossings[bestIndex]) as number;
  return { ...sums.describe(breakpoint, counts[bestIndex] as number), atDataPoint };
}

function lag1Correlation(xs: Float64Array, ys: Float64Array, fit: BrokenLineOptimum): number {
  let previous = 0;
  let products = 0;
  let squares = 0;
  for (let i = 0; i < xs.length; i++) {
    const u = (xs[i] as number) - fit.breakpoint;
    const residual = (ys[i] as number) - fit.valueAtBreak - (u < 0 ? fit.slopeBefore : fit.slopeAfter) * u;
    if (i > 0) products += residual * previous;
    squares += residual * residual;
    previous = residual;
  }
  return squares === 0 ? 0 : products / squares;
}

/**
 * The hull of all breaks whose sum of squares is within the limit. Between neighbouring observed x the profile is lowest at
 * an end or at the crossing of the separate lines, so the candidates say between which of them it passes the limit.
 */
function profileInterval(
  sums: BrokenLineSums,
  candidates: BreakCandidates,
  limitSse: number,
  { breakpoint }: BrokenLineOptimum,
  level: ConfidenceLevel,
): BreakInterval {
  const { length, at, sse, counts, crossings, crossingSse } = candidates;
  const end = (outside: number, inside: number, k: number) =>
    bisect(outside, inside, (x) => sums.sseAt(x, counts[k] as number) <= limitSse);
  let lower = breakpoint;
  for (let k = 0; k < length && (at[k] as number) <= breakpoint; k++) {
    if ((sse[k] as number) <= limitSse) {
      lower = k === 0 ? (at[0] as number) : end(at[k - 1] as number, at[k] as number, k - 1);
      break;
    }
    if ((crossingSse[k] as number) <= limitSse) {
      lower = end(at[k] as number, crossings[k] as number, k);
      break;
    }
  }
  let upper = breakpoint;
  for (let k = length - 1; k >= 0 && (k === length - 1 || (at[k + 1] as number) >= breakpoint); k--) {
    if (k < length - 1 && (crossingSse[k] as number) <= limitSse) {
      upper = end(at[k + 1] as number, crossings[k] as number, k);
      break;
    }
    if ((sse[k] as number) <= limitSse) {
      upper = k === length - 1 ? (at[k] as number) : end(at[k + 1] as number, at[k] as number, k);
      break;
    }
  }
  return {
    lower: Math.min(lower, breakpoint),
    upper: Math.max(upper, breakpoint),
    level,
    lowerIsOpen: (sse[0] as number) <= limitSse,
    upperIsOpen: (sse[length - 1] as number) <= limitSse,
  };
}

function bisect(outside: number, inside: number, within: (at: number) => boolean): number {
  let out = outside;
  let into = inside;
  for (let step = 0; step < 60; step++) {
    const middle = (out + into) / 2;
    if (middle === out || middle === into) break;
    if (within(middle)) into = middle;
    else out = middle;
  }
  return into;
}

/**
 * Fits a continuous line of two pieces by least squares and says whether the data support the break.
 *
 * The optimum is the globally best one: for each stretch between neighbouring x either the crossing of the two separate
 * lines or a break on an observed x is best (Hudson 1966, J Am Stat Assoc 61:1097–1129); all are tried, in O(n) by
 * running sums. The break is supported when the Bayesian information criterion of the broken line (four parameters) is
 * below that of one straight line (two). Its interval is by profile likelihood: all breaks with
 * n·ln(SSE/SSE_min) ≤ χ²₁; where those form several stretches, the interval spans all of them.
 *
 * @param x never decreasing and finite; duplicates are allowed
 * @param y as long as x; NaN and infinite values are left out
 * @throws AnalysisError `too few` below twice minPointsPerSide or without an admissible break, `constant`,
 *   `unequal lengths`, `not finite`, `not increasing`, `out of range`
 */
export function fitBrokenLine(
  x: ArrayLike<number>,
  y: ArrayLike<number>,
  options: BrokenLineOptions = {},
): BrokenLineFit {
  const { minPointsPerSide = 3, level = 0.95, autocorrelation = "adjust" } = options;
  if (!Number.isInteger(minPointsPerSide) || minPointsPerSide < 2) {
    const requirement = `a whole number of at least 2, not ${minPointsPerSide}`;
    throw new AnalysisError("out of range", "fitBrokenLine", "minPointsPerSide", requirement);
  }
  const { xs, ys } = finitePairs(x, y);
  const n = xs.length;
  if (n < 2 * minPointsPerSide) {
    const requirement = `at least ${2 * minPointsPerSide} finite values, not ${n}`;
    throw new AnalysisError("too few", "fitBrokenLine", "y", requirement);
  }
  if (xs[0] === xs[n - 1]) {
    throw new AnalysisError("constant", "fitBrokenLine", "x", "x that are not all equal");
  }
  const sums = new BrokenLineSums(xs, ys);
  const candidates = sums.candidates(minPointsPerSide);
  const optimum = globalOptimum(sums, candidates);
  if (optimum === null) {
    throw new AnalysisError("too few", "fitBrokenLine", "x", "two different x on each side of a break");
  }
  const straight = sums.straightLine();
  const r = autocorrelation === "adjust" ? Math.max(0, lag1Correlation(xs, ys, optimum)) : 0;
  const effectiveN = Math.min(n, Math.max(5, (n * (1 - r)) / (1 + r)));
  // Below the rounding of the sums nothing can be told apart: an exact line has no break, an exact broken line has one.
  const floor = sums.rounding();
  const support =
    effectiveN * log(Math.max(straight.sse, floor) / Math.max(optimum.sse, floor)) - 2 * log(effectiveN);
  const common = { straight, n, effectiveN, support, optimum };
  if (!(support > 0)) return { kind: "no break", ...common };
  const limitSse = Math.max(optimum.sse, floor) * exp(chiSquared1[level] / effectiveN);
  return {
    kind: "break",
    ...common,
    interval: profileInterval(sums, candidates, limitSse, optimum, level),
  };
}
