const fields = 5;

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
    const u = lx - count * c;
    const uu = (left[l + 2] as number) - 2 * c * lx + count * c * c;
    const uy = (left[l + 3] as number) - c * ly;
    const w = rx - (n - count) * c;
    const ww = (right[l + 2] as number) - 2 * c * rx + (n - count) * c * c;
    const wy = (right[l + 3] as number) - c * ry;
    if (!(uu > 0 && ww > 0)) return Number.POSITIVE_INFINITY;
    const d = n - (u * u) / uu - (w * w) / ww;
    if (!(d > 1e-9)) return Number.POSITIVE_INFINITY;
    const v = (ly + ry - (u * uy) / uu - (w * wy) / ww) / d;
    const sse =
      (left[l + 4] as number) - (uy * uy) / uu + (right[l + 4] as number) - (wy * wy) / ww - v * v * d;
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

  /** Number of observations with x at or before a value. */
  countUpTo(at: number): number {
    let low = 0;
    let high = this.n;
    while (low < high) {
      const middle = (low + high) >> 1;
      if ((this.x[middle] as number) <= at) low = middle + 1;
      else high = middle;
    }
    return low;
  }

  /** Distinct x from one value to another, in order. */
  knotsBetween(first: number, last: number): number[] {
    const knots: number[] = [];
    for (const value of this.x) {
      if (value >= first && value <= last && value !== knots.at(-1)) knots.push(value);
    }
    return knots;
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
    return this.n * (16 * Number.EPSILON * scale) ** 2 + Number.MIN_VALUE;
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
