import { square } from "../elementary";

const fields = 5;

/** Candidate breaks in order of x; entries from `length` on are unused. */
export interface BreakCandidates {
  readonly length: number;
  /** Observed x. */
  readonly at: Float64Array;
  readonly sse: Float64Array;
  /** Observations at or before each. */
  readonly counts: Int32Array;
  /** Break between this x and the next, NaN where the separate lines do not cross there. */
  readonly crossings: Float64Array;
  readonly crossingSse: Float64Array;
}

/**
 * Running sums over observations in order of x, centred on their means, from which the sum of squares of any two-piece
 * line follows in constant time. Left sums are taken from the front and right sums from the back, so that short sides
 * do not come out as small differences of large sums.
 */
export class BrokenLineSums {
  readonly x: Float64Array;
  readonly n: number;
  private readonly y: Float64Array;
  private readonly xMean: number;
  private readonly yMean: number;
  /** Σx, Σy, Σxx, Σxy, Σyy of the first k observations, at 5k. */
  private readonly left: Float64Array;
  /** The same of the observations from number k on. */
  private readonly right: Float64Array;

  constructor(x: Float64Array, y: Float64Array) {
    this.x = x;
    this.y = y;
    this.n = x.length;
    this.xMean = meanOf(x);
    this.yMean = meanOf(y);
    this.left = new Float64Array(fields * (this.n + 1));
    this.right = new Float64Array(fields * (this.n + 1));
    this.accumulate(this.left, 0, 1);
    this.accumulate(this.right, this.n - 1, -1);
  }

  private accumulate(sums: Float64Array, start: number, step: 1 | -1): void {
    const { x, y, n, xMean, yMean } = this;
    let sx = 0;
    let sy = 0;
    let sxx = 0;
    let sxy = 0;
    let syy = 0;
    for (let count = 0, i = start; count < n; count++, i += step) {
      const dx = (x[i] as number) - xMean;
      const dy = (y[i] as number) - yMean;
      sx += dx;
      sy += dy;
      sxx += dx * dx;
      sxy += dx * dy;
      syy += dy * dy;
      const at = fields * (step === 1 ? i + 1 : i);
      sums[at] = sx;
      sums[at + 1] = sy;
      sums[at + 2] = sxx;
      sums[at + 3] = sxy;
      sums[at + 4] = syy;
    }
  }

  /** Sum of squares of the best two-piece line that breaks at `at`, of which `count` observations lie at or before. */
  sseAt(at: number, count: number): number {
    const { left, right, n } = this;
    const c = at - this.xMean;
    const l = fields * count;
    const lx = left[l] as number;
    const ly = left[l + 1] as number;
    const rx = right[l] as number;
    const ry = right[l + 1] as number;
    const m = n - count;
    const u = lx - count * c;
    const uu = (left[l + 2] as number) - c * (lx + u);
    const uy = (left[l + 3] as number) - c * ly;
    const w = rx - m * c;
    const ww = (right[l + 2] as number) - c * (rx + w);
    const wy = (right[l + 3] as number) - c * ry;
    if (!(uu > 0 && ww > 0)) return Number.POSITIVE_INFINITY;
    const before = uy / uu;
    const after = wy / ww;
    const d = n - (u * u) / uu - (w * w) / ww;
    if (!(d > 1e-9)) return Number.POSITIVE_INFINITY;
    const vd = ly + ry - u * before - w * after;
    const sse = (left[l + 4] as number) - uy * before + (right[l + 4] as number) - wy * after - (vd * vd) / d;
    return Math.max(0, sse);
  }

  /** Where the separate lines through the first `count` observations and through the rest cross; NaN where they do not. */
  crossing(count: number): number {
    const { left, right, n } = this;
    const l = fields * count;
    const m = n - count;
    const lx = (left[l] as number) / count;
    const rx = (right[l] as number) / m;
    const ly = (left[l + 1] as number) / count;
    const ry = (right[l + 1] as number) / m;
    const leftSlope =
      ((left[l + 3] as number) - count * lx * ly) / ((left[l + 2] as number) - count * lx * lx);
    const rightSlope = ((right[l + 3] as number) - m * rx * ry) / ((right[l + 2] as number) - m * rx * rx);
    return this.xMean + (ry - rightSlope * rx - ly + leftSlope * lx) / (leftSlope - rightSlope);
  }

