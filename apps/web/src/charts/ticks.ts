/** Steps that divide an axis evenly: 1, 2 or 5 times a power of ten. */
function niceStep(rough: number): number {
  const power = 10 ** Math.floor(Math.log10(rough));
  const ratio = rough / power;
  if (ratio <= 1) return power;
  if (ratio <= 2) return 2 * power;
  if (ratio <= 5) return 5 * power;
  return 10 * power;
}

const secondSteps = [
  1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1200, 1800, 3600, 7200, 14400, 21600, 43200, 86400,
] as const;

export interface Ticks {
  readonly values: readonly number[];
  readonly step: number;
  /** Digits that the step needs. */
  readonly digits: number;
}

/** Ticks that cover [low, high]; the first and the last are the limits of the axis. */
export function valueTicks(low: number, high: number, wanted = 6): Ticks {
  const spread = high - low > 0 ? high - low : Math.max(1, Math.abs(high) * 0.1);
  const middle = (low + high) / 2;
  const [from, to] = high - low > 0 ? [low, high] : [middle - spread / 2, middle + spread / 2];
  const step = niceStep(spread / Math.max(1, wanted - 1));
  const digits = Math.max(0, -Math.floor(Math.log10(step) + 1e-9));
  const first = Math.floor(from / step + 1e-9);
  const last = Math.ceil(to / step - 1e-9);
  const values = Array.from({ length: last - first + 1 }, (_, index) =>
    Number(((first + index) * step).toFixed(digits)),
  );
  return { values, step, digits };
}

/** Ticks inside [low, high] seconds, at whole seconds or minutes; the axis itself ends where the data end. */
export function timeTicks(low: number, high: number, wanted = 8): Ticks {
  const rough = Math.max(high - low, 1e-9) / Math.max(1, wanted);
  const step = secondSteps.find((candidate) => candidate >= rough) ?? niceStep(rough);
  const first = Math.ceil(low / step - 1e-9);
  const last = Math.floor(high / step + 1e-9);
  const values = Array.from({ length: Math.max(0, last - first + 1) }, (_, index) => (first + index) * step);
  return { values, step, digits: 0 };
}

export type TimeUnit = "s" | "min";

/** Minutes as soon as an axis is longer than three of them. */
export function timeUnitFor(low: number, high: number): TimeUnit {
  return high - low > 180 ? "min" : "s";
}

/** 90 s as "1.5" minutes or "90" seconds, with a true minus. */
export function formatTime(seconds: number, unit: TimeUnit, digits?: number): string {
  const value = unit === "min" ? seconds / 60 : seconds;
  const text =
    digits === undefined ? String(Number(Math.abs(value).toFixed(2))) : Math.abs(value).toFixed(digits);
  return value < 0 && Number(text) !== 0 ? `−${text}` : text;
}
