import { exp, log } from "../../elementary";
import { findRoot } from "../numeric/find-root";

/** Logarithms of the smallest and the largest double. */
const LOG_SMALLEST = -744;
const LOG_LARGEST = 709.7;

/**
 * Quantile of a distribution on the positive axis from its two tails, searched on the logarithm of both the value and
 * the probability, so that it keeps its digits far out in either tail. `probability` belongs to the upper tail when
 * `upper` is set. Beyond the reach of a double the answer is 0 or infinity.
 */
export function positiveQuantile(
  lowerTail: (x: number) => number,
  upperTail: (x: number) => number,
  probability: number,
  upper: boolean,
): number {
  if (!(probability >= 0 && probability <= 1)) return Number.NaN;
  const flipped = probability > 0.5;
  const useUpper = upper !== flipped;
  const target = log(flipped ? 1 - probability : probability);
  const tail = useUpper ? upperTail : lowerTail;
  // Increases with x whichever tail is used.
  const distance = (logX: number) => {
    const difference = Math.max(-1e300, log(tail(exp(logX)))) - target;
    return useUpper ? -difference : difference;
  };
  if (distance(LOG_SMALLEST) >= 0) return 0;
  if (distance(LOG_LARGEST) <= 0) return Number.POSITIVE_INFINITY;
  let lower = LOG_SMALLEST;
  let higher = LOG_LARGEST;
  for (let step = 1, at = 0; step < 2048; step *= 2) {
    if (distance(at) < 0) {
      lower = at;
      at = Math.min(higher, at + step);
      if (distance(at) >= 0) {
        higher = at;
        break;
      }
    } else {
      higher = at;
      at = Math.max(lower, at - step);
      if (distance(at) < 0) {
        lower = at;
        break;
      }
    }
  }
  return exp(findRoot(distance, lower, higher));
}
