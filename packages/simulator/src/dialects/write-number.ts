/** Fixed digits, never "-0.00". */
export function numberText(value: number, digits: number): string {
  const text = value.toFixed(digits);
  return Number(text) === 0 ? text.replace("-", "") : text;
}

/** "2025-03-03T08:30:02Z" for whole seconds after the start. */
export function isoMoment(startedAt: string, timeS: number): string {
  if (!Number.isInteger(timeS)) throw new RangeError(`isoMoment: whole seconds only, got ${timeS}`);
  return `${new Date(Date.parse(startedAt) + timeS * 1000).toISOString().slice(0, 19)}Z`;
}

/** "08:30:02" in UTC. */
export function clockTime(startedAt: string, timeS: number): string {
  return isoMoment(startedAt, timeS).slice(11, 19);
}

/** "00:41:07.5" from seconds in tenths. */
export function elapsedTenths(timeS: number): string {
  const tenths = Math.round(timeS * 10);
  const two = (n: number): string => String(n).padStart(2, "0");
  const seconds = Math.floor(tenths / 10);
  return `${two(Math.floor(seconds / 3600))}:${two(Math.floor(seconds / 60) % 60)}:${two(seconds % 60)}.${tenths % 10}`;
}
