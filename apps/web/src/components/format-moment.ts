const two = (value: number) => String(value).padStart(2, "0");

/** A moment as local time, in the order in which it sorts: 2026-03-14 09:30. */
export function formatMoment(iso: string): string {
  const at = new Date(iso);
  return `${at.getFullYear()}-${two(at.getMonth() + 1)}-${two(at.getDate())} ${two(at.getHours())}:${two(at.getMinutes())}`;
}
