import type { TimeBase } from "@acral/analysis/course";

/**
 * A regular time base when every time lies within the tolerance (or the rounding of doubles) of start + i x step, else the times as they are. The
 * step is the shortest decimal (up to nine places) that fits, so that 0.1 s stays 0.1 s, or else one divided by a rate.
 */
export function timeBaseOf(times: Float64Array, tolerance: number): TimeBase {
  const count = times.length;
  const first = times[0];
  const last = times[count - 1];
  if (count < 2 || first === undefined || last === undefined || !(last > first)) {
    return { kind: "irregular", timesS: times };
  }
  const raw = (last - first) / (count - 1);
  const allowed = Math.max(tolerance, 8 * Number.EPSILON * Math.max(Math.abs(first), Math.abs(last)));
  const stepS = shortestStep(raw, allowed / (count - 1));
  for (let i = 1; i < count; i++) {
    if (Math.abs((times[i] as number) - (first + i * stepS)) > allowed)
      return { kind: "irregular", timesS: times };
  }
  return { kind: "regular", startS: first, stepS, count };
}

function shortestStep(raw: number, allowed: number): number {
  for (let decimals = 0; decimals <= 9; decimals++) {
    const power = 10 ** decimals;
    const rounded = Math.round(raw * power) / power;
    if (rounded > 0 && Math.abs(rounded - raw) <= allowed) return rounded;
  }
  // A camera's rate: 7.5 per second is a step of 1 / 7.5 s.
  const rate = Math.round(1e6 / raw) / 1e6;
  return rate > 0 && Math.abs(1 / rate - raw) <= allowed ? 1 / rate : raw;
}
