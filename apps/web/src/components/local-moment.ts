const two = (value: number) => String(value).padStart(2, "0");

/** A moment as a field for date and time holds it, in local time and to the minute: "2026-03-14T09:30". */
export function toLocalMoment(at: Date): string {
  return `${toLocalDay(at)}T${two(at.getHours())}:${two(at.getMinutes())}`;
}

/** The local calendar day: "2026-03-14". */
export function toLocalDay(at: Date): string {
  return `${at.getFullYear()}-${two(at.getMonth() + 1)}-${two(at.getDate())}`;
}

/** The moment that such a field holds, as ISO 8601 in UTC; empty when the field does not hold one. */
export function fromLocalMoment(typed: string): string {
  const at = new Date(typed);
  return typed === "" || Number.isNaN(at.getTime()) ? "" : at.toISOString();
}
