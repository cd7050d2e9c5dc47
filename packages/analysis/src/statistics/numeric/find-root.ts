/**
 * Root of a continuous function between two points of opposite sign, by Brent's method (Brent 1973, Algorithms for
 * Minimization without Derivatives, chapter 4), to the last representable digit.
 */
export function findRoot(f: (x: number) => number, lower: number, upper: number): number {
  let a = lower;
  let b = upper;
  let fa = f(a);
  let fb = f(b);
  if (fa === 0) return a;
  if (fb === 0) return b;
  if (!(fa > 0 !== fb > 0)) {
    throw new RangeError(`findRoot: no change of sign between ${lower} (${fa}) and ${upper} (${fb})`);
  }
  let c = a;
  let fc = fa;
  for (let iteration = 0; iteration < 400; iteration++) {
    const previousStep = b - a;
    if (Math.abs(fc) < Math.abs(fb)) {
      a = b;
      b = c;
      c = a;
      fa = fb;
      fb = fc;
      fc = fa;
    }
    const within = 2 * Number.EPSILON * Math.abs(b) + Number.MIN_VALUE;
    let step = (c - b) / 2;
    if (Math.abs(step) <= within || fb === 0) return b;
    if (Math.abs(previousStep) >= within && Math.abs(fa) > Math.abs(fb)) {
      const distance = c - b;
      const s = fb / fa;
      let p: number;
      let q: number;
      if (a === c) {
        p = distance * s;
        q = 1 - s;
      } else {
        const r = fb / fc;
        const t = fa / fc;
        p = s * (distance * t * (t - r) - (b - a) * (r - 1));
        q = (t - 1) * (r - 1) * (s - 1);
      }
      if (p > 0) q = -q;
      else p = -p;
      if (p < 0.75 * distance * q - Math.abs(within * q) / 2 && p < Math.abs(previousStep * q) / 2)
        step = p / q;
    }
    if (Math.abs(step) < within) step = step > 0 ? within : -within;
    a = b;
    fa = fb;
    b += step;
    fb = f(b);
    if (fb > 0 === fc > 0) {
      c = a;
      fc = fa;
    }
  }
  return b;
}

/** Root of a monotone function on an open-ended axis: widens the bracket around `start` first. */
export function findRootFrom(f: (x: number) => number, start: number, firstStep = 1): number {
  const atStart = f(start);
  if (atStart === 0) return start;
  let left = start;
  let right = start;
  let step = firstStep;
  for (let i = 0; i < 200; i++) {
    if (f(start + step) > 0 !== atStart > 0) return findRoot(f, right, start + step);
    right = start + step;
    if (f(start - step) > 0 !== atStart > 0) return findRoot(f, start - step, left);
    left = start - step;
    step *= 2;
  }
  throw new RangeError(`findRootFrom: no change of sign around ${start}`);
}
