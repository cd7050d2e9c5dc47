import { exp, expm1, log, square } from "../elementary";
import { cholesky, choleskySolve } from "../statistics/numeric/small-matrix";
import { bends, type RestingChange, restingFit } from "./resting-change";

/** A drift that settles: offset(t) = amplitude·(1 − e^(−(t − start)/τ)); τ infinite is an even drift, amplitude per s. */
export interface DriftShape {
  readonly startS: number;
  readonly amplitude: number;
  readonly tauS: number;
}

/** Offset of a drift in °C against its start, at a time on the file's clock; none before its start. */
export function driftOffset({ startS, amplitude, tauS }: DriftShape, timeS: number): number {
  const t = Math.max(0, timeS - startS);
  return Number.isFinite(tauS) ? amplitude * -expm1(-t / tauS) : amplitude * t;
}

export interface DriftEstimate {
  /** Start at 0 s. */
  readonly shape: DriftShape;
  /** °C from the start to the end of the file, and its standard error. */
  readonly size: number;
  readonly standardError: number;
}

/**
 * What is believed of cameras before the traces are seen (common practice, from memory): they settle with a time constant of
 * about ten minutes, two thirds of them between five and twenty, and by 2 °C at most of the time.
 */
const belief = { tauS: 600, logSpread: 0.7, sizeC: 2 } as const;

/** Bins of 10 s in which shapes are summed up. */
const stepsInShape = 60;

interface Candidate {
  readonly tauS: number;
  /** Posterior weight; later normalised. */
  readonly logWeight: number;
  /** Mean and variance of the drift's size over the file, given τ. */
  readonly size: number;
  readonly variance: number;
}

/**
 * How a drift goes on after rest, from what the regions have in common over rest: over a range of time constants the size of a
 * settling drift is estimated by generalised least squares, and the constants are weighed by how well they explain the bend over
 * rest and by what is believed beforehand (Bayes' rule). What rest does not show (a drift that goes on long after it) is thus in the
 * standard error.
 *
 * @param change over the first `restS` of `durationS` seconds
 */
export function estimateDrift(change: RestingChange, restS: number, durationS: number): DriftEstimate | null {
  const lower = cholesky(change.covariance, bends);
  if (lower === null) return null;
  const dot = (a: ArrayLike<number>, b: ArrayLike<number>) => {
    let sum = 0;
    for (let i = 0; i < bends; i++) sum += (a[i] as number) * (b[i] as number);
    return sum;
  };
  const solvedMean = choleskySolve(lower, bends, change.mean);
  const candidates: Candidate[] = [];
  for (const tauS of timeConstants()) {
    const unit = unitShape(tauS, durationS);
    const overRest = Float64Array.from({ length: stepsInShape }, (_, i) =>
      driftOffset(unit, ((i + 0.5) * restS) / stepsInShape),
    );
    const basis = restingFit(overRest, stepsInShape)?.coefficients;
    if (basis === undefined) return null;
    const information = dot(basis, choleskySolve(lower, bends, basis)) + 1 / square(belief.sizeC);
    const score = dot(basis, solvedMean);
    const size = score / information;
    // Marginal likelihood of the coefficients, what all time constants share left out.
    const evidence = (score * size - log(information)) / 2;
    const apart = Number.isFinite(tauS) ? log(tauS / belief.tauS) / belief.logSpread : 2;
    candidates.push({ tauS, logWeight: evidence - square(apart) / 2, size, variance: 1 / information });
  }
  return summed(candidates, durationS);
}

/** From one minute to two hours, and even. */
function timeConstants(): number[] {
  const taus: number[] = [];
  for (let tau = 60; tau < 7200; tau *= 1.1) taus.push(tau);
  return [...taus, Number.POSITIVE_INFINITY];
}

/** The shape that drifts by 1 °C over the file. */
function unitShape(tauS: number, durationS: number): DriftShape {
  const amplitude = Number.isFinite(tauS) ? 1 / -expm1(-durationS / tauS) : 1 / durationS;
  return { startS: 0, amplitude, tauS };
}

function summed(candidates: readonly Candidate[], durationS: number): DriftEstimate {
  const largest = Math.max(...candidates.map(({ logWeight }) => logWeight));
  const raw = candidates.map(({ logWeight }) => exp(logWeight - largest));
  const total = raw.reduce((sum, weight) => sum + weight, 0);
  const weights = raw.map((weight) => weight / total);
  const meanOf = (value: (one: Candidate) => number) =>
    candidates.reduce((sum, one, k) => sum + (weights[k] as number) * value(one), 0);
  const size = meanOf((one) => one.size);
  const variance = meanOf((one) => one.variance + square(one.size - size));
  const times = Array.from({ length: stepsInShape }, (_, i) => ((i + 0.5) * durationS) / stepsInShape);
  const courses = candidates.map(({ tauS }) => {
    const unit = unitShape(tauS, durationS);
    return times.map((time) => driftOffset(unit, time));
  });
  const expected = times.map((_, i) =>
    candidates.reduce(
      (sum, one, k) => sum + (weights[k] as number) * one.size * (courses[k]?.[i] as number),
      0,
    ),
  );
  // The one shape nearest to the expected course, which is a mixture of shapes.
  let best = { apart: Number.POSITIVE_INFINITY, tauS: Number.POSITIVE_INFINITY, size: 0 };
  for (const [k, course] of courses.entries()) {
    const products = course.reduce((sum, value, i) => sum + value * (expected[i] as number), 0);
    const squares = course.reduce((sum, value) => sum + square(value), 0);
    const fitted = products / squares;
    const apart = course.reduce((sum, value, i) => sum + square((expected[i] as number) - fitted * value), 0);
    const { tauS } = candidates[k] as Candidate;
    if (apart < best.apart) best = { apart, tauS, size: fitted };
  }
  const unit = unitShape(best.tauS, durationS);
  return {
    shape: { ...unit, amplitude: unit.amplitude * best.size },
    size: best.size,
    standardError: Math.sqrt(variance),
  };
}