  /** Sum of squares of the two separate lines. */
  sseOfSeparateLines(count: number): number {
    const l = fields * count;
    return sseOfLine(this.left, l, count) + sseOfLine(this.right, l, this.n - count);
  }

  /**
   * Hudson's candidates with at least `minPoints` observations on each side: every admissible observed x in order, each
   * with the sum of squares of a break there, and the crossing of the separate lines that lies between it and the next.
   */
  candidates(minPoints: number): BreakCandidates {
    const { x, n } = this;
    const at = new Float64Array(n);
    const sse = new Float64Array(n);
    const counts = new Int32Array(n);
    const crossings = new Float64Array(n).fill(Number.NaN);
    const crossingSse = new Float64Array(n).fill(Number.POSITIVE_INFINITY);
    let length = 0;
    let from = 0;
    while (from < n && n - from >= minPoints) {
      const knot = x[from] as number;
      let to = from + 1;
      while (to < n && x[to] === knot) to++;
      // `to` observations lie at or before the knot, `n - from` at or after it.
      if (to >= minPoints) {
        at[length] = knot;
        counts[length] = to;
        sse[length] = this.sseAt(knot, to);
        if (n - to >= minPoints) {
          const crossing = this.crossing(to);
          if (crossing > knot && crossing < (x[to] as number)) {
            crossings[length] = crossing;
            crossingSse[length] = this.sseOfSeparateLines(to);
          }
        }
        length++;
      }
      from = to;
    }
    return { length, at, sse, counts, crossings, crossingSse };
  }

  /** The fitted pieces for a break, with the sum of squares taken from the residuals themselves. */
  describe(at: number, count: number) {
    const { left, right, n, x, y, yMean } = this;
    const c = at - this.xMean;
    const l = fields * count;
    const lx = left[l] as number;
    const rx = right[l] as number;
    const u = lx - count * c;
    const uu = (left[l + 2] as number) - 2 * c * lx + count * c * c;
    const uy = (left[l + 3] as number) - c * (left[l + 1] as number);
    const w = rx - (n - count) * c;
    const ww = (right[l + 2] as number) - 2 * c * rx + (n - count) * c * c;
    const wy = (right[l + 3] as number) - c * (right[l + 1] as number);
    const d = n - (u * u) / uu - (w * w) / ww;
    const v = ((left[l + 1] as number) + (right[l + 1] as number) - (u * uy) / uu - (w * wy) / ww) / d;
    const slopeBefore = (uy - v * u) / uu;
    const slopeAfter = (wy - v * w) / ww;
    let sse = 0;
    for (let i = 0; i < n; i++) {
      const dx = (x[i] as number) - at;
      const residual = (y[i] as number) - yMean - v - (i < count ? slopeBefore : slopeAfter) * dx;
      sse += residual * residual;
    }
    return { breakpoint: at, valueAtBreak: yMean + v, slopeBefore, slopeAfter, sse };
  }

  straightLine() {
    const { left, n, x, y, xMean, yMean } = this;
    const all = fields * n;
    const slope = (left[all + 3] as number) / (left[all + 2] as number);
    let sse = 0;
    for (let i = 0; i < n; i++) {
      const residual = (y[i] as number) - yMean - slope * ((x[i] as number) - xMean);
      sse += residual * residual;
    }
    return { intercept: yMean - slope * xMean, slope, sse };
  }

  /** What a sum of squares of exact data can come to by rounding alone. */
  rounding(): number {
    const scale = Math.abs(this.yMean) + Math.sqrt((this.left[fields * this.n + 4] as number) / this.n);
    return this.n * square(16 * Number.EPSILON * scale) + Number.MIN_VALUE;
  }
}

function sseOfLine(sums: Float64Array, at: number, count: number): number {
  const x = sums[at] as number;
  const y = sums[at + 1] as number;
  const xx = (sums[at + 2] as number) - (x * x) / count;
  const xy = (sums[at + 3] as number) - (x * y) / count;
  const yy = (sums[at + 4] as number) - (y * y) / count;
  const sse = yy - (xy * xy) / xx;
  return Math.max(0, sse);
}

function meanOf(values: Float64Array): number {
  const first = values[0] as number;
  let sum = 0;
  for (const value of values) sum += value - first;
  return first + sum / values.length;
}
